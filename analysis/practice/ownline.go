package practice

import (
	"math"
	"slices"

	"stopvolt/analysis"
)

// drawLine finds the line that the student's next step is measured by. A slip
// with the voltages is named in their own step, and must not cost once more
// here: whoever typed mV for V and went on with volts has the line in volts, and
// whoever went on with millivolts has a slope in mV s, which is as good.
func (c *Case) drawLine() {
	defer c.findLines()
	c.own, c.factor = c.Answer, 1
	c.fit(c.Answer.Stopping)
	repaired, factor, ok := c.repaired()
	if !ok || c.Line == nil {
		return
	}
	typed, points := c.Line, c.points
	c.fit(repaired)
	const alike = 0.2 // of the slope; scatter and a ruler stay below
	goesOn := func(q Quantity) bool { return q.Given() && math.Abs(q.Value/typed.Slope-1) < alike }
	// Without a slope, h/e tells which line there was.
	withTyped := goesOn(c.Answer.Slope) || !c.Answer.Slope.Given() && goesOn(c.Answer.HOverE)
	switch {
	case !withTyped:
		c.own.Stopping = repaired
	case factor == 1:
		c.Line, c.points = typed, points
	default:
		c.own.Stopping, c.factor = repaired, factor
		c.own.Slope, c.own.Intercept = c.Answer.Slope.over(factor), c.Answer.Intercept.over(factor)
	}
}

// over returns a quantity divided by a factor.
func (q Quantity) over(factor float64) Quantity {
	return Quantity{q.Value / factor, q.Half / math.Abs(factor)}
}

// fit draws the ordinary line through voltages but for those left out.
func (c *Case) fit(stopping []Quantity) {
	c.points = c.Truth.points(func(i int) (float64, bool) {
		return stopping[i].Value, stopping[i].Given() && !c.Answer.LeftOut[i]
	})
	for i := range c.points {
		// A person reads a cutoff to within a step of the dial.
		c.points[i].UStopping = c.Step / math.Sqrt(12)
	}
	c.Line = nil
	if l, err := (analysis.Ordinary{}).Fit(c.points); err == nil {
		c.Line = &l
	} else if l, ok := throughTwo(c.points); ok {
		c.Line = &l
	}
}

// throughTwo returns the line through two points, which has no scatter.
func throughTwo(points []analysis.Point) (analysis.Line, bool) {
	if len(points) != 2 || points[0].Frequency == points[1].Frequency {
		return analysis.Line{}, false
	}
	a, b := points[0], points[1]
	slope := (b.Stopping - a.Stopping) / (b.Frequency - a.Frequency)
	return analysis.Line{Slope: slope, Intercept: a.Stopping - slope*a.Frequency, Residuals: []float64{0, 0}}, true
}

// findLines finds the lines by every fit of the program that the student's slope
// agrees with: whoever weighted the points, or let a robust fit do it, did well.
func (c *Case) findLines() {
	if c.Line == nil {
		return
	}
	for _, points := range [][]analysis.Point{c.points, c.withMethodsU()} {
		for _, fit := range analysis.LineFits() {
			if l, err := fit.Fit(points); err == nil && same(c.own.Slope, l.Slope) {
				c.lines = append(c.lines, l)
			}
		}
	}
	if len(c.lines) == 0 {
		c.lines = append(c.lines, *c.Line)
	}
}

// repaired returns the voltages with a slip of the pen set right, and the factor
// that all have in common, 1 if there is none.
func (c *Case) repaired() (stopping []Quantity, factor float64, ok bool) {
	stopping = slices.Clone(c.Answer.Stopping)
	if _, ok := voltageSign(c); ok {
		for i := range stopping {
			stopping[i].Value *= -1
		}
		return stopping, -1, true
	}
	if e, ok := c.decade(); ok {
		stopping = c.inDecade(e)
		if c.allSlipped(e) {
			return stopping, math.Pow10(e.Power), true
		}
		return stopping, 1, true
	}
	if e, ok := neighboursSwapped(c); ok {
		at := c.Truth.place(e.Settings[0])
		stopping[at], stopping[at+1] = stopping[at+1], stopping[at]
		return stopping, 1, true
	}
	return nil, 1, false
}

// inDecade returns the voltages with a wrong power of ten taken out.
func (c *Case) inDecade(e Evidence) []Quantity {
	stopping := slices.Clone(c.Answer.Stopping)
	all := c.allSlipped(e)
	for i := range stopping {
		if all || slices.Contains(e.Settings, c.Truth.Settings[i].Name) {
			stopping[i] = stopping[i].over(math.Pow10(e.Power))
		}
	}
	return stopping
}

// allSlipped reports whether all voltages that say something have the power of ten.
func (c *Case) allSlipped(e Evidence) bool {
	for i, q := range c.Answer.Stopping {
		if q.Given() && c.counts(i) && !slices.Contains(e.Settings, c.Truth.Settings[i].Name) {
			return false
		}
	}
	return true
}
