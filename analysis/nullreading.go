package analysis

import "math"

// NullReading takes the smallest retarding voltage at which the meter shows no
// forward current, and none beyond it.
type NullReading struct {
	// Span scales the current up to which the meter is taken to read zero; 0 stands for 1, the usual choice.
	Span float64
}

// Name returns "null-reading".
func (NullReading) Name() string { return "null-reading" }

// Spanned has HandMethod's meaning.
func (NullReading) Spanned(span float64) Method { return NullReading{Span: span} }

// Page describes the method.
func (NullReading) Page() Page {
	return Page{
		Summary: "The smallest retarding voltage from which on the meter shows no forward current.",
		ByHand: "Turn the retarding voltage up until the meter first reads zero and stays there; " +
			"read the voltmeter.",
		Assumes: "No current flows backwards, and the current stops sharply.",
		Errs: "Without reverse current too high, since the warm tail is seen as far as the meter resolves it: " +
			"brighter light and a better meter read higher. With reverse current too low, since the two " +
			"currents cancel before the forward one ends, and lower for a dimmer line. The threshold is one " +
			"step of the last digit, or three times the noise where that is more, so scaling the current moves it.",
		Source: "common practice, no source",
	}
}

// Cutoff finds the first reading that cannot be told from zero, none after it
// being above. Its uncertainty is that of a turning point somewhere in the last
// step of voltage, and that of the current over the slope there.
func (m NullReading) Cutoff(p *Prepared) Cutoff {
	first := len(p.V)
	for first > 0 && p.I[first-1] <= m.threshold(p, first-1) {
		first--
	}
	switch first {
	case len(p.V):
		return fail(NoCutoff, "the current is still above zero at the last reading; sweep to a higher retarding voltage")
	case 0:
		return fail(NoCutoff, "no reading is above zero; start the sweep at a lower retarding voltage, or check the light")
	}
	step := p.V[first] - p.V[first-1]
	fall := (p.I[first-1] - p.I[first]) / step
	return p.answer(p.V[first], math.Hypot(step/math.Sqrt(12), math.Hypot(p.U[first], p.U[first-1])/fall))
}

// threshold is the current in A up to which a person takes reading i for zero.
func (m NullReading) threshold(p *Prepared, i int) float64 {
	return usual(m.Span) * max(p.Resolution, surely*p.U[i])
}

// Construct marks the reading on the axis.
func (NullReading) Construct(p *Prepared, c Cutoff) []Stroke {
	if c.Status != OK {
		return nil
	}
	return []Stroke{
		{Role: "line of no current", V: []float64{p.V[0], p.V[len(p.V)-1]}, I: []float64{0, 0}},
		{Role: "first reading of zero", V: []float64{c.Stopping}, I: []float64{0}},
	}
}
