package physics

import "math"

// Film is the valence band of a semiconducting or composite film, such as the
// antimonides of alkali metals that most cells for visible light have as their
// emitters. Light lifts electrons from a band that is full up to its edge and has
// there as many states as a power m of the depth beneath it:
//
//	n(E) = E (Em - E)^m,  0 < E < Em,
//
// with Em = hv - E_T the largest energy, E_T the threshold, and E from the escape
// through a cone of directions as in a metal, so that Lambert's law stays. The
// distribution ends as the power m, without the Fermi edge of a metal and its
// thermal tail: a gap separates the band from the states above. The yield goes as
// the power m + 2 of the distance to the threshold.
//
// A band of free holes has m = 1/2, which is the yield of power 5/2 that E. O. Kane
// (Phys. Rev. 127, 131 (1962); his powers of the yield go from 1 to 5/2 by the
// process) finds for indirect excitation; m = 1 is the cube law that J. M.
// Ballantyne (Phys. Rev. B 6, 1436 (1972)) calls the one commonly observed near the
// threshold. His and Kane's linear yield of electrons that are excited directly and
// escape without any collision is not of this form.
//
// The zero Film is a metal.
type Film struct {
	// Exponent is m, which must not be negative; 0 is the metal.
	Exponent float64
}

// beyond returns what integrating (max(y, 0)/eV)^m over y twice gives, in eV^2,
// or the derivative of an order by y.
func (f Film) beyond(y float64, order int) float64 {
	if y <= 0 {
		return 0
	}
	coefficient, power := f.power(order)
	return coefficient * math.Pow(y, power)
}

// power returns the coefficient and the power of what beyond returns.
func (f Film) power(order int) (coefficient, power float64) {
	m := f.Exponent
	return [...]float64{1 / ((m + 1) * (m + 2)), 1 / (m + 1), 1}[order], m + 2 - float64(order)
}
