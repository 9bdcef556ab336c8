package analysis

import "math"

// ZeroCrossing takes the voltage at which the current changes its sign.
type ZeroCrossing struct{}

// Name returns "zero-crossing".
func (ZeroCrossing) Name() string { return "zero-crossing" }

// Page describes the method.
func (ZeroCrossing) Page() Page {
	return Page{
		Summary: "The voltage at which the current changes its sign, between two readings by a straight line.",
		ByHand:  "Draw a smooth curve through the readings and see where it crosses the axis of no current.",
		Assumes: "The reverse current is small beside the forward current at the crossing.",
		Errs: "Too low, by as much as the reverse current asks for: the forward current has to cancel it there. " +
			"A dim line with much stray light on the collector suffers most; more light on both changes nothing.",
		Source: "common practice, no source",
	}
}

// Cutoff interpolates the zero of the current. Where noise carries readings
// across the axis more than once, a straight line is put through all of them.
func (ZeroCrossing) Cutoff(p *Prepared) Cutoff {
	below, above := p.fallsTo(0)
	switch {
	case below < 0:
		return fail(NoNegativeCurrent, "no reading is negative or zero; sweep further, or use a method that needs no reverse current")
	case below == 0:
		return fail(NoCutoff, "the first reading is not above zero; start the sweep at a lower retarding voltage")
	case above < below:
		return p.answer(between(p, below-1, below, 0))
	}
	return p.fallAcross(below-1, min(above+2, len(p.V)), 0)
}

// fallsTo returns the first reading that is not above a level in A, or -1, and
// the last one that surely is.
func (p *Prepared) fallsTo(level float64) (below, above int) {
	below, above = -1, -1
	for i, current := range p.I {
		if current <= level && below < 0 {
			below = i
		}
		if current > level+surely*p.U[i] {
			above = i
		}
	}
	return below, above
}

// between returns where the straight line through readings i and j meets a
// level, and its uncertainty by the delta method.
func between(p *Prepared, i, j int, level float64) (v, u float64) {
	a, b := p.I[i]-level, p.I[j]-level
	step, fall := p.V[j]-p.V[i], a-b
	v = p.V[i] + step*a/fall
	u = step / (fall * fall) * math.Hypot(b*p.U[i], a*p.U[j])
	return v, u
}

// fallAcross returns where the straight line through the readings from <= i < to
// meets a level.
func (p *Prepared) fallAcross(from, to int, level float64) Cutoff {
	t := straight(p.V[from:to], p.I[from:to], p.U[from:to]).Widen(p.V[from:to], p.I[from:to], p.U[from:to])
	v, u := cross(t, trend{Centre: p.V[from], Mean: level})
	if t.Slope >= 0 || v < p.V[from] || v > p.V[to-1] {
		return fail(NoCutoff, "the current crosses the level more than once and does not fall there; its noise hides the crossing")
	}
	return p.answer(v, u)
}

// Construct marks the crossing.
func (ZeroCrossing) Construct(p *Prepared, c Cutoff) []Stroke {
	if c.Status != OK {
		return nil
	}
	return []Stroke{
		{Role: "line of no current", V: []float64{p.V[0], p.V[len(p.V)-1]}, I: []float64{0, 0}},
		{Role: "change of sign", V: []float64{c.Stopping}, I: []float64{0}},
	}
}
