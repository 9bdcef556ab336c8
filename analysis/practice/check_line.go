package practice

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"stopvolt/analysis"
	"stopvolt/physics"
)

// lineChecks compare the student's slope with lines through the student's own
// voltages. They look where the slope is not that of the right line.
func lineChecks() []Check {
	return []Check{
		{Name: "power-of-ten", Cost: 0.5, Explains: true,
			Looks: "The slope was written a power of ten off that of the right line.", find: slopePower},
		{Name: "wavelength-axis", Cost: 1, Explains: true,
			Looks: "The voltages were drawn against the wavelength, in nm, um or m, where the frequency is meant: the slope is that of such a line.", find: wavelengthAxis},
		{Name: "reciprocal-axis", Cost: 1, Explains: true,
			Looks: "The voltages were drawn against the inverse of the wavelength: the slope is that of such a line, and h/e was not divided by the speed of light.", find: reciprocalAxis},
		{Name: "axes-swapped", Cost: 1, Explains: true,
			Looks: "The axes were exchanged: the slope is that of the frequency against the voltage.", find: axesSwapped},
		{Name: "through-origin", Cost: 1, Explains: true,
			Looks: "The line was forced through zero, where its intercept is free: the slope is that of such a line.", find: throughOrigin},
		{Name: "point-dropped", Cost: 0.5, Explains: true,
			Looks: "A setting was left out without a word: slope and intercept are those of the line without it.", find: pointDropped},
	}
}

// lineFollows reports whether the slope is that of the line through the
// student's own voltages: as a computer has it, or as a ruler does, within the
// scatter of the points, and within what the digits leave that were not written down.
func (c *Case) lineFollows() bool {
	if c.Line == nil || !c.own.Slope.Given() {
		return false
	}
	for _, l := range c.lines {
		if same(c.own.Slope, l.Slope) {
			return true
		}
	}
	return math.Abs(c.own.Slope.Value-c.Line.Slope) <= max(c.Scheme.Tolerances.Slope*math.Abs(c.Line.Slope), c.Line.USlope, 3*c.rounding())
}

// looks returns the own line where a check has something to look at: a slope
// that does not follow.
func (c *Case) looks() (*analysis.Line, bool) {
	return c.Line, c.Line != nil && c.own.Slope.Given() && !c.lineFollows()
}

func slopePower(c *Case) (Evidence, bool) {
	line, ok := c.looks()
	if !ok {
		return Evidence{}, false
	}
	tolerance := max(0.02, line.USlope/math.Abs(line.Slope))
	n, ok := powerOfTen(c.own.Slope.Value, line.Slope, min(tolerance, 0.2))
	e := about(c.own.Slope.Value, line.Slope, "V s")
	e.Power = n
	return e, ok && n != 0
}

// against returns the slope of the own voltages against another quantity.
func (c *Case) against(x func(frequency float64) float64) float64 {
	var xs, ys []float64
	for _, p := range c.points {
		xs, ys = append(xs, x(p.Frequency)), append(ys, p.Stopping)
	}
	_, slope := stat.LinearRegression(xs, ys, nil, false)
	return slope
}

// vacuum returns the wavelength in m of light of a frequency in Hz.
func vacuum(frequency float64) float64 { return physics.SpeedOfLight / frequency }

// ofSlope reports whether the student's slope is another one, up to powers of
// ten that units make.
func (c *Case) ofSlope(slope float64, powers ...int) bool {
	for _, n := range powers {
		scaled := c.own.Slope
		scaled.Value *= math.Pow10(-n)
		scaled.Half *= math.Pow10(-n)
		if same(scaled, slope) || same(scaled, -slope) {
			return true
		}
	}
	return false
}

func wavelengthAxis(c *Case) (Evidence, bool) {
	if _, ok := c.looks(); !ok {
		return Evidence{}, false
	}
	slope := c.against(vacuum)
	return about(c.own.Slope.Value, c.Line.Slope, "V s"), c.ofSlope(slope, 0, -6, -9)
}

// byReciprocal is the slope against the inverse of the wavelength in V m.
func (c *Case) byReciprocal() float64 {
	return c.against(func(f float64) float64 { return 1 / vacuum(f) })
}

// reciprocalPowers lead from 1/m to 1/cm, 1/um and 1/nm.
var reciprocalPowers = []int{0, 2, 6, 9}

func reciprocalAxis(c *Case) (Evidence, bool) {
	if _, ok := c.looks(); !ok || !c.ofSlope(c.byReciprocal(), reciprocalPowers...) {
		return Evidence{}, false
	}
	// Divided by the speed of light it is the right thing by another way.
	return about(c.own.Slope.Value, c.Line.Slope, "V s"), !c.dividedByLight()
}

// dividedByLight reports whether h/e is the slope against the inverse of the
// wavelength over the speed of light.
func (c *Case) dividedByLight() bool {
	return c.Line != nil && c.ofSlope(c.byReciprocal(), reciprocalPowers...) && near(c.Answer.HOverE, c.Line.Slope)
}

func axesSwapped(c *Case) (Evidence, bool) {
	if _, ok := c.looks(); !ok {
		return Evidence{}, false
	}
	var volts, frequencies []float64
	for _, p := range c.points {
		volts, frequencies = append(volts, p.Stopping), append(frequencies, p.Frequency)
	}
	_, slope := stat.LinearRegression(volts, frequencies, nil, false)
	if !c.ofSlope(slope, 0, -12, -14, -15) && !c.ofSlope(1/c.Line.Slope, 0, -12, -14, -15) {
		return Evidence{}, false
	}
	return about(c.own.Slope.Value, c.Line.Slope, "V s"), true
}

func throughOrigin(c *Case) (Evidence, bool) {
	line, ok := c.looks()
	if !ok || c.own.Intercept.Given() && c.own.Intercept.Value != 0 {
		return Evidence{}, false
	}
	var fv, ff float64
	for _, p := range c.points {
		fv += p.Frequency * p.Stopping
		ff += p.Frequency * p.Frequency
	}
	return about(c.own.Slope.Value, line.Slope, "V s"), near(c.own.Slope, fv/ff)
}

// rounding returns the standard uncertainty of the slope in V s from the digits
// to which the voltages were written down, which the student may have had more
// of.
func (c *Case) rounding() float64 {
	rounded := slices.Clone(c.points)
	for i := range rounded {
		at := c.Truth.place(rounded[i].Setting)
		rounded[i].UStopping = c.own.Stopping[at].Half / math.Sqrt(3)
	}
	return propagated(rounded)
}

func pointDropped(c *Case) (Evidence, bool) {
	if c.Line == nil || !c.own.Slope.Given() || len(c.points) < 4 || same(c.own.Slope, c.Line.Slope) {
		return Evidence{}, false
	}
	rounding := c.rounding()
	if math.Abs(c.own.Slope.Value-c.Line.Slope) < 3*rounding {
		return Evidence{}, false
	}
	var middle float64
	for _, p := range c.points {
		middle += p.Frequency / float64(len(c.points))
	}
	for i := range c.points {
		var rest []analysis.Point
		rest = append(append(rest, c.points[:i]...), c.points[i+1:]...)
		l, err := analysis.Ordinary{}.Fit(rest)
		if err != nil || !same(c.own.Slope, l.Slope) {
			continue
		}
		// A ruler may have found the slope, unless each digit of it and of the
		// intercept is that of a computer, and the line misses the middle of
		// all points by more than those digits.
		exact := math.Abs(c.own.Slope.Value-l.Slope) <= 1.01*c.own.Slope.Half
		misses := math.Abs(l.Intercept+l.Slope*middle-c.Line.Intercept-c.Line.Slope*middle) > 1.5*c.own.Intercept.Half
		if c.lineFollows() && !(exact && misses) {
			continue
		}
		if c.own.Intercept.Given() && math.Abs(c.own.Intercept.Value-l.Intercept) > max(0.005, 1.01*c.own.Intercept.Half) {
			continue
		}
		// A point that lies on the line of the others is no loss.
		if math.Abs(l.Slope-c.Line.Slope) < max(0.005*math.Abs(c.Line.Slope), 3*rounding) {
			continue
		}
		e := about(c.own.Slope.Value, c.Line.Slope, "V s")
		e.Settings = []string{c.points[i].Setting}
		return e, true
	}
	return Evidence{}, false
}

// near reports whether a number was taken from another by rounding it on the
// way to two digits or so.
func near(q Quantity, x float64) bool {
	return q.Given() && math.Abs(q.Value-x) <= max(1.01*q.Half, 0.01*math.Abs(x))
}
