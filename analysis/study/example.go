package study

import (
	"stopvolt/analysis"
	"stopvolt/instrument/run"
	"stopvolt/sim"
)

// An Example is the first experiment of a study, read by its methods.
type Example struct {
	// Run is what was measured, without dark curves.
	Run run.Run
	// Extraction is what the methods make of it, and Truth what they should
	// have found.
	Extraction analysis.Extraction
	Truth      sim.Truth
}

// Example returns the first experiment of the study.
func (s Study) Example() (Example, error) {
	if err := s.check(); err != nil {
		return Example{}, err
	}
	only, err := s.onlyBench()
	if err != nil {
		return Example{}, err
	}
	w := s.worker(only)
	if err := w.stand(0); err != nil {
		return Example{}, err
	}
	x := w.experiment(0)
	lit, _ := analysis.WithoutDark(w.run)
	return Example{lit, x, w.truth}, nil
}
