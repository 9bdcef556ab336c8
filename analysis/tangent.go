package analysis

// Tangent extends the steepest part of the curve to the axis of no current.
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
		Summary: "The steepest part of the curve, extended straight to zero current.",
		ByHand:  "Lay a ruler along the steepest part of the plotted curve and read where it meets the axis.",
		Assumes: "The current falls in a straight line up to its cutoff, as in a cell whose collector surrounds a small emitter.",
		Errs: "Too low, since a real curve bends away before it ends: by about half of the largest kinetic " +
			"energy for a pair of planes, a tenth of it for a small emitter. The error grows with the photon " +
			"energy, so the slope h/e comes out low too. Reverse current adds to it.",
		Source: "common practice, no source",
	}
}

// Cutoff extends the straight line through the steepest part, which is chosen
// from the data.
func (Tangent) Cutoff(p *Prepared) Cutoff {
	if !p.parts.Falls {
		return noFall(p)
	}
	v, u := cross(p.parts.Steep, trend{})
	if v < p.V[p.parts.SteepFrom] {
		return fail(NoCutoff, "the steepest part lies below zero current; start the sweep at a lower retarding voltage")
	}
	return p.answer(v, u)
}

// Construct draws the ruler from the beginning of the steep part to the axis.
func (Tangent) Construct(p *Prepared, c Cutoff) []Stroke {
	if c.Status != OK {
		return nil
	}
	return []Stroke{
		p.parts.Steep.stroke("steepest part, extended", p.V[p.parts.SteepFrom], c.Stopping),
		{Role: "meets no current", V: []float64{c.Stopping}, I: []float64{0}},
	}
}
