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
		Summary: "On a plot of the logarithm of the current above its reverse plateau, the meeting point of the lines through the upper branch, from eight to three tenths " +
			"of the photocurrent at zero volts, and through the warm tail, the last decade above three times the plateau's noise.",
		ByHand: "Subtract the reverse current, plot the rest on semi-logarithmic paper, and lay one ruler along the upper branch " +
			"and one along the last decade above the noise; read where they meet.",
		Assumes: "The current ends in the exponential tail of a warm emitter, which is seen over some readings above the noise.",
		Errs: "Too low: by some kT/e where the tail is seen, and by much more, and more for a larger photon energy, where noise or large " +
			"steps hide it. Then a brighter line reads higher too, and there is often no answer, since the current still flows at the voltage found.",
		Source: "common practice, no source",
	}
}

// The branches of the logarithm of the current: the upper one in shares of the
// photocurrent at zero volts, and the lower one in decades above three times
// the plateau's noise (common practice, no source).
var upperBranch = shares{high: 0.8, low: 0.3}

const lowerDecades = 1.0

// Cutoff crosses the straight lines through the two branches.
func (m SemiLog) Cutoff(p *Prepared) Cutoff { return drawn(m, p, m.Span, within) }

func (SemiLog) draw(p *Prepared, span float64) construction {
	base := p.level()
	upper, lower, n := p.branches(base, span)
	if n == 0 {
		return failed(TooFewReadings, "fewer than two readings on the upper branch or three in the last decade above the noise; take smaller steps there, or more light")
	}
	if lower.Slope >= upper.Slope {
		return failed(NoCutoff, "the logarithm of the current does not bend down; take smaller steps around the knee")
	}
	v, u := cross(upper, lower)
	shifted := base
	shifted.Mean -= math.Sqrt(base.VarMean)
	if a, b, n := p.branches(shifted, span); n > 0 {
		other, _ := cross(a, b)
		u = math.Hypot(u, other-v)
	}
	return construction{v: v, u: u, n: n}
}

// branches returns the straight lines through the logarithm of the current above
// a level, upper branch and warm tail, and the number of readings on the tail, 0
// if one of them has too few.
func (p *Prepared) branches(base trend, span float64) (upper, lower trend, n int) {
	from, to := p.window(upperBranch.times(span), base, 2)
	if to-from < 2 {
		return upper, lower, 0
	}
	last := p.parts.Lit
	floor := surely * math.Sqrt(p.U[last]*p.U[last]+base.Var(p.V[last]))
	top := min(floor*math.Pow(10, lowerDecades*usual(span)), p.above(to-1, base)*(1-tie))
	start := to
	for start <= last && p.above(start, base) > top {
		start++
	}
	end := start
	for end <= last && p.seen(end, base) {
		end++
	}
	if end-start < 3 {
		return upper, lower, 0
	}
	return p.logarithmic(base, from, to), p.logarithmic(base, start, end), end - start
}

// logarithmic returns the straight line through the logarithm of the current
// above a level at the readings from <= i < to.
func (p *Prepared) logarithmic(base trend, from, to int) trend {
	s := &p.scratch
	s.y, s.w = s.y[:0], s.w[:0]
	for i := from; i < to; i++ {
		above := max(p.above(i, base), p.U[i])
		s.y, s.w = append(s.y, math.Log(above)), append(s.w, p.U[i]/above)
	}
	return straight(p.V[from:to], s.y, s.w).Widen(p.V[from:to], s.y, s.w)
}

// Construct draws both branches as currents.
func (m SemiLog) Construct(p *Prepared, c Cutoff) []Stroke {
	if c.Status != OK {
		return nil
	}
	base := p.level()
	upper, lower, n := p.branches(base, m.Span)
	if n == 0 {
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
	from, _ := p.window(upperBranch.times(m.Span), base, 2)
	return []Stroke{
		draw(upper, "upper branch", p.V[from], c.Stopping),
		draw(lower, "warm tail", c.Stopping, p.V[min(p.parts.PlateauFrom, len(p.V)-1)]),
		{Role: "meeting point", V: []float64{c.Stopping}, I: []float64{base.At(c.Stopping) + math.Exp(upper.At(c.Stopping))}},
	}
}
