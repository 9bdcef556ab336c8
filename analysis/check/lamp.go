package check

import (
	"fmt"
	"math"
)

// leastDrift is the relative change of the light between the first and the last visit
// to the same voltages that is worth a word.
const leastDrift = 0.03

// findLampDrift looks for a lamp that grew brighter or dimmer between two visits to
// the same voltages on the accelerating side of the knee.
func findLampDrift(s *sheet) []Finding {
	var all []Finding
	for _, w := range s.sweeps {
		if lag, u, ok := w.lag(); ok && lag > leastLag && lag > surely*u {
			// A meter that lags makes the same difference, and findSettling says so.
			continue
		}
		drift, u, ok := w.drift()
		if !ok || math.Abs(drift) < leastDrift || math.Abs(drift) < surely*u {
			continue
		}
		word := "brighter"
		if drift < 0 {
			word = "dimmer"
		}
		all = append(all, Finding{Setting: w.name,
			Says: fmt.Sprintf("between the first and the last visit to the same voltages the light grew %.1f %% %s", 100*math.Abs(drift), word),
			Do:   "let the lamp warm for a quarter of an hour, and take this setting again in one go"})
	}
	return all
}

// drift returns the relative change of the photocurrent from the first to the last
// visit of voltages that were visited again after others, with its standard
// uncertainty.
func (w sweep) drift() (change, u float64, ok bool) {
	if !w.usable || w.photocurrent() <= 0 {
		return 0, 0, false
	}
	level, enough := w.level(), w.level()+0.3*w.photocurrent()
	first := make(map[float64]int)
	last := make(map[float64]int)
	for k, r := range w.taken {
		if _, seen := first[r.Retarding]; !seen {
			first[r.Retarding] = k
		}
		last[r.Retarding] = k
	}
	var ratios []float64
	for k, r := range w.taken {
		// Three readings or more between the two visits make them two.
		if first[r.Retarding] != k || last[r.Retarding]-k < 4 || r.Current < enough {
			continue
		}
		ratios = append(ratios, math.Log((w.taken[last[r.Retarding]].Current-level)/(r.Current-level)))
	}
	n := float64(len(ratios))
	if n < 4 {
		return 0, 0, false
	}
	middle := mean(ratios)
	var squares float64
	for _, x := range ratios {
		squares += (x - middle) * (x - middle)
	}
	return math.Expm1(middle), math.Sqrt(squares / (n - 1) / n), !math.IsNaN(middle)
}
