package check

import (
	"fmt"

	"stopvolt/instrument/run"
)

// fewestAlike is the number of neighbouring voltages with one and the same largest
// current that make a range's end: a current that saturates does so gently.
const fewestAlike = 3

// findRange looks for readings at the end of the meter's range: those that the meter
// flags, and a largest current that stands still after a steep rise.
func findRange(s *sheet) []Finding {
	var all []Finding
	for _, w := range s.sweeps {
		flagged := 0
		for _, r := range w.taken {
			if r.Flags&run.Overload != 0 {
				flagged++
			}
		}
		says := ""
		if flagged > 0 {
			says = fmt.Sprintf("%d readings are beyond the meter's range", flagged)
		} else if n := w.clipped(); n > 0 {
			says = fmt.Sprintf("the current stands at %s over the first %d voltages after a steep rise, as at the end of a range", amperes(w.i[0]), n)
		}
		if says != "" {
			all = append(all, Finding{Setting: w.name, Says: says,
				Do: "take these voltages again on the next range; the current at zero volts must be on the scale"})
		}
	}
	return all
}

// clipped returns the number of readings that stand at the range's end, 0 for none.
func (w sweep) clipped() int {
	if !w.usable || w.photocurrent() <= 0 {
		return 0
	}
	n := 1
	for n < len(w.i) && w.i[n] == w.i[0] {
		n++
	}
	if n < fewestAlike || n+2 >= len(w.i) {
		return 0
	}
	// The first two steps beyond the level are as steep as any, where a current
	// that saturates begins with a gentle one.
	step := (w.i[0] - w.i[n]) / (w.v[n] - w.v[n-1])
	var steepest float64
	for k := n; k < len(w.i); k++ {
		steepest = max(steepest, (w.i[k-1]-w.i[k])/(w.v[k]-w.v[k-1]))
	}
	next := (w.i[n] - w.i[n+1]) / (w.v[n+1] - w.v[n])
	if w.i[0]-w.i[n+1] > 10*max(w.digit, w.noise) && step+next > 1.2*steepest {
		return n
	}
	return 0
}
