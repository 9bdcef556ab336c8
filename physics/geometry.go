package physics

// A Geometry says which electrons cross the gap. In a field-free or radial
// field without magnetism the outcome depends only on x = B/E, the barrier over
// the electron's kinetic energy at the emitter, and on its direction.
type Geometry interface {
	// Collected returns the share of electrons of a kinetic energy in eV,
	// leaving by Lambert's law, that cross a barrier in eV. It falls with the
	// barrier to zero.
	Collected(energy, barrier float64) float64
	// Stop returns the barrier in eV that just stops an electron of a kinetic
	// energy in eV whose direction has the square of the sine of the angle to
	// the normal u, and goes a fraction w of a turn round the normal. With u
	// and w uniform on [0, 1) the electrons leave by Lambert's law. An electron
	// that no barrier lets pass has minus infinity.
	Stop(energy, u, w float64) float64
	// Lowest returns the least barrier in eV, zero or below, that stops any
	// electron of a kinetic energy in eV or less.
	Lowest(energy float64) float64
	// Corners returns the energies in eV at which Collected is not smooth for
	// a barrier in eV, in any order.
	Corners(barrier float64) []float64
	// Reversed is the geometry that electrons ejected from the collector see.
	Reversed() Geometry
	// Describe says what the geometry is, by a kind and its numbers.
	Describe() Description
}

// A ClosedForm is a geometry whose collected share has a formula.
type ClosedForm interface {
	Geometry
	// Share returns the share of the electrons of e that cross a barrier in
	// eV; a negative barrier accelerates. The emission must have no Band.
	Share(e Emission, barrier float64) float64
}
