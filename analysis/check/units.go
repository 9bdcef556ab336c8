package check

import (
	"fmt"
	"math"
	"slices"
)

// What a photocell on a teaching bench does (common practice, no source): its
// photocurrent in A, and the range of a sweep in V.
const (
	leastPhotocurrent, mostPhotocurrent = 1e-14, 1e-5
	leastSpan, mostSpan                 = 0.2, 60
)

// How far the photocurrent of a setting may lie above all others and below all others
// before its unit is doubted. Near the threshold light is dim, and no line of a lamp is
// much brighter than the next.
const mostAbove, mostBelow = 5, 1000

// findUnits looks for currents and voltages of a size that no photocell has, and for
// a setting whose unit is not that of the others.
func findUnits(s *sheet) []Finding {
	var all []Finding
	var sizes []float64
	for _, w := range s.sweeps {
		if w.usable {
			sizes = append(sizes, math.Abs(w.photocurrent()))
		}
	}
	slices.Sort(sizes)
	for _, w := range s.sweeps {
		if !w.usable {
			continue
		}
		current, span := math.Abs(w.photocurrent()), w.v[len(w.v)-1]-w.v[0]
		if current < fewestNoises*max(w.noise, w.digit) {
			// findNoise speaks of it.
			continue
		}
		switch {
		case span < leastSpan || span > mostSpan:
			unit := "volts"
			if span > mostSpan {
				unit = "millivolts"
			}
			all = append(all, Finding{Setting: w.name,
				Says: fmt.Sprintf("the voltages span %.3g V", span),
				Do:   "if the numbers are in " + unit + ", say so in the heading; a sweep goes from a little below zero to a volt beyond the cutoff"})
		case current > mostPhotocurrent || current > 0 && current < leastPhotocurrent:
			all = append(all, Finding{Setting: w.name,
				Says: fmt.Sprintf("the photocurrent would be %s", amperes(current)),
				Do:   "look at the range switch and write the currents' unit into the heading"})
		case len(sizes) > 2:
			lowest, highest := others(sizes, current)
			if current > mostAbove*highest || current < lowest/mostBelow {
				all = append(all, Finding{Setting: w.name,
					Says: fmt.Sprintf("its photocurrent is %s, and those of the other settings are from %s to %s", amperes(current), amperes(lowest), amperes(highest)),
					Do:   "if another range was used, write its unit; if the light was dim, check filter and slit"})
			}
		}
	}
	return all
}

// others returns the smallest and the largest of rising numbers, two or more, without
// one of them.
func others(rising []float64, one float64) (lowest, highest float64) {
	lowest, highest = rising[0], rising[len(rising)-1]
	if one == lowest {
		lowest = rising[1]
	}
	if one == highest {
		highest = rising[len(rising)-2]
	}
	return lowest, highest
}
