package check

import (
	"fmt"
	"strings"
)

// findSlips looks for single readings far off the course of their neighbours: a digit
// moved or left out, or a range misread. The other checks look at the rest.
func findSlips(s *sheet) []Finding {
	var all []Finding
	for _, w := range s.sweeps {
		if len(w.slips) == 0 {
			continue
		}
		var said, where []string
		for _, slip := range w.slips {
			at := fmt.Sprintf("%.3g V", slip.Reading.Retarding)
			said = append(said, fmt.Sprintf("at %s %s, where the neighbours suggest %s", at, amperes(slip.Reading.Current), amperes(slip.Suggested)))
			if len(where) == 0 || where[len(where)-1] != at {
				where = append(where, at)
			}
		}
		all = append(all, Finding{Setting: w.name, Where: "at " + strings.Join(where, ", "),
			Says: "the current falls smoothly but for a slip: " + strings.Join(said, "; "),
			Do:   "look at the notebook for a digit moved or a range misread, and read that voltage again"})
	}
	return all
}
