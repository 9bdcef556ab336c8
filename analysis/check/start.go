package check

import "fmt"

// latestStart is the voltage in V at which a sweep may begin.
const latestStart = 0.05

// findStart looks for a sweep that begins in the knee: the photocurrent at zero
// volts, by which methods choose their windows, is then not known.
func findStart(s *sheet) []Finding {
	var all []Finding
	for _, w := range s.sweeps {
		if !w.usable || w.v[0] <= latestStart {
			continue
		}
		all = append(all, Finding{Setting: w.name,
			Says: fmt.Sprintf("the sweep begins at %.3g V", w.v[0]),
			Do:   "add readings at 0 V and a little below, where the collector attracts"})
	}
	return all
}
