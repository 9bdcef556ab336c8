package physics

import "math"

// Band is the free-electron band from which light lifts the electrons. It
// carries the emission beyond the form that holds near the threshold: the
// density becomes
//
//	n(E) = E/(1 + E/W) sqrt(1 + (E - Em)/EF) F(E).
//
// An electron that runs isotropically inside, where its kinetic energy is
// E + W, leaves through the cone of angles whose normal part exceeds W, which
// holds the fraction E/(E + W) of the flux (C. N. Berglund and W. E. Spicer,
// Phys. Rev. 136, A1030 (1964), from memory). It started from a state whose
// density goes as the root of the height EF + E - Em above the bottom of the
// band. Refraction at the surface turns the uniform sin^2 inside into a
// uniform sin^2 outside, so that Lambert's law stays.
//
// The zero Band is one so deep that neither matters.
type Band struct {
	// Fermi is EF in eV, the height of the Fermi level above the bottom of the
	// band; Depth is W in eV, that of the vacuum level, EF plus the work
	// function. Both are above zero, or both zero.
	Fermi, Depth float64
}

// factor returns what the band multiplies the density with at a kinetic energy
// in eV, of electrons whose greatest cold energy is excess.
func (b Band) factor(energy, excess float64) float64 {
	if b == (Band{}) {
		return 1
	}
	height := 1 + (energy-excess)/b.Fermi
	if height <= 0 {
		return 0
	}
	return math.Sqrt(height) / (1 + energy/b.Depth)
}

// Kept returns the probability with which an electron of a kinetic energy in
// eV that was drawn from the near-threshold form is to be kept, so that those
// kept follow the band; it is one without a band.
func (e Emission) Kept(energy float64) float64 {
	if e.Band == (Band{}) {
		return 1
	}
	// The root is greatest at the top, and the escape at no energy.
	greatest := math.Sqrt(1 + (e.Top()-e.Excess)/e.Band.Fermi)
	return min(e.Band.factor(energy, e.Excess)/greatest, 1)
}

// corner returns the energy in eV of electrons from the bottom of a metal's band, or
// from the edge of a film's.
func (e Emission) corner() float64 {
	switch {
	case e.Film != (Film{}):
		return e.Excess
	case e.Band == (Band{}):
		return 0
	}
	return e.Excess - e.Band.Fermi
}
