package sim

import (
	"math"

	"stopvolt/instrument"
)

// negligible is a voltage in V that no curve shows.
const negligible = 1e-8

// burdened returns the voltage in V by which the burden in ohm of a meter shifts
// a cell from the supply's voltage in V, and the currents there; at gives those
// at a voltage across the cell, and guess is a shift to begin with. A forward
// current I makes the collector more negative, so the shift x solves
//
//	x = burden I(supplied + x).
//
// I falls as x rises, so there is one solution.
func burdened(at func(retarding float64) instrument.Currents, supplied, burden, guess float64) (float64, instrument.Currents) {
	x := guess
	c := at(supplied + x)
	next := burden * c.Net()
	// Where the burden is small against the cell's own resistance, this
	// converges at once: each step divides the error by their ratio.
	for range 3 {
		if math.Abs(next-x) <= negligible {
			return x, c
		}
		x = next
		c = at(supplied + x)
		next = burden * c.Net()
	}
	return enclosed(at, supplied, burden)
}

// enclosed is burdened for a cell that conducts better than the meter. The
// solution lies between no shift and that with the current which flows there.
func enclosed(at func(retarding float64) instrument.Currents, supplied, burden float64) (float64, instrument.Currents) {
	// excess is what the shift has too much, and rises with it.
	excess := func(x float64) (float64, instrument.Currents) {
		c := at(supplied + x)
		return x - burden*c.Net(), c
	}
	low, lowExcess, high, highExcess := 0., 0., 0., 0.
	first, c := excess(0)
	if first < 0 {
		low, lowExcess, high = 0, first, -first
		highExcess, _ = excess(high)
	} else {
		low, high, highExcess = -first, 0, first
		lowExcess, _ = excess(low)
	}
	x, side := 0., 0
	for high-low > negligible {
		// The secant is quick where the curve is straight.
		x = low - lowExcess*(high-low)/(highExcess-lowExcess)
		if !(x > low && x < high) {
			x = (low + high) / 2
		}
		var e float64
		e, c = excess(x)
		if math.Abs(e) <= negligible || x == low || x == high {
			break
		}
		// Halving the excess of an end that stays twice is the Illinois rule
		// (M. Dowell and P. Jarratt, BIT 11, 168 (1971)).
		if e > 0 {
			high, highExcess = x, e
			if side > 0 {
				lowExcess /= 2
			}
			side = 1
		} else {
			low, lowExcess = x, e
			if side < 0 {
				highExcess /= 2
			}
			side = -1
		}
	}
	return x, c
}
