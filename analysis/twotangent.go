package analysis

// TwoTangent takes the point at which the steepest part of the curve and the
// reverse plateau, both extended straight, meet.
type TwoTangent struct {
	// Span scales the stretch that is called straight; 0 stands for 1, the usual choice.
	Span float64
}

// Name returns "two-tangent".
func (TwoTangent) Name() string { return "two-tangent" }

// Spanned has HandMethod's meaning.
func (TwoTangent) Spanned(span float64) Method { return TwoTangent{Span: span} }

// Page describes the method.
func (TwoTangent) Page() Page {
	return Page{
		Summary: "The meeting point of the steepest part and the reverse plateau, both extended straight.",
		ByHand: "Lay one ruler along the steepest part of the plotted curve and one along the flat part " +
			"beyond the knee, and read the voltage where they meet.",
		Assumes: "The forward current falls in a straight line up to its cutoff, and the reverse current is a straight line.",
		Errs: "Too low for the reason of the single tangent: by about half of the largest kinetic energy for a " +
			"pair of planes, a tenth of it for a small emitter. Reverse current does not add to it.",
		Source: "common practice, no source",
	}
}

// Cutoff crosses the two lines, each chosen from the data.
func (TwoTangent) Cutoff(p *Prepared) Cutoff {
	switch {
	case !p.parts.Falls:
		return noFall(p)
	case !p.parts.Flat:
		return fail(NoCutoff, "the curve ends before it becomes flat; sweep to a higher retarding voltage")
	}
	return p.answer(cross(p.parts.Steep, p.parts.Plateau))
}

// Construct draws both rulers.
func (TwoTangent) Construct(p *Prepared, c Cutoff) []Stroke {
	if c.Status != OK {
		return nil
	}
	meet := p.parts.Plateau.At(c.Stopping)
	return []Stroke{
		p.parts.Steep.stroke("steepest part, extended", p.V[p.parts.SteepFrom], c.Stopping),
		p.parts.Plateau.stroke("reverse plateau, extended", c.Stopping, p.V[len(p.V)-1]),
		{Role: "meeting point", V: []float64{c.Stopping}, I: []float64{meet}},
	}
}
