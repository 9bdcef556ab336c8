package analysis

import (
	"errors"
	"math"
	"slices"
)

// TheilSen is the straight line whose slope is the median of those between all
// pairs of points (H. Theil, Proc. K. Ned. Akad. Wet. A 53, 386 (1950); P. K.
// Sen, J. Am. Stat. Assoc. 63, 1379 (1968)). One bad setting among five does not
// move it much.
type TheilSen struct{}

// Name returns "theil-sen".
func (TheilSen) Name() string { return "theil-sen" }

// Fit returns the line; its height is the median of what the points leave. The
// standard uncertainty of the slope is half the distance between the pair slopes
// whose ranks lie one standard deviation of Kendall's statistic off the middle
// (Sen's equation 6.3 with one instead of a normal quantile). Uncertainties of
// the points are not used.
func (TheilSen) Fit(points []Point) (Line, error) {
	if err := checkPoints(points); err != nil {
		return Line{}, err
	}
	slopes := pairSlopes(points)
	if len(slopes) < 2 {
		return Line{}, errors.New("fewer than two pairs of points have different frequencies; a median of slopes needs more")
	}
	n := float64(len(points))
	l := Line{Slope: ranked(slopes, 0.5), DegreesOfFreedom: len(points) - 2, ChiSquare: math.NaN()}
	kendall := math.Sqrt(n * (n - 1) * (2*n + 5) / 18)
	pairs := float64(len(slopes))
	// Of sampled pairs the ranks are the same shares as of all.
	if all := n * (n - 1) / 2; pairs > mostPairs/2 && pairs < all/2 {
		kendall *= pairs / all
	}
	// The ranks (pairs -+ kendall)/2 lie between two slopes each; half a rank
	// is the correction for that.
	low := (pairs - kendall - 1) / 2 / (pairs - 1)
	high := (pairs + kendall - 1) / 2 / (pairs - 1)
	l.USlope = (ranked(slopes, high) - ranked(slopes, low)) / 2

	var rest []float64
	var mean float64
	for _, p := range points {
		rest = append(rest, p.Stopping-l.Slope*p.Frequency)
		mean += p.Frequency / n
	}
	slices.Sort(rest)
	l.Intercept = ranked(rest, 0.5)
	var off []float64
	for _, p := range points {
		r := p.Stopping - l.Slope*p.Frequency - l.Intercept
		l.Residuals = append(l.Residuals, r)
		off = append(off, math.Abs(r))
	}
	slices.Sort(off)
	// The median of n normal values scatters by sqrt(pi/2n); the median of
	// their absolute values is 0.6745, and two of n went into the line.
	height := ranked(off, 0.5) / 0.6745 * math.Sqrt(math.Pi/2/float64(l.DegreesOfFreedom))
	l.UIntercept = math.Hypot(height, mean*l.USlope)
	l.Covariance = -mean * l.USlope * l.USlope
	return l.sound()
}

// mostPairs is the number of pairs beyond which their slopes are sampled: all pairs
// of 1,400 points.
const mostPairs = 1_000_000

// pairSlopes returns the slopes between the points of all pairs at different
// frequencies in V s, rising. Of many points each is paired with those at the same
// distances along the table, which are spread evenly over it: a sample that needs
// no chance.
func pairSlopes(points []Point) []float64 {
	n := len(points)
	distances := n - 1
	if n*(n-1)/2 > mostPairs {
		distances = max(mostPairs/n, 1)
	}
	var slopes []float64
	for k := range distances {
		apart := 1 + k*(n-1)/distances
		for i, a := range points[:n-apart] {
			if b := points[i+apart]; a.Frequency != b.Frequency {
				slopes = append(slopes, (b.Stopping-a.Stopping)/(b.Frequency-a.Frequency))
			}
		}
	}
	slices.Sort(slopes)
	return slopes
}

// ranked returns the value at a share between 0 and 1 of sorted values, by
// interpolation, and the ends beyond.
func ranked(sorted []float64, share float64) float64 {
	at := share * float64(len(sorted)-1)
	at = math.Max(0, math.Min(at, float64(len(sorted)-1)))
	i := int(at)
	if i == len(sorted)-1 {
		return sorted[i]
	}
	return sorted[i] + (at-float64(i))*(sorted[i+1]-sorted[i])
}
