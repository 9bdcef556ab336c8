package analysis

import "math"

// PowerLaw fits a power of the voltage left to the cutoff, the exponent
// included.
type PowerLaw struct {
	// Span scales the stretch that is called straight; 0 stands for 1, the usual choice.
	Span float64
}

// Name returns "power-law".
func (PowerLaw) Name() string { return "power-law" }

// Spanned has HandMethod's meaning.
func (PowerLaw) Spanned(span float64) Method { return PowerLaw{Span: span} }

// Page describes the method.
func (PowerLaw) Page() Page {
	return Page{
		Summary: "A power of the voltage left to the cutoff, with the exponent as a parameter, fitted to the current above its reverse plateau " +
			"from six tenths to three hundredths of the photocurrent at zero volts.",
		ByHand: "Subtract the reverse current and plot the logarithm of the rest against the logarithm of the trial cutoff " +
			"less the voltage; change the trial until the plot is straight.",
		Assumes: "A cold emitter and a cell whose current ends as (V_stop - V)^n, with any n.",
		Errs: "Too high, since the warm tail looks like a larger exponent with a later end; more so with few readings " +
			"near the knee. More light changes nothing.",
		Source: "common practice, no source; for n = 2 the limit of R. H. Fowler, Phys. Rev. 38, 45 (1931)",
	}
}

// straightPower is where the current is called a power of the voltage left, in
// shares of the photocurrent at zero volts.
var straightPower = shares{high: 0.6, low: 0.03}

// steepestPower is the exponent beyond which a power is no cutoff but a tail
// (common practice, no source); between planes it is 2.
const steepestPower = 4

// Cutoff fits
//
//	ln(I - plateau) = a + n ln(V_stop - V)
//
// to the readings of the window, weighted by their uncertainties. Only V_stop is searched.
func (m PowerLaw) Cutoff(p *Prepared) Cutoff { return drawn(m, p, m.Span, beyond) }

func (PowerLaw) draw(p *Prepared, span float64) construction {
	base := p.level()
	from, to := p.window(straightPower.times(span), base, 4)
	if to-from < 4 {
		return failed(TooFewReadings, "fewer than four readings on the fall from zero volts to the noise; take smaller steps there")
	}
	v, variance, ok := p.powerFit(base, from, to)
	if !ok {
		return failed(NotConverged, "no power of the voltage fits the knee; take smaller steps around it")
	}
	shifted := base
	shifted.Mean -= math.Sqrt(base.VarMean)
	if other, _, ok := p.powerFit(shifted, from, to); ok {
		variance += (other - v) * (other - v)
	}
	return construction{v: v, u: math.Sqrt(variance), n: to - from}
}

// powerFit fits the readings from <= i < to above a level.
func (p *Prepared) powerFit(base trend, from, to int) (v, variance float64, ok bool) {
	fit := &p.scratch.fit
	fit.y, fit.w = fit.y[:0], fit.w[:0]
	for i := from; i < to; i++ {
		above := max(p.I[i]-base.At(p.V[i]), p.U[i])
		fit.y = append(fit.y, math.Log(above))
		fit.w = append(fit.w, above*above/(p.U[i]*p.U[i]))
	}
	fit.ready(p.V[from:to], constant)
	// The cutoff lies beyond the last reading that is above the tail.
	last, step := p.V[to-1], (p.V[to-1]-p.V[from])/float64(to-1-from)
	_, high := p.cutoffRange(from)
	low := last + step/100
	high = max(high, low+step)
	found := search(func(v float64) float64 {
		fit.logarithm(v)
		return fit.chiSquare()
	}, max(p.guess(from), last+step), step/2, low, high, step*1e-6)
	if !found.Inside {
		return 0, 0, false
	}
	v = found.X
	var square, product, chi2 float64
	for range 3 {
		fit.logarithm(v)
		fit.chiSquare()
		square, product, chi2 = fit.normal()
		v = min(max(v+product/square, low), high)
	}
	return v, inflation(chi2, to-from-fit.parameters(), p.NoiseKnown) / square, fit.amplitude > 0 && fit.amplitude <= steepestPower
}

// logarithm sets the shape to ln(v - V).
func (s *separable) logarithm(v float64) {
	for i, x := range s.v {
		s.shape[i], s.slope[i] = math.Log(v-x), 1/(v-x)
	}
}

// Construct draws the fitted power.
func (m PowerLaw) Construct(p *Prepared, c Cutoff) []Stroke {
	if c.Status != OK {
		return nil
	}
	base := p.level()
	from, to := p.window(straightPower.times(m.Span), base, 4)
	if _, _, ok := p.powerFit(base, from, to); !ok {
		return nil
	}
	fit := &p.scratch.fit
	curve := Stroke{Role: "fitted power"}
	const pieces = 48
	for k := range pieces + 1 {
		v := p.V[from] + (c.Stopping-p.V[from])*float64(k)/pieces
		current := base.At(v)
		if left := c.Stopping - v; left > 0 {
			current += math.Exp(fit.base + fit.amplitude*math.Log(left))
		}
		curve.V, curve.I = append(curve.V, v), append(curve.I, current)
	}
	return []Stroke{
		curve,
		base.stroke("level taken off", p.V[from], p.V[len(p.V)-1]),
		{Role: "power meets zero", V: []float64{c.Stopping}, I: []float64{base.At(c.Stopping)}},
	}
}
