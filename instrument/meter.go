package instrument

import (
	"math"

	"stopvolt/physics"
)

// Meter is a digital picoammeter. The zero Meter is an ideal one: it counts
// electrons and adds nothing.
type Meter struct {
	// Feedback is the resistance in ohm across which the current is turned
	// into a voltage, not negative; 0 is a meter without Johnson noise.
	Feedback float64
	// Temperature of that resistor is in K, not negative.
	Temperature float64
	// Offset is the half-width in A of the range in which the zero of a
	// session may lie, not negative.
	Offset float64
	// Resolution is one step of the last digit in A, not negative; 0 shows
	// every digit.
	Resolution float64
}

// JohnsonNoise returns the standard deviation in A of the current noise of the
// feedback resistor over a dwell in s,
//
//	sqrt(4 k T/R * 1/(2 dwell)),
//
// since a mean over a dwell has the noise bandwidth 1/(2 dwell) (J. B. Johnson,
// Phys. Rev. 32, 97 (1928); H. Nyquist, Phys. Rev. 32, 110 (1928)).
func (m Meter) JohnsonNoise(dwell float64) float64 {
	if m.Feedback == 0 {
		return 0
	}
	return math.Sqrt(4 * physics.Boltzmann * m.Temperature / m.Feedback / (2 * dwell))
}

// Show returns a current in A as the display shows it.
func (m Meter) Show(current float64) float64 {
	if m.Resolution == 0 {
		return current
	}
	// Adding zero turns a rounded -0 into 0.
	return math.Round(current/m.Resolution)*m.Resolution + 0
}

// Uncertainty returns the standard uncertainty in A that an analyst can state
// for a shown current from the data sheet: the shot noise of that current,
// Johnson noise and the rounding of the last digit (JCGM 100:2008, 4.3.7). The
// offset is common to all readings and not part of it.
func (m Meter) Uncertainty(shown, dwell float64) float64 {
	// A count of electrons of none still leaves an uncertainty of one.
	electrons := max(math.Abs(shown)*dwell/physics.ElementaryCharge, 1)
	shot := physics.ElementaryCharge / dwell * math.Sqrt(electrons)
	return math.Hypot(math.Hypot(shot, m.JohnsonNoise(dwell)), m.Resolution/math.Sqrt(12))
}
