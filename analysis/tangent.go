package analysis

// Tangent extends the straight part of the fall to the axis of no current.
type Tangent struct {
	// Span scales the stretch that is called straight; 0 stands for 1, the usual choice.
	Span float64
}

// Name returns "tangent".
func (Tangent) Name() string { return "tangent" }

// Spanned has HandMethod's meaning.
func (Tangent) Spanned(span float64) Method { return Tangent{Span: span} }

// Page describes the method.
func (Tangent) Page() Page {
	return Page{
		Summary: "The straight line through the curve between eight and three tenths of the photocurrent at zero volts, extended to zero current.",
		ByHand:  "Lay a ruler along the plotted curve where it falls from eight to three tenths of the photocurrent at zero volts and read where it meets the axis.",
		Assumes: "The current falls in a straight line up to its cutoff, as in a cell whose collector surrounds a small emitter.",
		Errs: "Too low, since a real curve bends away before it ends: by a third or more of the largest kinetic " +
			"energy for a pair of planes, a tenth of it for a small emitter. The error grows with the photon " +
			"energy, so the slope h/e comes out low too. Reverse current adds to it. Where the current still flows " +
			"at the voltage found, there is no answer.",
		Source: "common practice, no source",
	}
}

// straightFall is where a ruler is laid along a curve, in shares of the
// photocurrent at zero volts (common practice, no source).
var straightFall = shares{high: 0.8, low: 0.3}

// fall returns the straight line through the fall of the curve, of the readings
// from <= i < to.
func (p *Prepared) fall(span float64) (line trend, from, to int) {
	from, to = p.window(straightFall.times(span), p.level(), 3)
	if to-from < 2 {
		return trend{}, from, to
	}
	v, c, u := p.V[from:to], p.I[from:to], p.U[from:to]
	return straight(v, c, u).Widen(v, c, u), from, to
}

// Cutoff extends the straight line through the window.
func (m Tangent) Cutoff(p *Prepared) Cutoff { return drawn(m, p, m.Span, beyond) }

func (Tangent) draw(p *Prepared, span float64) construction {
	line, from, to := p.fall(span)
	switch {
	case to-from < 2:
		return failed(TooFewReadings, fewInFall)
	case !(line.Slope < 0):
		return failed(NoCutoff, hiddenFall)
	}
	v, u := cross(line, trend{})
	return construction{v: v, u: u, n: to - from}
}

// What may keep a ruler from lying along the fall.
const (
	fewInFall  = "fewer than two readings on the fall from zero volts to the noise; take smaller steps there"
	hiddenFall = "the current does not fall along the straight part; its noise hides the fall"
)

// Construct draws the ruler from the beginning of the fall to the axis.
func (m Tangent) Construct(p *Prepared, c Cutoff) []Stroke {
	if c.Status != OK {
		return nil
	}
	line, from, _ := p.fall(m.Span)
	return []Stroke{
		line.stroke("fall, extended", p.V[from], c.Stopping),
		{Role: "meets no current", V: []float64{c.Stopping}, I: []float64{0}},
	}
}
