package physics

// A Description says what a geometry is without its type, so that texts can be
// looked up by the kind and filled in with the numbers.
type Description struct {
	// Kind is a word of its own for each form that is told in another way.
	Kind string
	// Numbers are the dimensions by name; lengths are in mm or over a radius,
	// and a field is in microtesla.
	Numbers map[string]float64
}

// Magnetic is a geometry with a magnetic field.
type Magnetic interface {
	Geometry
	// WithoutField returns the geometry once the field is gone.
	WithoutField() Geometry
}

// Describe tells a plane pair, a small emitter and a small collector apart.
func (s Spheres) Describe() Description {
	d := Description{"small collector", map[string]float64{"ratio": s.RadiusRatio, "q": s.q()}}
	switch {
	case s.RadiusRatio == 1:
		d.Kind = "plane"
	case s.RadiusRatio < 1:
		d.Kind = "small emitter"
	}
	return d
}

// Describe gives the ratio of the radii.
func (c Cylinders) Describe() Description {
	return Description{"cylinders", map[string]float64{"ratio": c.RadiusRatio}}
}

// Describe gives the gap in mm and the field in microtesla.
func (m MagneticPlanes) Describe() Description {
	return Description{"magnetic planes", map[string]float64{"gap": m.Gap, "field": m.Field}}
}

// WithoutField returns the plane pair, for which the gap does not count.
func (m MagneticPlanes) WithoutField() Geometry { return Spheres{RadiusRatio: 1} }

// Describe gives the dimensions over the emitter's radius.
func (g *RingOverDisk) Describe() Description {
	return Description{"ring over disk", map[string]float64{"height": g.Height, "glass": g.Glass}}
}
