package analysis

import "math"

// NullReading takes the smallest retarding voltage at which the meter shows no
// forward current, and goes on showing none.
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
		Summary: "The smallest retarding voltage at which the meter shows no forward current three readings in a row.",
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

// inARow is the number of readings that must show no current for the meter to be
// taken to stay there, so that no flicker decides; a sweep may end before.
const inARow = 3

// Cutoff finds the first of three readings in a row that cannot be told from
// zero. Its uncertainty is that of a turning point somewhere in the last
// step of voltage, and that of the current over the slope there.
func (m NullReading) Cutoff(p *Prepared) Cutoff {
	if !p.parts.Falls {
		return noFall(p)
	}
	first, row := p.parts.Begin, 0
	for i := first; i < len(p.V) && row < inARow; i++ {
		if row++; p.I[i] > m.threshold(p, i) {
			first, row = i+1, 0
		}
	}
	switch first {
	case len(p.V):
		return fail(NoCutoff, "the current is still above zero at the last reading; sweep to a higher retarding voltage")
	case p.parts.Begin:
		return fail(NoCutoff, "the meter shows no current at zero volts; use a more sensitive range, or more light")
	}
	// The slope is that of the last stretch over which the current surely falls.
	before := first - 1
	for before > p.parts.Begin && p.I[before]-p.I[first] <= surely*math.Hypot(p.U[before], p.U[first]) {
		before--
	}
	fall := (p.I[before] - p.I[first]) / (p.V[first] - p.V[before])
	step := p.V[first] - p.V[first-1]
	c := p.answer(p.V[first], math.Hypot(step/math.Sqrt(12), math.Hypot(p.U[first], p.U[first-1])/fall), 1, within)
	c.Level = m.threshold(p, first)
	return c
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
