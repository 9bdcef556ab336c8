package analysis

import "math"

// SquareRoot fits a straight line to the square root of the current above the
// reverse plateau.
type SquareRoot struct {
	// Span scales the stretch that is called straight; 0 stands for 1, the usual choice.
	Span float64
}

// Name returns "square-root".
func (SquareRoot) Name() string { return "square-root" }

// Spanned has HandMethod's meaning.
func (SquareRoot) Spanned(span float64) Method { return SquareRoot{Span: span} }

// Page describes the method.
func (SquareRoot) Page() Page {
	return Page{
		Summary: "A straight line through the square root of the current above its reverse plateau, from four tenths to three hundredths of " +
			"the photocurrent at zero volts, extended to zero.",
		ByHand: "Subtract the reverse current, plot the square root of the rest against the voltage, " +
			"and extend the line through the readings between four tenths and three hundredths of the photocurrent at zero volts to the axis.",
		Assumes: "A pair of planes and a cold emitter: the current ends as (V_stop - V)^2.",
		Errs: "Each cutoff comes out a little too high, by a few kT/e, for the warm tail lifts the end of the curve, and yet h/e mostly comes out too low, " +
			"since the cutoffs of small photon energies are too high by more than those of large ones. If the " +
			"reverse current is taken too small (too large), the answer is too high (too low).",
		Source: "After R. H. Fowler, Phys. Rev. 38, 45 (1931), whose function tends to half the square of its argument.",
	}
}

// straightRoot is where the root of the current is called straight, in shares of
// the photocurrent at zero volts.
var straightRoot = shares{high: 0.4, low: 0.03}

// Cutoff fits the readings of the window, weighted by their uncertainties. That
// of the plateau is added by the delta method.
func (m SquareRoot) Cutoff(p *Prepared) Cutoff { return drawn(m, p, m.Span, beyond) }

func (SquareRoot) draw(p *Prepared, span float64) construction {
	base := p.level()
	from, to := p.window(straightRoot.times(span), base, 3)
	if to-from < 3 {
		return failed(TooFewReadings, "fewer than three readings on the fall from zero volts to the noise; take smaller steps there")
	}
	v, u := p.rootFit(base, from, to)
	// One more or less in the level of the plateau, all else as it is.
	shifted := base
	shifted.Mean -= math.Sqrt(base.VarMean)
	other, _ := p.rootFit(shifted, from, to)
	if v < p.V[from] {
		return failed(NotConverged, "the root of the current does not fall towards zero; take smaller steps around the knee")
	}
	return construction{v: v, u: math.Hypot(u, other-v), n: to - from}
}

// rootFit returns the zero of the straight line through the roots of the
// readings from <= i < to.
func (p *Prepared) rootFit(base trend, from, to int) (v, u float64) {
	s := &p.scratch
	s.y, s.w = s.y[:0], s.w[:0]
	for i := from; i < to; i++ {
		root := math.Sqrt(max(p.I[i]-base.At(p.V[i]), p.U[i]))
		s.y = append(s.y, root)
		s.w = append(s.w, p.U[i]/(2*root))
	}
	x := p.V[from:to]
	return cross(straight(x, s.y, s.w).Widen(x, s.y, s.w), trend{})
}

// Construct draws the parabola that the straight line of roots stands for.
func (m SquareRoot) Construct(p *Prepared, c Cutoff) []Stroke {
	if c.Status != OK {
		return nil
	}
	base := p.level()
	from, to := p.window(straightRoot.times(m.Span), base, 3)
	var sum, weight float64
	for i := from; i < to; i++ {
		d := c.Stopping - p.V[i]
		sum += math.Sqrt(p.I[i]-base.At(p.V[i])) * d
		weight += d * d
	}
	slope := sum / weight
	parabola := Stroke{Role: "parabola of the straight root"}
	const pieces = 32
	for k := range pieces + 1 {
		v := p.V[from] + (c.Stopping-p.V[from])*float64(k)/pieces
		rise := slope * (c.Stopping - v)
		parabola.V = append(parabola.V, v)
		parabola.I = append(parabola.I, base.At(v)+rise*rise)
	}
	return []Stroke{
		parabola,
		base.stroke("level taken off", p.V[from], p.V[len(p.V)-1]),
		{Role: "root meets zero", V: []float64{c.Stopping}, I: []float64{base.At(c.Stopping)}},
	}
}
