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
	if !p.parts.Falls {
		return noFall(p)
	}
	if t := p.parts.Plateau; p.parts.Flat {
		if v := p.V[p.parts.PlateauFrom]; t.At(v) > -surely*math.Sqrt(t.Var(v)) {
			return fail(NoNegativeCurrent, "the plateau is not surely below zero, so that its noise would tell where the current changes its sign; use a method that needs no reverse current")
		}
	}
	c := p.falls(0)
	if c.Status == NoCutoff && c.Reason == neverFalls {
		return fail(NoNegativeCurrent, "no reading is negative or zero; sweep further, or use a method that needs no reverse current")
	}
	return c
}

// What may hinder a current from falling to a level.
const (
	neverFalls  = "the current never falls to the level that is looked for; sweep to a higher retarding voltage"
	alwaysBelow = "the current at zero volts is not above the level that is looked for; take a smaller one, or more light"
	manyTimes   = "the current crosses the level more than once and does not fall there; its noise hides the crossing"
)

// falls returns where the current falls to a level in A, from zero volts on.
func (p *Prepared) falls(level float64) Cutoff {
	below, above := -1, -1
	for i := p.parts.Begin; i < len(p.V); i++ {
		if p.I[i] <= level && below < 0 {
			below = i
		}
		if p.I[i] > level+surely*p.U[i] {
			above = i
		}
	}
	switch {
	case below < 0:
		return fail(NoCutoff, neverFalls)
	case below == p.parts.Begin:
		return fail(NoCutoff, alwaysBelow)
	case above < below:
		v, u := between(p, below-1, below, level)
		return p.smoothed(v, u, level)
	}
	v, u, ok := p.fallAcross(below-1, min(above+2, len(p.V)), level)
	if !ok {
		return fail(NoCutoff, manyTimes)
	}
	return p.smoothed(v, u, level)
}

// asSmooth is the distance in kT/e from a crossing within which the curve is taken
// as straight, since a warm emitter's current has no sharper bend.
const asSmooth = 1.5

// smoothed returns the answer of a crossing near v: that of the straight line
// through the readings around it, as a person draws a smooth curve through them,
// where there are three or more.
func (p *Prepared) smoothed(v, u, level float64) Cutoff {
	reach := asSmooth * p.kT
	from := p.parts.Begin
	for from < len(p.V) && p.V[from] < v-reach {
		from++
	}
	to := from
	for to < len(p.V) && p.V[to] <= v+reach {
		to++
	}
	if to-from >= 3 {
		if better, u2, ok := p.fallAcross(from, to, level); ok {
			return p.answer(better, u2, to-from, within)
		}
	}
	return p.answer(v, u, 1, within)
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
// meets a level, and whether it falls to it there.
func (p *Prepared) fallAcross(from, to int, level float64) (v, u float64, ok bool) {
	t := straight(p.V[from:to], p.I[from:to], p.U[from:to]).Widen(p.V[from:to], p.I[from:to], p.U[from:to])
	v, u = cross(t, trend{Centre: p.V[from], Mean: level})
	return v, u, t.Slope < 0 && v >= p.V[from] && v <= p.V[to-1]
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
