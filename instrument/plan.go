package instrument

import "math"

// Plan is how the voltage is taken through a sweep, which is done once for each
// setting of the light.
type Plan struct {
	// Start, Stop and Step are retarding voltages in V; Step is above zero
	// and Start less than Stop.
	Start, Stop, Step float64
	// Settle is the wait in s after the dial is turned, not negative, and
	// Dwell the time in s over which the meter averages, above zero.
	Settle, Dwell float64
	// Repeats is the number of readings at each voltage, at least one.
	Repeats int
	// Order says which voltage comes first.
	Order Order
}

// Order is the order of the voltages of a sweep.
type Order int

const (
	// Up goes from the least retarding voltage to the most.
	Up Order = iota
	// Down goes from the most retarding voltage to the least.
	Down
)

// Voltages returns the retarding voltages in V in the order in which they are
// set.
func (p Plan) Voltages() []float64 {
	// A hundredth of a step makes up for steps that no float64 holds.
	n := int(math.Floor((p.Stop-p.Start)/p.Step+0.01)) + 1
	voltages := make([]float64, n)
	for i := range voltages {
		at := i
		if p.Order == Down {
			at = n - 1 - i
		}
		// Rounding to a nanovolt makes the file read 0.3 and not
		// 0.30000000000000004.
		voltages[i] = math.Round((p.Start+float64(at)*p.Step)*1e9) / 1e9
	}
	return voltages
}
