package analysis

import "math"

// FirstDerivative extends the slope of the curve to where it is that of the
// reverse plateau.
type FirstDerivative struct {
	// Span scales the stretch that is called straight; 0 stands for 1, the usual choice.
	Span float64
}

// Name returns "first-derivative".
func (FirstDerivative) Name() string { return "first-derivative" }

// Spanned has HandMethod's meaning.
func (FirstDerivative) Spanned(span float64) Method { return FirstDerivative{Span: span} }

// Page describes the method.
func (FirstDerivative) Page() Page {
	return Page{
		Summary: "A straight line for the slope of the curve against the voltage, from five tenths to three hundredths of the photocurrent at zero volts, " +
			"extended to the slope of the reverse plateau.",
		ByHand: "Divide the differences of neighbouring currents by those of the voltages, plot them at the middles, " +
			"and extend the straight line through those between five tenths and three hundredths of the photocurrent at zero volts to the axis.",
		Assumes: "A pair of planes, or a cell near its cutoff: the slope falls in proportion to the voltage left. A warm emitter is no trouble.",
		Errs: "Either way where the slope does not fall straight; differences of noisy readings scatter, so that it needs small noise or " +
			"large steps, and large steps round the knee. More light changes nothing.",
		Source: "R. H. Fowler, Phys. Rev. 38, 45 (1931): the slope of his function is ln(1 + exp x), which tends to x",
	}
}

// straightSlope is where the slope is called straight, in shares of the
// photocurrent at zero volts.
var straightSlope = shares{high: 0.5, low: 0.03}

// Cutoff puts the straight line through the slope that is the best one for the
// readings themselves, whose integral is the parabola of least squares.
func (m FirstDerivative) Cutoff(p *Prepared) Cutoff { return drawn(m, p, m.Span, beyond) }

func (FirstDerivative) draw(p *Prepared, span float64) construction {
	from, to := p.window(straightSlope.times(span), p.level(), 4)
	if to-from < 4 {
		return failed(TooFewReadings, "fewer than four readings on the fall from zero volts to the noise; take smaller steps there")
	}
	line := p.slopeLine(from, to)
	if !(line.bend > 0) {
		return failed(NoCutoff, "the slope does not fall towards the plateau; take smaller steps around the knee")
	}
	goal, variance := p.slopeGoal()
	v, u := line.meets(goal, variance)
	return construction{v: v, u: u, n: to - from}
}

// slopeGoal is the slope in A/V at which the forward current has ended, and its
// variance.
func (p *Prepared) slopeGoal() (slope, variance float64) {
	if p.parts.Flat {
		return p.parts.Plateau.Slope, p.parts.Plateau.VarSlope
	}
	return 0, 0
}

// A slopeLine is a slope that changes in proportion to the voltage.
type slopeLine struct {
	// slope is that in A/V at centre in V, and bend its change in A/V^2; the two
	// are independent.
	slope, centre, bend float64
	varSlope, varBend   float64
}

// slopeLine returns the slope of the parabola through the readings from <= i <
// to, with variances widened where they lie off it (R. T. Birge, Phys. Rev. 40,
// 207 (1932)).
func (p *Prepared) slopeLine(from, to int) slopeLine {
	s := p.bendSums(from, to-from)
	var pc float64
	for i := from; i < to; i++ {
		pc += s.part(p.V[i]) * p.I[i] / (p.U[i] * p.U[i])
	}
	c := pc / s.pp
	var chi2 float64
	for i := from; i < to; i++ {
		r := (p.I[i] - s.level.At(p.V[i]) - c*s.part(p.V[i])) / p.U[i]
		chi2 += r * r
	}
	ratio := 1.0
	if to-from > 3 {
		ratio = max(1, chi2/float64(to-from-3))
	}
	// The part of the parabola that a straight line holds has the slope skew at
	// its centre; where that is taken off, slope and bend are independent.
	return slopeLine{
		slope: s.level.Slope, centre: s.level.Centre + s.skew/2, bend: 2 * c,
		varSlope: ratio * s.level.VarSlope, varBend: ratio * 4 / s.pp,
	}
}

// meets returns the voltage at which the slope has reached a goal in A/V with its
// variance, and the standard uncertainty by the delta method.
func (l slopeLine) meets(goal, variance float64) (v, u float64) {
	run := (goal - l.slope) / l.bend
	return l.centre + run, math.Sqrt(l.varSlope+variance+run*run*l.varBend) / math.Abs(l.bend)
}

// Construct draws the parabola whose slope is the straight line.
func (m FirstDerivative) Construct(p *Prepared, c Cutoff) []Stroke {
	if c.Status != OK {
		return nil
	}
	base := p.level()
	from, to := p.window(straightSlope.times(m.Span), base, 4)
	bend := p.slopeLine(from, to).bend
	first := p.V[from]
	curve := Stroke{Role: "curve of the straight slope"}
	const pieces = 32
	for k := range pieces + 1 {
		v := first + (c.Stopping-first)*float64(k)/pieces
		curve.V = append(curve.V, v)
		curve.I = append(curve.I, base.At(v)+bend/2*(c.Stopping-v)*(c.Stopping-v))
	}
	return []Stroke{
		curve,
		{Role: "slope meets the plateau's", V: []float64{c.Stopping}, I: []float64{base.At(c.Stopping)}},
	}
}
