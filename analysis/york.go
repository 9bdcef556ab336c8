package analysis

import (
	"fmt"
	"math"
)

// York is the straight line by least squares with uncertainties in both
// frequency and stopping voltage (D. York, N. M. Evensen, M. Lopez Martinez and
// J. De Basabe Delgado, Am. J. Phys. 72, 367 (2004)).
type York struct{}

// Name returns "york".
func (York) Name() string { return "york" }

// Fit returns the line. The errors of a point's frequency and voltage are taken
// as independent; where the frequencies have none, it is the weighted line. As
// there, the uncertainties of the line come from the residuals. An error says
// which point lacks an uncertainty, or that the iteration did not settle.
func (York) Fit(points []Point) (Line, error) {
	if err := checkPoints(points); err != nil {
		return Line{}, err
	}
	for _, p := range points {
		if p.UStopping == 0 && p.UFrequency == 0 {
			return Line{}, fmt.Errorf("setting %q has no uncertainty; a line with errors in both coordinates needs one above zero for each", p.Setting)
		}
	}
	start, _ := leastSquares(points, func(Point) float64 { return 1 })
	// The equations of the article, in frequencies about the mean so that
	// slopes near 10^-15 V s lose no digits.
	var origin float64
	for _, p := range points {
		origin += p.Frequency / float64(len(points))
	}
	slope := start.Slope
	const (
		turns = 200
		still = 1e-13
	)
	for range turns {
		y := yorkAt(points, origin, slope)
		if math.Abs(y.slope-slope) <= still*math.Abs(y.slope) {
			return y.line(points, origin).sound()
		}
		slope = y.slope
	}
	return Line{}, fmt.Errorf("the line with errors in both coordinates does not settle near %g V s; check the uncertainties", slope)
}

// A yorkTurn is one turn of the iteration for the slope.
type yorkTurn struct {
	// slope is the next slope; x and y are the weighted means.
	slope, x, y float64
	// weight is the sum of the weights, adjusted the weighted mean of the
	// adjusted x, and spread their weighted sum of squares about it.
	weight, adjusted, spread float64
}

// yorkAt returns the turn that starts from a slope.
func yorkAt(points []Point, origin, slope float64) yorkTurn {
	var t yorkTurn
	for _, p := range points {
		w := yorkWeight(p, slope)
		t.weight += w
		t.x += w * (p.Frequency - origin)
		t.y += w * p.Stopping
	}
	t.x /= t.weight
	t.y /= t.weight
	beta := func(p Point) (w, u, v, b float64) {
		w = yorkWeight(p, slope)
		u, v = p.Frequency-origin-t.x, p.Stopping-t.y
		return w, u, v, w * (u*p.UStopping*p.UStopping + slope*v*p.UFrequency*p.UFrequency)
	}
	var up, down float64
	for _, p := range points {
		w, u, v, b := beta(p)
		up += w * b * v
		down += w * b * u
		t.adjusted += w * b
	}
	t.slope = up / down
	t.adjusted /= t.weight
	for _, p := range points {
		w, _, _, b := beta(p)
		t.spread += w * (b - t.adjusted) * (b - t.adjusted)
	}
	t.adjusted += t.x
	return t
}

// yorkWeight is the inverse of the variance of a point's distance from a line of
// a slope.
func yorkWeight(p Point, slope float64) float64 {
	return 1 / (p.UStopping*p.UStopping + slope*slope*p.UFrequency*p.UFrequency)
}

// line returns the line of a turn that has settled.
func (t yorkTurn) line(points []Point, origin float64) Line {
	l := Line{Slope: t.slope, DegreesOfFreedom: len(points) - 2}
	height := t.y - t.slope*t.x
	l.Intercept = height - t.slope*origin
	for _, p := range points {
		r := p.Stopping - height - t.slope*(p.Frequency-origin)
		l.Residuals = append(l.Residuals, r)
		l.ChiSquare += r * r * yorkWeight(p, t.slope)
	}
	spread := l.ChiSquare / float64(l.DegreesOfFreedom)
	x := t.adjusted + origin
	l.USlope = math.Sqrt(spread / t.spread)
	l.UIntercept = math.Sqrt(spread * (1/t.weight + x*x/t.spread))
	l.Covariance = -spread * x / t.spread
	return l
}
