package groups

import (
	"slices"
	"testing"

	"stopvolt/instrument/run"
	"stopvolt/physics"
	"stopvolt/scenarios"
	"stopvolt/sim"
)

// Two groups at one bench, with the same voltages and a coarse last digit, differ
// somewhere; a run that was copied does not, nor does one with a reading retouched.
func TestOnlyCopiedReadingsAreQuestioned(t *testing.T) {
	s, err := scenarios.Load("lanternfell", []string{"meter.resolution_A=1e-12", "plan.step_V=0.02", "lamp.flicker=0.005"})
	if err != nil {
		t.Fatal(err)
	}
	b, err := sim.NewBenchForOneRun(s.Apparatus, physics.Quadrature{})
	if err != nil {
		t.Fatal(err)
	}
	var runs []run.Run
	for seed := range uint64(12) {
		var session sim.Session
		session.Open(b, seed, 0)
		var r run.Run
		session.Acquire(&r)
		runs = append(runs, r)
	}
	if found := Alike(runs); len(found) != 0 {
		t.Errorf("honest runs are questioned: %+v", found)
	}
	copied := runs[4]
	copied.Curves = slices.Clone(copied.Curves)
	copied.Curves[1].Readings = slices.Clone(copied.Curves[1].Readings)
	copied.Curves[1].Readings[3].Current *= 1.01
	found := Alike(append(runs, copied))
	// The digit is too coarse for green and yellow to tell.
	if len(found) != 3 {
		t.Errorf("a copy was found at %d settings, want the three bright ones", len(found))
	}
	for _, l := range found {
		if l.First != 4 || l.Second != 12 {
			t.Errorf("%+v, want runs 4 and 12", l)
		}
	}
}
