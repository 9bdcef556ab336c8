package instrument

import "math"

// Voltmeter reads the voltage that the supply gives, before the ammeter takes
// its burden from it. The zero Voltmeter is an ideal one.
type Voltmeter struct {
	// Offset in V and Gain, relative to the reading, are the half-widths of
	// the ranges in which the errors of a session may lie, not negative.
	Offset, Gain float64
	// Resolution is one step of the last digit in V, not negative; 0 shows
	// every digit.
	Resolution float64
}

// Show returns a voltage in V as the display shows it.
func (v Voltmeter) Show(voltage float64) float64 { return rounded(voltage, v.Resolution) }

// rounded returns a value to the nearest step; a step of 0 leaves it alone.
func rounded(value, step float64) float64 {
	if step == 0 {
		return value
	}
	// Dividing by the number of steps in a unit, where that is whole, gives the
	// float64 nearest to the decimal number: 0.3, not 0.30000000000000004.
	// Adding zero turns a rounded -0 into 0.
	if perUnit := math.RoundToEven(1 / step); math.Abs(perUnit*step-1) < 1e-12 {
		return math.RoundToEven(value*perUnit)/perUnit + 0
	}
	return math.RoundToEven(value/step)*step + 0
}
