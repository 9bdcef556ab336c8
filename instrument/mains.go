package instrument

import "math"

// Mains is what the alternating current of the house does to the bench. The
// zero Mains does nothing.
type Mains struct {
	// Frequency is in Hz, above zero where there is hum or a lamp with ripple.
	Frequency float64
	// Hum is the amplitude in A of the current at that frequency that the
	// leads pick up, not negative.
	Hum float64
}

// Passed returns the part of an alternating current's amplitude that remains in
// a mean over a dwell in s, of an input with a first-order response in s:
//
//	|sin(pi f T)/(pi f T)| / sqrt(1 + (2 pi f tau)^2).
//
// It vanishes where the dwell is a whole number of cycles.
func Passed(frequency, dwell, response float64) float64 {
	x := math.Pi * frequency * dwell
	if x == 0 {
		return 1
	}
	return math.Abs(math.Sin(x)/x) / math.Hypot(1, 2*math.Pi*frequency*response)
}
