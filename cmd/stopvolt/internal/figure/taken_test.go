package figure

import (
	"strings"
	"testing"

	"stopvolt/analysis"
)

// A reading that the method passed over has a mark and a key of its own, and the
// answer says which share of the current was read.
func TestAReadingThatIsNotTakenLooksSo(t *testing.T) {
	f := Construction{Curve: benchRun().Curves[1], Method: "square-root", Cutoff: analysis.Cutoff{Stopping: 1.2, U: 0.02}}
	all := len(f.Curve.Readings)
	keys := len(f.keys())
	if parts := f.readings(); len(parts[0].Readings) != all || len(parts[1].Readings) != 0 {
		t.Errorf("without a window %d of %d are taken", len(parts[0].Readings), all)
	}
	f.Taken = &analysis.Window{From: 0.5, To: 1, High: 0.4, Low: 0.03}
	parts := f.readings()
	if len(parts[0].Readings)+len(parts[1].Readings) != all || len(parts[0].Readings) == 0 || len(parts[1].Readings) == 0 {
		t.Fatalf("%d are taken and %d not, of %d", len(parts[0].Readings), len(parts[1].Readings), all)
	}
	for _, r := range parts[0].Readings {
		if r.Retarding < 0.5 || r.Retarding > 1 {
			t.Errorf("the reading at %g V is taken", r.Retarding)
		}
	}
	if len(f.keys()) != keys+1 {
		t.Errorf("%d keys, and %d without a window", len(f.keys()), keys)
	}
	if got := f.found(); !strings.Contains(got, "read between 40 and 3 % of the photocurrent at zero volts") {
		t.Errorf("it says %q", got)
	}
}
