package groups

import "math"

// A Correction is what simulated benches say of a method: the factor true/read,
// its median, and the ends of its 95 % interval. It holds the scatter of one run.
type Correction struct {
	Factor, Low, High float64
}

// Apply returns a corrected mean with its 95 % interval, in the mean's unit. The
// interval of the factor is taken whole, however many results the mean has: groups
// read by one method, and cells of one make err the same way, and no number of
// them averages that away. The mean's own 95 % interval is added in quadrature.
func (c Correction) Apply(mean Pool) (value, low, high float64) {
	value = c.Factor * mean.Mean
	from, to := mean.Interval(0.95)
	half := c.Factor * (to - from) / 2
	low = value - math.Hypot((c.Factor-c.Low)*mean.Mean, half)
	high = value + math.Hypot((c.High-c.Factor)*mean.Mean, half)
	return value, low, high
}
