package physics

// A Geometry says which electrons cross the gap. In a field-free or radial
// field the outcome depends only on x = B/E, the barrier over the electron's
// kinetic energy at the emitter, and on its direction.
type Geometry interface {
	// Collected returns the share of electrons of kinetic energy E, leaving by
	// Lambert's law, that cross a barrier of x E. It falls with x from one to
	// zero.
	Collected(x float64) float64
	// Cutoff is the inverse of Collected: it returns the x that the fraction v
	// of the electrons can cross, for v in [0, 1). With v uniform, each
	// electron has a cutoff of its own.
	Cutoff(v float64) float64
	// Reversed is the geometry that electrons ejected from the collector see.
	Reversed() Geometry
}

// A ClosedForm is a geometry whose collected share has a formula.
type ClosedForm interface {
	Geometry
	// Share returns the share of the electrons of e that cross a barrier in
	// eV; a negative barrier accelerates.
	Share(e Emission, barrier float64) float64
}
