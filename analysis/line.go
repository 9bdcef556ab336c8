package analysis

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// A Point is the stopping voltage of one setting against its frequency.
type Point struct {
	// Setting names the state of the light.
	Setting string
	// Frequency is that of the nominal wavelength in Hz; UFrequency its
	// standard uncertainty in Hz, 0 for none.
	Frequency, UFrequency float64
	// Stopping is the stopping voltage in V; UStopping its standard
	// uncertainty in V, 0 where it is not known.
	Stopping, UStopping float64
}

// A Line is a straight line through points.
type Line struct {
	// Slope is h/e in V s, and Intercept minus the collector's work function
	// in V.
	Slope, Intercept float64
	// USlope and UIntercept are standard uncertainties, and Covariance is that
	// of slope and intercept in V^2 s.
	USlope, UIntercept, Covariance float64
	// DegreesOfFreedom is the number of points less two.
	DegreesOfFreedom int
	// ChiSquare is the weighted sum of squared residuals; NaN where the fit
	// has no weights.
	ChiSquare float64
	// Residuals are those of the points in their order, in V.
	Residuals []float64
}

// A LineFit is one way of putting a straight line through points.
type LineFit interface {
	// Name is the fit's name on the command line and in files.
	Name() string
	// Fit returns the line. It needs at least three points at two or more
	// distinct frequencies, and an error says what is missing.
	Fit(points []Point) (Line, error)
}

// Interval returns the interval of h/e in V s at a level such as 0.95, by
// Student's t with the line's degrees of freedom.
func (l Line) Interval(level float64) (low, high float64) {
	half := Coverage(l.DegreesOfFreedom, level) * l.USlope
	return l.Slope - half, l.Slope + half
}

// Coverage returns the number of standard uncertainties on either side of an
// estimate that make an interval of a level between 0 and 1 (JCGM 100:2008,
// G.3.2). It is NaN without degrees of freedom.
func Coverage(degreesOfFreedom int, level float64) float64 {
	if degreesOfFreedom < 1 || level <= 0 || level >= 1 {
		return math.NaN()
	}
	t := distuv.StudentsT{Sigma: 1, Nu: float64(degreesOfFreedom)}
	return t.Quantile((1 + level) / 2)
}

// StatedU returns the standard uncertainty of the slope in V s that the stated
// uncertainties of the points alone make, whatever the points' scatter about the
// line is; NaN for a fit without weights. USlope is that of the scatter, larger
// or smaller by Birge's ratio, sqrt(ChiSquare/DegreesOfFreedom).
func (l Line) StatedU() float64 {
	return l.USlope * math.Sqrt(float64(l.DegreesOfFreedom)/l.ChiSquare)
}

// WorkFunction returns the collector's work function in eV, which is minus the
// intercept, and its standard uncertainty.
func (l Line) WorkFunction() (phi, u float64) { return -l.Intercept, l.UIntercept }

// fewestPoints is the number of points that a line needs to say how well it
// fits.
const fewestPoints = 3

// checkPoints says what is missing for a straight line.
func checkPoints(points []Point) error {
	if len(points) < fewestPoints {
		return fmt.Errorf("%d usable settings; a line needs %d or more", len(points), fewestPoints)
	}
	distinct := false
	for _, p := range points {
		if !finite(p.Frequency) || !finite(p.Stopping) || !finite(p.UStopping) || p.UStopping < 0 ||
			!finite(p.UFrequency) || p.UFrequency < 0 {
			return fmt.Errorf("setting %q is (%v Hz, %v V, uncertainties %v Hz, %v V); all must be finite, and the uncertainties not negative",
				p.Setting, p.Frequency, p.Stopping, p.UFrequency, p.UStopping)
		}
		distinct = distinct || p.Frequency != points[0].Frequency
	}
	if !distinct {
		return errors.New("all settings have one frequency; a line needs two or more")
	}
	return nil
}

// sound returns a line, or an error if a number of it overflowed.
func (l Line) sound() (Line, error) {
	if !finite(l.Slope) || !finite(l.Intercept) || !finite(l.USlope) || !finite(l.UIntercept) {
		return Line{}, errors.New("the line has no finite slope; check for uncertainties that differ by many powers of ten")
	}
	return l, nil
}

// leastSquares returns the line that minimises the sum of the squared residuals
// with the weights 1/u(i)^2, and that sum. Its uncertainties are those that the
// residuals tell, so that Student's t holds for them: only the ratios of the
// weights matter. Frequencies are taken from their weighted mean, where slope
// and height are independent.
func leastSquares(points []Point, u func(Point) float64) (Line, float64) {
	var sw, sx, sy float64
	for _, p := range points {
		w := 1 / (u(p) * u(p))
		sw += w
		sx += w * p.Frequency
		sy += w * p.Stopping
	}
	x, y := sx/sw, sy/sw
	var sxx, sxy float64
	for _, p := range points {
		w, d := 1/(u(p)*u(p)), p.Frequency-x
		sxx += w * d * d
		sxy += w * d * (p.Stopping - y)
	}
	l := Line{Slope: sxy / sxx, DegreesOfFreedom: len(points) - 2}
	l.Intercept = y - l.Slope*x
	var chi2 float64
	for _, p := range points {
		r := p.Stopping - y - l.Slope*(p.Frequency-x)
		l.Residuals = append(l.Residuals, r)
		chi2 += r * r / (u(p) * u(p))
	}
	spread := chi2 / float64(l.DegreesOfFreedom)
	l.USlope = math.Sqrt(spread / sxx)
	l.UIntercept = math.Sqrt(spread * (1/sw + x*x/sxx))
	l.Covariance = -spread * x / sxx
	return l, chi2
}
