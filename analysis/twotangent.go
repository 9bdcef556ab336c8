package analysis

// TwoTangent takes the point at which the fall of the curve and the
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
		Summary: "The meeting point of the straight lines through the fall, between eight and three tenths of the photocurrent at zero volts, and through the reverse plateau.",
		ByHand: "Lay one ruler along the plotted curve where it falls from eight to three tenths of the photocurrent at zero volts " +
			"and one along the flat part beyond the knee, and read the voltage where they meet.",
		Assumes: "The forward current falls in a straight line up to its cutoff, and the reverse current is a straight line.",
		Errs: "Too low for the reason of the single tangent: by a third or more of the largest kinetic energy for a " +
			"pair of planes, a tenth of it for a small emitter. Reverse current does not add to it. Where the current still " +
			"flows at the voltage found, there is no answer.",
		Source: "common practice, no source",
	}
}

// Cutoff crosses the two lines.
func (m TwoTangent) Cutoff(p *Prepared) Cutoff {
	if p.parts.Falls && !p.parts.Flat {
		return fail(NoCutoff, "the curve ends before it becomes flat; sweep to a higher retarding voltage")
	}
	return drawn(m, p, m.Span, beyond)
}

func (TwoTangent) draw(p *Prepared, span float64) construction {
	line, from, to := p.fall(span)
	switch {
	case to-from < 2:
		return failed(TooFewReadings, fewInFall)
	case !(line.Slope < p.parts.Plateau.Slope):
		return failed(NoCutoff, hiddenFall)
	}
	v, u := cross(line, p.parts.Plateau)
	return construction{v: v, u: u, n: to - from}
}

// Construct draws both rulers.
func (m TwoTangent) Construct(p *Prepared, c Cutoff) []Stroke {
	if c.Status != OK {
		return nil
	}
	line, from, _ := p.fall(m.Span)
	meet := p.parts.Plateau.At(c.Stopping)
	return []Stroke{
		line.stroke("fall, extended", p.V[from], c.Stopping),
		p.parts.Plateau.stroke("reverse plateau, extended", c.Stopping, p.V[p.parts.PlateauTo-1]),
		{Role: "meeting point", V: []float64{c.Stopping}, I: []float64{meet}},
	}
}
