package check

import (
	"slices"

	"stopvolt/analysis"
	"stopvolt/instrument/run"
)

// Fineness says how fine the readings of a run are.
type Fineness struct {
	// Step is the largest of the settings' median steps in V.
	Step float64
	// Digit is a step of the last digit over the brightest photocurrent.
	Digit float64
}

// FinenessOf returns how fine the readings of a run are; the zero Fineness where none can
// be looked at.
func FinenessOf(r run.Run) Fineness {
	lit, _ := analysis.WithoutDark(r)
	var s Fineness
	var digit, brightest float64
	for _, w := range lay(lit).sweeps {
		if !w.usable {
			continue
		}
		var steps []float64
		for k := 1; k < len(w.v); k++ {
			steps = append(steps, w.v[k]-w.v[k-1])
		}
		slices.Sort(steps)
		s.Step = max(s.Step, steps[len(steps)/2])
		digit = max(digit, w.digit)
		brightest = max(brightest, w.photocurrent())
	}
	if brightest > 0 {
		s.Digit = digit / brightest
	}
	return s
}
