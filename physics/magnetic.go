package physics

import "math"

// MagneticPlanes is the plane pair in a magnetic field along the plates. The
// field turns the electrons; with the gap d and the field b, an electron whose
// velocity along the plates and across the field has the energy share s^2 keeps
// its canonical momentum, and crosses a barrier B if
//
//	E (1 - u) - 2 s sqrt(M E) - M >= B,  M = (e b d)^2/(2 m),
//
// with u the square of the sine of its angle to the normal and s between
// -sqrt(u) and sqrt(u): what it has at the collector for the motion towards it
// (A. W. Hull, Phys. Rev. 18, 31 (1921), for cylinders; from memory). On the way
// that energy is a concave function of the place, so that the collector
// itself decides.
//
// In the plane of the two directions along the plates, by Lambert's law,
// directions fill the unit disk evenly, and those that cross fill a disk of
// radius sqrt(1 - B/E) whose centre lies sqrt(M/E) aside. The share is the area
// that the disks have in common.
//
// The field across the plates does nothing to a plane pair. The Earth's field
// of 50 microtesla has M = 0.022 eV at a gap of 10 mm; at 0.05 eV the radius of
// the orbit is 15 mm.
type MagneticPlanes struct {
	// Gap is the distance of the plates in mm, above zero, and Field the part
	// of the magnetic flux density along them in microtesla, not negative.
	Gap, Field float64
}

// turn returns M in eV.
func (m MagneticPlanes) turn() float64 {
	momentum := ElementaryCharge * m.Field * 1e-6 * m.Gap * 1e-3
	return momentum * momentum / (2 * electronMass) / ElementaryCharge
}

// OrbitRadius returns in mm the radius of the orbit of an electron of a kinetic
// energy in eV across a magnetic flux density in microtesla.
func OrbitRadius(energy, field float64) float64 {
	return 1e3 * math.Sqrt(2*electronMass*energy*ElementaryCharge) / (ElementaryCharge * field * 1e-6)
}

// Collected returns the share of electrons of a kinetic energy in eV that cross
// a barrier in eV.
func (m MagneticPlanes) Collected(energy, barrier float64) float64 {
	if energy-barrier <= 0 {
		return 0
	}
	return commonArea(math.Sqrt(1-barrier/energy), math.Sqrt(m.turn()/energy))
}

// commonArea returns the share of the unit disk that a disk of a radius covers
// whose centre is a distance away.
func commonArea(radius, distance float64) float64 {
	switch {
	case distance >= 1+radius:
		return 0
	case radius >= 1+distance:
		return 1
	case distance+radius <= 1:
		return radius * radius
	}
	// Half the angles that the common chord spans at the two centres.
	own := math.Acos(clampToCosine((distance*distance + radius*radius - 1) / (2 * distance * radius)))
	unit := math.Acos(clampToCosine((distance*distance + 1 - radius*radius) / (2 * distance)))
	return (radius*radius*(own-math.Sin(own)*math.Cos(own)) + unit - math.Sin(unit)*math.Cos(unit)) / math.Pi
}

func clampToCosine(x float64) float64 { return min(max(x, -1), 1) }

// Stop returns the barrier in eV that just stops an electron.
func (m MagneticPlanes) Stop(energy, u, w float64) float64 {
	turn := m.turn()
	return energy*(1-u) - turn - 2*math.Sqrt(turn*energy*u)*math.Cos(2*math.Pi*w)
}

// Lowest returns the barrier in eV that turns back the electron that starts
// along the plate against the turn.
func (m MagneticPlanes) Lowest(energy float64) float64 {
	turn := m.turn()
	return -turn - 2*math.Sqrt(turn*energy)
}

// Corners returns the energy at which the first electron crosses, and that at
// which the disks touch.
func (m MagneticPlanes) Corners(barrier float64) []float64 {
	turn := m.turn()
	return []float64{max(barrier, 0), (barrier + turn) * (barrier + turn) / (4 * turn)}
}

// Reversed returns the planes themselves.
func (m MagneticPlanes) Reversed() Geometry { return m }
