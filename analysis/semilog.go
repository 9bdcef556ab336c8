package analysis

import "math"

// SemiLog takes the voltage at which the steep end of the curve comes down to the
// noise on a plot of the logarithm of the current above its reverse plateau.
type SemiLog struct {
	// Span scales the stretch that is called straight; 0 stands for 1, the usual choice.
	Span float64
}

// Name returns "semi-log".
func (SemiLog) Name() string { return "semi-log" }

// Spanned has HandMethod's meaning.
func (SemiLog) Spanned(span float64) Method { return SemiLog{Span: span} }

// Page describes the method.
func (SemiLog) Page() Page {
	return Page{
		Summary: "On a plot of the logarithm of the current above its reverse plateau, the meeting point of the line through the steep end, the last decade above " +
			"three times the noise of the plateau, and the level of that threefold noise.",
		ByHand: "Subtract the reverse current, plot the rest on semi-logarithmic paper, and lay one ruler along the last decade above the noise " +
			"and one level through the scatter beyond it; read where they meet.",
		Assumes: "The current falls so steeply at its end that it matters little how far it can be seen.",
		Errs: "Too low where noise hides the foot of the curve, by the root of the noise over the photocurrent at zero volts as a share of the " +
			"largest kinetic energy, less the warm tail. A brighter line reads higher, and so does a quieter meter.",
		Source: "common practice, no source",
	}
}

// steepDecades is the length of the steep end in decades above three times the
// noise (common practice, no source).
const steepDecades = 1.0

// Cutoff crosses the line through the steep end with the level of the noise.
func (m SemiLog) Cutoff(p *Prepared) Cutoff { return drawn(m, p, m.Span, beyond) }

func (SemiLog) draw(p *Prepared, span float64) construction {
	base := p.level()
	seen, known := p.threefoldNoise()
	steep, from, to := p.steepEnd(base, seen, span)
	switch {
	case to-from < 3:
		return failed(TooFewReadings, "fewer than three readings on the fall from zero volts to the noise; take smaller steps there, or more light")
	case !(steep.Slope < 0):
		return failed(NoCutoff, hiddenFall)
	}
	v, u := cross(steep, trend{Mean: math.Log(seen), VarMean: known * known})
	// One more or less in the level of the plateau, all else as it is.
	shifted := base
	shifted.Mean -= math.Sqrt(base.VarMean)
	if other := p.logarithmic(shifted, from, to); other.Slope < 0 {
		at, _ := cross(other, trend{Mean: math.Log(seen)})
		u = math.Hypot(u, at-v)
	}
	return construction{v: v, u: u, n: to - from}
}

// threefoldNoise returns the current in A that is surely seen, and how well its
// logarithm is known. It is three times the noise of the readings on the plateau, or
// of the last one where there is none, but at least the faintest that an ammeter
// shows beside the photocurrent. The logarithm of a standard deviation of n readings
// is known to one over the root of 2 (n - 1) (JCGM 100:2008, E.4.3).
func (p *Prepared) threefoldNoise() (current, known float64) {
	from, to := p.parts.PlateauFrom, p.parts.PlateauTo
	if !p.parts.Flat {
		from, to = len(p.V)-1, len(p.V)
	}
	var sum float64
	for _, u := range p.U[from:to] {
		sum += u * u
	}
	n := float64(to - from)
	return max(surely*math.Sqrt(sum/n), faintest*p.parts.Zero), 1 / math.Sqrt(2*max(n-1, 1))
}

// steepEnd returns the straight line through the logarithm of the current above a
// level over the last decades above what is surely seen, in A, and its readings
// from <= i < to.
func (p *Prepared) steepEnd(base trend, seen, span float64) (line trend, from, to int) {
	low := seen / p.parts.Zero
	from, to = p.window(shares{high: min(low*math.Pow(10, steepDecades*usual(span)), 1), low: low}, base, 3)
	if to-from < 3 {
		return trend{}, from, to
	}
	return p.logarithmic(base, from, to), from, to
}

// logarithmic returns the straight line through the logarithm of the current
// above a level at the readings from <= i < to.
func (p *Prepared) logarithmic(base trend, from, to int) trend {
	s := &p.scratch
	s.y, s.w = s.y[:0], s.w[:0]
	for i := from; i < to; i++ {
		above := max(p.above(i, base), p.U[i])
		s.y, s.w = append(s.y, math.Log(above)), append(s.w, p.U[i]/above)
	}
	return straight(p.V[from:to], s.y, s.w).Widen(p.V[from:to], s.y, s.w)
}

// Construct draws the steep end and the level of the noise as currents.
func (m SemiLog) Construct(p *Prepared, c Cutoff) []Stroke {
	if c.Status != OK {
		return nil
	}
	base := p.level()
	seen, _ := p.threefoldNoise()
	steep, from, to := p.steepEnd(base, seen, m.Span)
	if to-from < 3 {
		return nil
	}
	end := Stroke{Role: "steep end"}
	const pieces = 32
	for k := range pieces + 1 {
		v := p.V[from] + (c.Stopping-p.V[from])*float64(k)/pieces
		end.V, end.I = append(end.V, v), append(end.I, base.At(v)+math.Exp(steep.At(v)))
	}
	level := base
	level.Mean += seen
	return []Stroke{
		end,
		level.stroke("three times the noise", c.Stopping, p.V[len(p.V)-1]),
		{Role: "meeting point", V: []float64{c.Stopping}, I: []float64{level.At(c.Stopping)}},
	}
}
