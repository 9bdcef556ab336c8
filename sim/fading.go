package sim

import "math"

// fading is exp(-time/constant), read off at rising times: an exponential for
// each different interval instead of one for each time.
type fading struct {
	// value is that at a time in s, and factor what an interval in s leaves.
	value, time      float64
	interval, factor float64
}

// at returns the value at a time in s for a time constant in s.
func (f *fading) at(time, constant float64) float64 {
	interval := time - f.time
	if interval == 0 {
		return f.value
	}
	// Intervals are told apart only beyond the rounding of a sum of times.
	if !(math.Abs(interval-f.interval) <= 1e-9*interval) {
		f.interval, f.factor = interval, math.Exp(-interval/constant)
	}
	f.time = time
	f.value *= f.factor
	return f.value
}
