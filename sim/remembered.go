package sim

import (
	"slices"

	"stopvolt/instrument"
)

// remembered is a mean current that has been worked out at some voltages.
type remembered struct {
	current
	// voltages rise, and known are the currents there.
	voltages []float64
	known    []instrument.Currents
}

// newRemembered works out a mean current at voltages in any order.
func newRemembered(c current, voltages []float64) *remembered {
	r := &remembered{current: c, voltages: slices.Clone(voltages)}
	slices.Sort(r.voltages)
	r.voltages = slices.Compact(r.voltages)
	for _, v := range r.voltages {
		r.known = append(r.known, c.At(v))
	}
	return r
}

// At returns the mean currents at a voltage in V, and works out what it does not
// know.
func (r *remembered) At(retarding float64) instrument.Currents {
	if i, ok := slices.BinarySearch(r.voltages, retarding); ok {
		return r.known[i]
	}
	return r.current.At(retarding)
}
