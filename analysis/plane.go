package analysis

import (
	"math"

	"stopvolt/physics"
)

// A Planar is a method that is done, or whose assumption is seen, on another
// plot than that of the current against the voltage.
type Planar interface {
	Method
	// Plane returns that plot with the construction that leads to c, which
	// Cutoff returned for the same p. Without a cutoff it has only the points.
	Plane(p *Prepared, c Cutoff) Plane
}

// A Plane is a plot against the retarding voltage.
type Plane struct {
	Kind PlaneKind
	// V are retarding voltages in V, Y what is plotted against them, and U the
	// standard uncertainties of Y.
	V, Y, U []float64
	// Strokes are the construction; what they call I stands for Y.
	Strokes []Stroke
}

// A PlaneKind says what is plotted.
type PlaneKind int

const (
	// Currents are in A.
	Currents PlaneKind = iota
	// Logarithms are currents above the reverse level in A on a logarithmic
	// axis; those that are not above zero have no place there.
	Logarithms
	// Roots are square roots of currents above the reverse level, in A^(1/2).
	Roots
	// Falls are slopes of the curve with their sign turned round, in A/V.
	Falls
	// Bends are second derivatives of the curve, in A/V^2.
	Bends
	// Deviations are readings less the fitted curve, in A.
	Deviations
)

// add appends a point.
func (pl *Plane) add(v, y, u float64) {
	pl.V, pl.Y, pl.U = append(pl.V, v), append(pl.Y, y), append(pl.U, u)
}

// mapped returns strokes with f of voltage and current in place of the current.
func mapped(strokes []Stroke, f func(v, i float64) float64) []Stroke {
	var out []Stroke
	for _, s := range strokes {
		m := Stroke{Role: s.Role, V: s.V}
		for k, v := range s.V {
			m.I = append(m.I, f(v, s.I[k]))
		}
		out = append(out, m)
	}
	return out
}

// Plane is the square root of the current above the level, on which the
// parabola is a straight line.
func (m SquareRoot) Plane(p *Prepared, c Cutoff) Plane {
	base := p.level()
	pl := Plane{Kind: Roots}
	for i, v := range p.V {
		if above := p.I[i] - base.At(v); above > 0 {
			root := math.Sqrt(above)
			pl.add(v, root, math.Sqrt(above+p.U[i])-root)
		}
	}
	pl.Strokes = mapped(m.Construct(p, c), func(v, i float64) float64 { return math.Sqrt(max(i-base.At(v), 0)) })
	if len(pl.Strokes) > 0 {
		pl.Strokes[0].Role = "straight line of the roots"
	}
	return pl
}

// Plane is the current above the level on a logarithmic axis, on which both
// branches are straight.
func (m SemiLog) Plane(p *Prepared, c Cutoff) Plane {
	base := p.level()
	pl := Plane{Kind: Logarithms}
	for i, v := range p.V {
		pl.add(v, p.I[i]-base.At(v), p.U[i])
	}
	pl.Strokes = mapped(m.Construct(p, c), func(v, i float64) float64 { return i - base.At(v) })
	return pl
}

// Plane is the slope of the curve, which a straight line extends to that of the
// plateau.
func (m FirstDerivative) Plane(p *Prepared, c Cutoff) Plane {
	pl := Plane{Kind: Falls}
	if !p.parts.Falls {
		return pl
	}
	for i := 0; i+3 <= len(p.V); i++ {
		to := p.reach(i, narrowest*p.kT, 3)
		t := straight(p.V[i:to], p.I[i:to], p.U[i:to])
		pl.add(t.Centre, -t.Slope, math.Sqrt(t.VarSlope))
	}
	height, from, ok := parabolaHeight(p, m.Construct(p, c), c)
	if !ok {
		return pl
	}
	goal, _ := p.slopeGoal()
	goal = -goal
	pl.Strokes = []Stroke{
		{Role: "straight fall, extended", V: []float64{from, c.Stopping}, I: []float64{goal + height*(c.Stopping-from), goal}},
		{Role: "slope of the plateau", V: []float64{c.Stopping, p.V[len(p.V)-1]}, I: []float64{goal, goal}},
		{Role: "where they meet", V: []float64{c.Stopping}, I: []float64{goal}},
	}
	return pl
}

// Plane is the curvature, with its height and the half of that.
func (m SecondDerivative) Plane(p *Prepared, c Cutoff) Plane {
	pl := Plane{Kind: Bends}
	if !p.parts.Falls {
		return pl
	}
	width, _ := p.bendWidth()
	if width == 0 {
		return pl
	}
	for i := range len(p.V) - width + 1 {
		b := p.bend(i, width)
		pl.add(b.Centre, b.Curvature, math.Sqrt(b.Variance))
	}
	height, from, ok := parabolaHeight(p, m.Construct(p, c), c)
	if !ok {
		return pl
	}
	pl.Strokes = []Stroke{
		{Role: "height of the step", V: []float64{from, c.Stopping}, I: []float64{height, height}},
		{Role: "half of it", V: []float64{from, c.Stopping}, I: []float64{height / 2, height / 2}},
		{Role: "falls to the half", V: []float64{c.Stopping}, I: []float64{height / 2}},
	}
	return pl
}

// parabolaHeight returns the second derivative in A/V^2 of the parabola that is
// the first stroke of a construction and ends at the cutoff, and where in V it
// begins.
func parabolaHeight(p *Prepared, strokes []Stroke, c Cutoff) (height, from float64, ok bool) {
	if len(strokes) == 0 || len(strokes[0].V) == 0 {
		return 0, 0, false
	}
	from = strokes[0].V[0]
	left := c.Stopping - from
	return 2 * (strokes[0].I[0] - p.level().At(from)) / (left * left), from, left > 0
}

// Plane is what the readings of the fit are off the fitted power.
func (m PowerLaw) Plane(p *Prepared, c Cutoff) Plane {
	pl := Plane{Kind: Deviations}
	strokes := m.Construct(p, c)
	if len(strokes) == 0 || len(strokes[0].V) < 2 {
		return pl
	}
	// The power goes through any two of its points.
	base, curve := p.level(), strokes[0]
	left := func(k int) float64 { return c.Stopping - curve.V[k] }
	above := func(k int) float64 { return curve.I[k] - base.At(curve.V[k]) }
	exponent := math.Log(above(1)/above(0)) / math.Log(left(1)/left(0))
	return p.deviations(c, curve.V[0], c.Stopping, func(v float64) float64 {
		return base.At(v) + above(0)*math.Pow((c.Stopping-v)/left(0), exponent)
	})
}

// Plane is what the readings of the fit are off the fitted curve.
func (FowlerFit) Plane(p *Prepared, c Cutoff) Plane {
	if c.Status != OK {
		return Plane{Kind: Deviations}
	}
	var fit separable
	level := p.level()
	from, to := p.bent(fowlerFrom)
	fit.begin(p, from, to, p.background(), level.Mean)
	kT := p.kT
	fit.fowler(c.Stopping, kT)
	fit.chiSquare()
	fit.base += level.Mean
	return p.deviations(c, fit.v[0], fit.v[len(fit.v)-1], func(v float64) float64 {
		return fit.amplitude*physics.Fowler((c.Stopping-v)/kT) + fit.base + fit.tilt*(v-fit.centre)
	})
}

// Plane is what the readings are off the fitted curve.
func (CellFit) Plane(p *Prepared, c Cutoff) Plane {
	if c.Status != OK {
		return Plane{Kind: Deviations}
	}
	found := p.cell()
	if found.failure.Status != OK {
		return Plane{Kind: Deviations}
	}
	var fit sphereFit
	fit.begin(p, p.kT)
	a := parametersOf(found.best.x)
	fit.fitLinear(a)
	curve := fit.curve(a)
	return p.deviations(c, fit.v[0], fit.v[len(fit.v)-1], func(v float64) float64 {
		all, _ := curve(v)
		return all
	})
}

// Plane is that of the fit of the curve alone, from which the joint fit starts.
func (JointFit) Plane(p *Prepared, c Cutoff) Plane { return CellFit{}.Plane(p, c) }

// deviations returns what the readings between two voltages are off a curve.
func (p *Prepared) deviations(c Cutoff, from, to float64, curve func(v float64) float64) Plane {
	pl := Plane{Kind: Deviations}
	for i, v := range p.V {
		if v >= from && v <= to {
			pl.add(v, p.I[i]-curve(v), p.U[i])
		}
	}
	pl.Strokes = []Stroke{
		{Role: "fitted curve", V: []float64{from, to}, I: []float64{0, 0}},
		{Role: "cutoff", V: []float64{c.Stopping}, I: []float64{0}},
	}
	return pl
}
