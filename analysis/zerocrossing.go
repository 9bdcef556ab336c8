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
	below, above := p.crossing()
	switch {
	case below < 0:
		return fail(NoNegativeCurrent, "no reading is negative or zero; sweep further, or use a method that needs no reverse current")
	case below == 0:
		return fail(NoCutoff, "the first reading is not above zero; start the sweep at a lower retarding voltage")
	}
	if above < below {
		return answer(between(p, below-1, below))
	}
	from, to := below-1, min(above+2, len(p.V))
	axis := trend{Centre: p.V[from]}
	t := straight(p.V[from:to], p.I[from:to], p.U[from:to]).Widen(p.V[from:to], p.I[from:to], p.U[from:to])
	v, u := cross(t, axis)
	if t.Slope >= 0 || v < p.V[from] || v > p.V[to-1] {
		return fail(NoCutoff, "the current changes its sign more than once and does not fall there; its noise hides the crossing")
	}
	return answer(v, u)
}

// crossing returns the first reading that is not above zero, or -1, and the
// last one that surely is.
func (p *Prepared) crossing() (below, above int) {
	below, above = -1, -1
	for i, current := range p.I {
		if current <= 0 && below < 0 {
			below = i
		}
		if current > surely*p.U[i] {
			above = i
		}
	}
	return below, above
}

// between returns the zero of the straight line through readings i and j, and
// its uncertainty by the delta method.
func between(p *Prepared, i, j int) (v, u float64) {
	step, fall := p.V[j]-p.V[i], p.I[i]-p.I[j]
	v = p.V[i] + step*p.I[i]/fall
	u = step / (fall * fall) * math.Hypot(p.I[j]*p.U[i], p.I[i]*p.U[j])
	return v, u
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
