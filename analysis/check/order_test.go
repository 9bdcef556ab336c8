package check_test

import (
	"path/filepath"
	"slices"
	"testing"

	"stopvolt/analysis"
	"stopvolt/analysis/check"
	"stopvolt/instrument/run/reader"
)

// Light of a longer wavelength cannot stop at a higher voltage than light of a shorter
// one. In the second measured run (testdata/real2/README.md says where it is from) the
// weak red line ends in a foot, and no voltage at which currents have fallen to a fifth
// shows it; the cutoffs do, and what the extraction says of them the check says too.
func TestALongWaveThatStopsLastIsOutOfOrder(t *testing.T) {
	names, err := filepath.Glob("../../testdata/real2/*.csv")
	if err != nil || len(names) != 6 {
		t.Fatal(names, err)
	}
	r, _, err := reader.ReadFiles(names, nil, reader.Options{})
	if err != nil {
		t.Fatal(err)
	}
	method, err := analysis.ByName(analysis.Preference()[0])
	if err != nil {
		t.Fatal(err)
	}
	if names := analysis.Extract(r, []analysis.Method{method}).OutOfOrder(0); !slices.Contains(names, "691") {
		t.Fatalf("the extraction finds %v out of order, want the red line among them", names)
	}
	if found := orders(check.Run(r)); len(found) != 1 || found[0].Setting != "691" {
		t.Errorf("found %+v, want the red line out of order", found)
	}
	// Without its foot the red line is in order: it then stops before all others.
	red := setting(r, "691")
	plateau := red.Readings[len(red.Readings)-1].Current
	for i := range red.Readings {
		if red.Readings[i].Retarding > 0.2 {
			red.Readings[i].Current = plateau
		}
	}
	if found := orders(check.Run(r)); len(found) > 0 {
		t.Errorf("without its foot the red line is out of order: %+v", found)
	}
}

// A cutoff that was read from few voltages may lie anywhere: light is out of order only
// where its current flows on.
func TestACutoffOfACoarseSweepIsNoProofOfAWrongFilter(t *testing.T) {
	for seed := range uint64(10) {
		if found := orders(check.Run(taken(t, "lanternfell", seed, "plan.step_V=0.1"))); len(found) > 0 {
			t.Errorf("seed %d: %+v", seed, found)
		}
	}
}

// orders returns the findings about the order of the settings.
func orders(findings []check.Finding) []check.Finding {
	return slices.DeleteFunc(findings, func(f check.Finding) bool { return f.Check != "order" })
}
