package physics

import "math"

// Spheres is a pair of concentric spheres; as the radii become equal it is the
// plane pair. Energy and angular momentum are conserved in the radial field,
// so an electron that leaves at the angle theta crosses a barrier B if
//
//	E (1 - q sin^2(theta)) >= B,  q = (emitter radius / collector radius)^2.
//
// For Lambert's law sin^2(theta) is uniform, and the share that crosses is
// P(x) = clamp((1 - x)/q, 0, 1) with x = B/E. For q = 0 the total energy is
// analysed and for q = 1 the normal energy; q > 1 is a small collector inside
// a large emitter, whose accelerated current rises slowly to saturation (H. M.
// Mott-Smith and I. Langmuir, Phys. Rev. 28, 727 (1926)).
type Spheres struct {
	// RadiusRatio is the emitter's radius over the collector's. It must not be
	// negative; 0 is a point emitter and +Inf a point collector.
	RadiusRatio float64
}

// q returns the square of the ratio of the radii.
func (s Spheres) q() float64 { return s.RadiusRatio * s.RadiusRatio }

// Collected returns the share of electrons of a kinetic energy in eV that cross
// a barrier in eV.
func (s Spheres) Collected(energy, barrier float64) float64 {
	q, rest := s.q(), energy-barrier
	switch {
	case rest <= 0:
		return 0
	case rest >= q*energy:
		return 1
	}
	return rest / (q * energy)
}

// Stop returns the barrier in eV that just stops an electron.
func (s Spheres) Stop(energy, u, _ float64) float64 {
	if u == 0 {
		return energy
	}
	return energy * (1 - s.q()*u)
}

// Lowest returns the barrier in eV that stops the electron at the grazing
// angle.
func (s Spheres) Lowest(energy float64) float64 { return energy * min(1-s.q(), 0) }

// Corners returns the energy at which the first electron crosses and that from
// which all do.
func (s Spheres) Corners(barrier float64) []float64 {
	return []float64{barrier, barrier / (1 - s.q())}
}

// Reversed returns the spheres with emitter and collector exchanged.
func (s Spheres) Reversed() Geometry { return Spheres{RadiusRatio: 1 / s.RadiusRatio} }

// smallQ is the q below which the difference quotient in Share would lose more
// than four digits to cancellation.
const smallQ = 1e-4

// Share returns the share of the electrons of e that cross a barrier in eV.
// With G(a) = Emission.Beyond(a), as a fraction of G(0), it is
//
//	q < 1, B > 0:   [G(B) - (1-q) G(B/(1-q))]/q
//	q < 1, B <= 0:  G(0)
//	q = 1:          G(max(B, 0))
//	q > 1, B >= 0:  G(B)/q
//	q > 1, B < 0:   G(0) - (1 - 1/q) G(-B/(q-1))
//
// which follows from integrating n(E) P(B/E) over E.
func (s Spheres) Share(e Emission, barrier float64) float64 {
	q := s.q()
	switch {
	case math.IsInf(q, 1):
		return 0
	case q > 1 && barrier < 0:
		return 1 - (1-1/q)*e.relative(-barrier/(q-1))
	case barrier <= 0:
		return min(1, 1/q)
	case q >= 1:
		return e.relative(barrier) / q
	case q < smallQ:
		return nearlyPoint(e, barrier, q)
	}
	share := (e.relative(barrier) - (1-q)*e.relative(barrier/(1-q))) / q
	// Rounding may carry the quotient past its ends.
	return min(max(share, 0), 1)
}

// nearlyPoint is Share for a small q and a positive barrier. The quotient
// [H(1) - H(1-q)]/q with H(s) = s G(B/s) is the mean of the slope of H over
// [1-q, 1], taken by the Gauss-Legendre rule of two points.
func nearlyPoint(e Emission, barrier, q float64) float64 {
	slope := func(s float64) float64 {
		b := barrier / s
		return e.relative(b) - b*e.relativeSlope(b)
	}
	offset := q / (2 * math.Sqrt(3))
	middle := 1 - q/2
	return min((slope(middle-offset)+slope(middle+offset))/2, 1)
}
