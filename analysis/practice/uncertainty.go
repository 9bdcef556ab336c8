package practice

import (
	"math"
	"slices"

	"stopvolt/analysis"
)

// A Verdict says whether a stated uncertainty is right for the student's work.
type Verdict string

// The verdicts. NotJudged is that of an answer without two voltages, for which
// there is nothing to go by.
const (
	NotStated Verdict = "not-stated"
	NotJudged Verdict = "not-judged"
	TooSmall  Verdict = "too-small"
	Fits      Verdict = "fits"
	TooLarge  Verdict = "too-large"
)

// reasons returns the standard uncertainties of h/e in V s that the student's own
// work gives reason for: the scatter of the points about the line, and what the
// uncertainties of the points give, as a person reads them off the dial and as the
// method states them. With two points there is no scatter to go by.
func (c *Case) reasons() []float64 {
	var reasons []float64
	add := func(u float64) {
		if u > 0 && !math.IsInf(u, 0) {
			reasons = append(reasons, u)
		}
	}
	if len(c.points) < 2 {
		return nil
	}
	// A slope that a weighted line has as well may be that of the ordinary one.
	add(c.Line.USlope)
	for _, l := range c.lines {
		add(l.USlope)
	}
	add(propagated(c.points))
	add(propagated(c.withMethodsU()))
	return reasons
}

// withMethodsU returns the points with the standard uncertainties that the compared
// method states of its own cutoffs.
func (c *Case) withMethodsU() []analysis.Point {
	x, ok := c.compared()
	if !ok {
		return nil
	}
	points := slices.Clone(c.points)
	for i := range points {
		points[i].UStopping = x.U[c.Truth.place(points[i].Setting)]
	}
	return points
}

// Bounds returns the least and the greatest uncertainty of h/e in V s that is right
// for the student's work: from half the least of the reasons to the larger of three
// times the greatest and what the method is known to be off by here; ok is false where
// there is nothing to go by. It goes by the scatter and by what the points'
// uncertainties give, never by the student's distance from the truth.
//
// What the program itself states of an answer by this method is right too. It holds the
// spread between the methods, which no reason does: of 1134 honest statements of
// simulated students 99 would lose points without this, all of them those that copy it.
func (c *Case) Bounds() (low, high float64, ok bool) {
	reasons := c.reasons()
	if len(reasons) == 0 {
		return 0, 0, false
	}
	low, high = slices.Min(reasons)/2, 3*slices.Max(reasons)
	if x, ok := c.compared(); ok {
		for _, u := range []float64{math.Abs(x.HOverE - c.Truth.HOverE), x.UAnswer} {
			if u > high {
				high = u
			}
		}
	}
	return low, high, true
}

// beyond is the factor past the bounds up to which an uncertainty earns half.
const beyond = 2

// judge returns the verdict on the stated uncertainty, and its share of the points.
// Where h/e is not the slope of the own line the slip has cost its points already,
// and the uncertainty is judged relative to the h/e that it belongs to, if that is
// to the student's good.
func (c *Case) judge() (Verdict, float64) {
	u := c.U()
	if !(u > 0) {
		return NotStated, 0
	}
	low, high, ok := c.Bounds()
	if !ok {
		return NotJudged, 0
	}
	verdict, best := judged(u, low, high)
	if h := math.Abs(c.HOverE()); h > 0 && c.Line != nil && !c.resultFollows() {
		if other, share := judged(u/h*math.Abs(c.Line.Slope), low, high); share > best {
			verdict, best = other, share
		}
	}
	return verdict, best
}

// judged is the rule for an uncertainty between two bounds. What was written to two
// digits may round across them, by 5 % where the first is a one.
func judged(u, low, high float64) (Verdict, float64) {
	const digits = 0.05
	low, high = low*(1-digits), high*(1+digits)
	switch {
	case u < low/beyond:
		return TooSmall, 0
	case u < low:
		return TooSmall, 0.5
	case u <= high:
		return Fits, 1
	case u <= high*beyond:
		return TooLarge, 0.5
	}
	return TooLarge, 0
}

// Uncertainty returns the verdict on the stated uncertainty of h/e.
func (c *Case) Uncertainty() Verdict {
	verdict, _ := c.judge()
	return verdict
}

// MethodBias returns how far the method that the student's voltages are compared
// with puts h/e from the truth on these readings, relative to it; NaN where it has
// no line.
func (c *Case) MethodBias() float64 {
	x, ok := c.compared()
	if !ok {
		return math.NaN()
	}
	return x.HOverE/c.Truth.HOverE - 1
}
