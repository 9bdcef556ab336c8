package sim

import (
	"math"

	"stopvolt/instrument"
)

// interval is what a stretch of time of one length does to the input of the
// meter, worked out once for all stretches of that length.
type interval struct {
	// length is in s.
	length float64
	// keep is the part of the meter's output that is left of the old, and
	// spread the part of the variance that white noise has reached again.
	keep, spread float64
	// relaxing is the part of each relaxation's rest that is left, and fed what
	// of its current's beginning appears in the meter's output at the end.
	relaxing, fed [instrument.Relaxations]float64
	// hum and ripple are the parts that are left in the mean of the mains
	// frequency and of twice that.
	hum, ripple float64
}

// newInterval returns that of a length in s at an apparatus.
func newInterval(a *instrument.Apparatus, length float64) interval {
	response := a.Meter.Response
	v := interval{
		length: length,
		hum:    instrument.Passed(a.Mains.Frequency, length, response),
		ripple: instrument.Passed(2*a.Mains.Frequency, length, response),
	}
	if response > 0 {
		v.keep = math.Exp(-length / response)
		v.spread = -math.Expm1(-2 * length / response)
	}
	if a.Leads.Absorption == 0 {
		return v
	}
	for i := range v.relaxing {
		time := a.Leads.Relaxation(i).Time
		v.relaxing[i] = math.Exp(-length / time)
		if response > 0 {
			v.fed[i] = fed(length, time, response)
		}
	}
	return v
}

// fed returns what a current exp(-t/time) makes of the output of a first-order
// response over a length,
//
//	(exp(-length/time) - exp(-length/response)) / (1 - response/time),
//
// with its limit where the two times are equal.
func fed(length, time, response float64) float64 {
	x := length/time - length/response
	if x == 0 {
		return length / response * math.Exp(-length/response)
	}
	// The slower of the two is taken out, so that nothing overflows.
	slower := max(-length/time, -length/response)
	return math.Exp(slower) * -math.Expm1(-math.Abs(x)) / math.Abs(x) * length / response
}
