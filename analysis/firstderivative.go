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
		Summary: "The slope of the curve, plotted against the voltage and extended straight to the slope of the reverse plateau.",
		ByHand: "Divide the differences of neighbouring currents by those of the voltages, plot them at the middles, " +
			"and extend the straight fall beyond the largest slope to the axis.",
		Assumes: "A pair of planes, or a cell near its cutoff: the slope falls in proportion to the voltage left. A warm emitter is no trouble.",
		Errs: "Either way where the slope does not fall straight; differences of noisy readings scatter, so that it needs small noise or " +
			"large steps, and large steps round the knee. More light changes nothing.",
		Source: "R. H. Fowler, Phys. Rev. 38, 45 (1931): the slope of his function is ln(1 + exp x), which tends to x",
	}
}

// The part of the fall of the slope that is taken as straight, in shares of the
// largest slope (common practice, no source).
const (
	straightFrom = 0.9 * (1 - tie)
	straightTo   = 0.2 * (1 - tie)
)

// Cutoff takes slopes over windows as wide as the noise asks for, and puts a
// straight line through those between nine and two tenths of the largest. The
// uncertainty is that of the readings, carried through both fits by the delta
// method, so that overlapping windows do no harm.
func (FirstDerivative) Cutoff(p *Prepared) Cutoff {
	if !p.parts.Falls {
		return noFall(p)
	}
	goal := p.slopeGoal()
	from, to := p.straightSlopes(goal)
	if to-from < 3 {
		return fail(TooFewReadings, "fewer than three slopes between the steep part and the plateau; take smaller steps there")
	}
	s := &p.scratch
	s.x, s.y, s.w = s.x[:0], s.y[:0], s.w[:0]
	for i := from; i < to; i++ {
		t := p.window(i)
		s.x, s.y, s.w = append(s.x, t.Centre), append(s.y, t.Slope-goal), append(s.w, math.Sqrt(t.VarSlope))
	}
	line := straight(s.x, s.y, s.w)
	if line.Slope <= 0 {
		return fail(NoCutoff, "the slope does not fall towards the plateau; take smaller steps around the knee")
	}
	v := line.Centre - line.Mean/line.Slope
	return p.answer(v, math.Sqrt(p.slopeVariance(from, line)))
}

// slopeGoal is the slope in A/V at which the forward current has ended.
func (p *Prepared) slopeGoal() float64 {
	if p.background() == sloped {
		return p.parts.Plateau.Slope
	}
	return 0
}

// window returns the straight line through the readings from i on, as many as a
// slope takes.
func (p *Prepared) window(i int) trend {
	to := i + p.parts.Width
	return straight(p.V[i:to], p.I[i:to], p.U[i:to])
}

// straightSlopes returns the windows whose slopes lie on the straight fall.
func (p *Prepared) straightSlopes(goal float64) (from, to int) {
	largest := p.parts.Steep.Slope - goal
	last := len(p.V) - p.parts.Width
	from = p.parts.SteepFrom
	for from <= last && p.window(from).Slope-goal < straightFrom*largest {
		from++
	}
	to = from
	for to <= last && p.window(to).Slope-goal < straightTo*largest {
		to++
	}
	return from, to
}

// slopeVariance carries the variances of the readings to the zero of the line
// through the slopes of the windows from on.
func (p *Prepared) slopeVariance(from int, line trend) float64 {
	s := &p.scratch
	gains := grow(s.sums, len(p.V))
	s.sums = gains
	clear(gains)
	for k := range s.x {
		w := 1 / (s.w[k] * s.w[k])
		// By the slope of window k: through the line's mean and its slope.
		gain := -w*line.VarMean/line.Slope + line.Mean/(line.Slope*line.Slope)*w*(s.x[k]-line.Centre)*line.VarSlope
		t := p.window(from + k)
		for i := from + k; i < from+k+p.parts.Width; i++ {
			gains[i] += gain * (p.V[i] - t.Centre) / (p.U[i] * p.U[i]) * t.VarSlope
		}
	}
	var variance float64
	for i, g := range gains {
		variance += g * g * p.U[i] * p.U[i]
	}
	return variance
}

// Construct draws the parabola whose slope is the straight line.
func (FirstDerivative) Construct(p *Prepared, c Cutoff) []Stroke {
	if c.Status != OK {
		return nil
	}
	goal := p.slopeGoal()
	from, _ := p.straightSlopes(goal)
	base := p.level()
	first := p.window(from)
	bend := (first.Slope - goal) / (first.Centre - c.Stopping)
	curve := Stroke{Role: "curve of the straight slope"}
	const pieces = 32
	for k := range pieces + 1 {
		v := first.Centre + (c.Stopping-first.Centre)*float64(k)/pieces
		curve.V = append(curve.V, v)
		curve.I = append(curve.I, base.At(v)+bend/2*(c.Stopping-v)*(c.Stopping-v))
	}
	return []Stroke{
		curve,
		{Role: "slope meets the plateau's", V: []float64{c.Stopping}, I: []float64{base.At(c.Stopping)}},
	}
}
