package check

import "fmt"

// fewestNoises is how many times the noise of a reading the photocurrent must be.
const fewestNoises = 20

// findNoise looks for light that is too dim for the meter.
func findNoise(s *sheet) []Finding {
	var all []Finding
	for _, w := range s.sweeps {
		current := 0.0
		if w.usable {
			current = w.photocurrent()
		}
		floor := max(w.noise, w.digit)
		if !w.usable || current >= fewestNoises*floor {
			continue
		}
		all = append(all, Finding{Setting: w.name,
			Says: fmt.Sprintf("the photocurrent is %s, and a reading is good to %s", amperes(current), amperes(floor)),
			Do:   "check that the light falls on the emitter, open the slit, take the next more sensitive range, or average more readings"})
	}
	return all
}
