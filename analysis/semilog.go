package analysis

import "math"

// SemiLog takes the meeting point of two straight lines on a plot of the
// logarithm of the current above its reverse plateau.
type SemiLog struct {
	// Span scales the stretch that is called straight; 0 stands for 1, the usual choice.
	Span float64
}

// Name returns "semi-log".
func (SemiLog) Name() string { return "semi-log" }

// Spanned has HandMethod's meaning.
func (SemiLog) Spanned(span float64) Method { return SemiLog{Span: span} }

// Page describes the method.
func (SemiLog) Page() Page {
	return Page{
		Summary: "On a plot of the logarithm of the current, the meeting point of the lines through the upper branch and through the warm tail.",
		ByHand: "Subtract the reverse current, plot the rest on semi-logarithmic paper, and lay one ruler along the upper branch " +
			"and one along the steep end; read where they meet.",
		Assumes: "The current ends in the exponential tail of a warm emitter, which is seen over some readings above the noise.",
		Errs: "Too low: by some kT/e where the tail is seen, and by much more, and more for a larger photon energy, where noise or large " +
			"steps hide it. Then a brighter line reads higher too.",
		Source: "common practice, no source",
	}
}

// Cutoff crosses the line through the steep part and the steepest line through
// three neighbouring readings in the tail.
func (SemiLog) Cutoff(p *Prepared) Cutoff {
	if !p.parts.Falls {
		return noFall(p)
	}
	base := p.level()
	upper, lower, ok := p.branches(base)
	if !ok {
		return fail(TooFewReadings, "fewer than three readings between the steep part and the noise; take smaller steps there")
	}
	if lower.Slope >= upper.Slope {
		return fail(NoCutoff, "the logarithm of the current does not bend down; take smaller steps around the knee")
	}
	v, u := cross(upper, lower)
	shifted := base
	shifted.Mean -= math.Sqrt(base.VarMean)
	if a, b, ok := p.branches(shifted); ok {
		other, _ := cross(a, b)
		u = math.Hypot(u, other-v)
	}
	if v < p.V[p.parts.SteepFrom] || v > p.V[len(p.V)-1] {
		return fail(NoCutoff, "the two branches do not meet within the sweep; take smaller steps around the knee")
	}
	return p.answer(v, u)
}

// branches returns the straight lines through the logarithm of the current above
// a level: along the steep part, and the steepest through three readings beyond.
func (p *Prepared) branches(base trend) (upper, lower trend, ok bool) {
	s := &p.scratch
	s.y, s.w = s.y[:0], s.w[:0]
	from := p.parts.SteepFrom
	for i := from; i < len(p.V); i++ {
		above := p.I[i] - base.At(p.V[i])
		if above <= surely*math.Sqrt(p.U[i]*p.U[i]+base.Var(p.V[i])) {
			break
		}
		s.y, s.w = append(s.y, math.Log(above)), append(s.w, p.U[i]/above)
	}
	steep := p.parts.SteepTo - from
	x := p.V[from : from+len(s.y)]
	if len(x) < steep+2 {
		return upper, lower, false
	}
	upper = straight(x[:steep], s.y[:steep], s.w[:steep]).Widen(x[:steep], s.y[:steep], s.w[:steep])
	for i := steep - 1; i+3 <= len(x); i++ {
		if t := straight(x[i:i+3], s.y[i:i+3], s.w[i:i+3]); i == steep-1 || t.Slope < lower.Slope*(1+tie) {
			lower = t.Widen(x[i:i+3], s.y[i:i+3], s.w[i:i+3])
		}
	}
	return upper, lower, true
}

// Construct draws both branches as currents.
func (SemiLog) Construct(p *Prepared, c Cutoff) []Stroke {
	if c.Status != OK {
		return nil
	}
	base := p.level()
	upper, lower, ok := p.branches(base)
	if !ok {
		return nil
	}
	draw := func(t trend, role string, from, to float64) Stroke {
		s := Stroke{Role: role}
		const pieces = 32
		for k := range pieces + 1 {
			v := from + (to-from)*float64(k)/pieces
			s.V, s.I = append(s.V, v), append(s.I, base.At(v)+math.Exp(t.At(v)))
		}
		return s
	}
	return []Stroke{
		draw(upper, "upper branch", p.V[p.parts.SteepFrom], c.Stopping),
		draw(lower, "warm tail", c.Stopping, p.V[len(p.V)-1]),
		{Role: "meeting point", V: []float64{c.Stopping}, I: []float64{base.At(c.Stopping) + math.Exp(upper.At(c.Stopping))}},
	}
}
