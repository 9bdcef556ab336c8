package instrument

import (
	"math"

	"stopvolt/physics"
)

// Range is a meter set to one of its ranges.
type Range struct {
	// Lowest and Highest are the least and the greatest current in A that it
	// shows; a meter without ranges has infinite ones.
	Lowest, Highest float64
	// Resolution is one step of the display in A; 0 shows every digit.
	Resolution float64
	// Offset is the half-width in A of the range in which the zero of a session
	// may lie.
	Offset float64
	// Parallax is that of the needle in A.
	Parallax float64
	// Feedback is the resistance in ohm across which the current becomes a
	// voltage, 0 where that is left out.
	Feedback float64
	// JohnsonDensity is the variance of the charge in C that the noise of that
	// resistance carries in a second, 2 k T/R, in A^2 s (J. B. Johnson, Phys.
	// Rev. 32, 97 (1928); H. Nyquist, Phys. Rev. 32, 110 (1928)).
	JohnsonDensity float64
	// Burden is the resistance in ohm between the terminals.
	Burden float64
	// Flicker is the Allan deviation in A of the zero's wandering.
	Flicker float64
}

// JohnsonNoise returns the standard deviation in A of the resistor's noise in a
// mean over a dwell in s,
//
//	sqrt(4 k T/R * 1/(2 dwell)),
//
// since such a mean has the noise bandwidth 1/(2 dwell).
func (r Range) JohnsonNoise(dwell float64) float64 { return math.Sqrt(r.JohnsonDensity / dwell) }

// Show returns a current in A as the display shows it, and whether it was
// beyond the range, whose end is shown then.
func (r Range) Show(current float64) (shown float64, beyond bool) {
	switch {
	case current > r.Highest:
		return r.Highest, true
	case current < r.Lowest:
		return r.Lowest, true
	}
	return rounded(current, r.Resolution), false
}

// Uncertainty returns the standard uncertainty in A that an analyst can state
// for a shown current from the data sheet: the shot noise of that current,
// Johnson noise, the wandering of the zero and the rounding of the last digit
// (JCGM 100:2008, 4.3.7). What is common to all readings is not part of it.
func (r Range) Uncertainty(shown, dwell float64) float64 {
	rate := 1 / dwell
	// A count of electrons of none still leaves an uncertainty of one.
	shot := physics.ElementaryCharge * max(math.Abs(shown), physics.ElementaryCharge*rate)
	return math.Sqrt((shot+r.JohnsonDensity)*rate + r.Flicker*r.Flicker + r.Resolution*r.Resolution*(1./12))
}
