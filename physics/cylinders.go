package physics

import "math"

// Cylinders is a pair of coaxial cylinders, long against their radii. The
// energy, the momentum along the axis and the angular momentum about it are
// conserved, so an electron that leaves at the angle theta to the normal, with
// phi between its direction along the surface and a circle round the axis,
// crosses a barrier B if
//
//	E (1 - Q sin^2(theta)) >= B,  Q = sin^2(phi) + q cos^2(phi),
//	q = (emitter radius / collector radius)^2.
//
// Between the radii the effective potential has no minimum of the radial
// energy, so that the collector itself decides. For each phi these are
// concentric spheres with Q in place of q (the same orbits as in H. M.
// Mott-Smith and I. Langmuir, Phys. Rev. 28, 727 (1926)); the share of a
// pair of cylinders is the mean of theirs.
type Cylinders struct {
	// RadiusRatio is the emitter's radius over the collector's, above zero and
	// finite.
	RadiusRatio float64
}

// q returns the square of the ratio of the radii.
func (c Cylinders) q() float64 { return c.RadiusRatio * c.RadiusRatio }

// Collected returns the share of electrons of a kinetic energy in eV that cross
// a barrier in eV. With x = B/E it is the mean of clamp((1 - x)/Q, 0, 1) over
// phi. For Q above 1 - x nothing is clamped, and the mean of 1/Q over the whole
// circle is 1/sqrt(q); elsewhere the angle psi at which Q = 1 - x divides
// the circle:
//
//	cos^2(psi) = x/(1-q)
//	q < 1, 0 < x < 1-q:  2/pi [psi + (1-x)/sqrt(q) atan(sqrt(q) cot(psi))]
//	q > 1, 1-q < x < 0:  2/pi [pi/2 - psi + (1-x)/sqrt(q) atan(tan(psi)/sqrt(q))]
func (c Cylinders) Collected(energy, barrier float64) float64 {
	ratio, q := c.RadiusRatio, c.q()
	rest := energy - barrier
	switch {
	case rest <= 0:
		return 0
	case rest >= max(q, 1)*energy:
		return 1
	case rest <= min(q, 1)*energy:
		return rest / (ratio * energy)
	}
	x := barrier / energy
	// tan^2(psi) is the share of the circle on one side over that on the
	// other.
	tangent := math.Sqrt((1 - q - x) / x)
	psi := math.Atan(tangent)
	if q < 1 {
		return 2 / math.Pi * (psi + (1-x)/ratio*math.Atan(ratio/tangent))
	}
	return 2 / math.Pi * (math.Pi/2 - psi + (1-x)/ratio*math.Atan(tangent/ratio))
}

// Stop returns the barrier in eV that just stops an electron.
func (c Cylinders) Stop(energy, u, w float64) float64 {
	cosine := math.Cos(2 * math.Pi * w)
	return energy * (1 - u*(1+(c.q()-1)*cosine*cosine))
}

// Lowest returns the barrier in eV that stops the electron at the grazing
// angle.
func (c Cylinders) Lowest(energy float64) float64 { return energy * min(1-c.q(), 0) }

// Corners returns the energy at which the first electron crosses and that from
// which all of one azimuth do, beyond which the arctangents bend within q.
func (c Cylinders) Corners(barrier float64) []float64 {
	corners := Spheres(c).Corners(barrier)
	for wide := c.q(); wide < 1; wide *= 2 {
		corners = append(corners, corners[1]*(1+wide))
	}
	return corners
}

// Reversed returns the cylinders with emitter and collector exchanged.
func (c Cylinders) Reversed() Geometry { return Cylinders{RadiusRatio: 1 / c.RadiusRatio} }
