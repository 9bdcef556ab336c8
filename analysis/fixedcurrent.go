package analysis

import "math"

// FixedCurrent takes the voltage at which the current has fallen to a small fixed
// value, the same for all settings.
type FixedCurrent struct {
	// Current is that value in A. For 0 it is the smallest that the meter shows
	// for certain: one and a half steps of its last digit, or three times the
	// smallest noise where that is more, at that setting of the run where it is most.
	Current float64
	// Span scales the value; 0 stands for 1, the usual choice.
	Span float64
}

// Name returns "fixed-current".
func (FixedCurrent) Name() string { return "fixed-current" }

// Spanned has HandMethod's meaning.
func (m FixedCurrent) Spanned(span float64) Method {
	return FixedCurrent{Current: m.Current, Span: span}
}

// Page describes the method.
func (FixedCurrent) Page() Page {
	return Page{
		Summary: "The voltage at which the current has fallen to a small fixed value, the same for all settings.",
		ByHand:  "Choose the smallest current that the meter shows for certain, turn the retarding voltage up until it is reached, and do the same at each setting.",
		Assumes: "The curves of all settings have one shape and one height at their ends, so that the error is the same at each.",
		Errs: "Too low by what the current still has to fall, less the reverse current. A brighter line reads higher, so " +
			"brightness that goes with the photon energy makes the slope too high. The threshold is absolute: scaling the current moves it.",
		Source: "common practice, no source",
	}
}

// Cutoff interpolates where the current falls to the fixed value, and says which
// it was.
func (m FixedCurrent) Cutoff(p *Prepared) Cutoff {
	if !p.parts.Falls {
		return noFall(p)
	}
	level := m.level(p)
	c := p.falls(level)
	c.Level = level
	if m.Current > 0 || c.Status != OK {
		return c
	}
	// Nobody fixed the current: it is told by the noise, which is known that well.
	for _, factor := range [...]float64{shorter, longer} {
		if other := p.falls(level * factor); other.Status == OK {
			c.U = max(c.U, math.Abs(other.Stopping-c.Stopping))
		}
	}
	return c
}

// level returns the fixed value in A for a curve.
func (m FixedCurrent) level(p *Prepared) float64 {
	if m.Current > 0 {
		return m.Current * usual(m.Span)
	}
	return p.least * usual(m.Span)
}

// Construct draws the level and marks where the curve meets it.
func (m FixedCurrent) Construct(p *Prepared, c Cutoff) []Stroke {
	if c.Status != OK {
		return nil
	}
	level := m.level(p)
	return []Stroke{
		{Role: "fixed current", V: []float64{p.V[0], p.V[len(p.V)-1]}, I: []float64{level, level}},
		{Role: "falls to the fixed current", V: []float64{c.Stopping}, I: []float64{level}},
	}
}
