package words

import (
	"strings"
	"testing"

	"stopvolt/analysis"
)

// One current is named, that of fixed-current: null-reading has a level too.
func TestFixedLevelIsThatOfFixedCurrent(t *testing.T) {
	methods := []analysis.Method{analysis.NullReading{}, analysis.FixedCurrent{}}
	level := func(a float64) analysis.Cutoff { return analysis.Cutoff{Stopping: 1, U: 0.1, Level: a} }
	x := analysis.Extraction{Settings: []analysis.Setting{
		{Cutoffs: []analysis.Cutoff{level(1e-12), {Status: analysis.OutsideKnee}}},
		{Cutoffs: []analysis.Cutoff{level(1e-12), level(5e-12)}},
	}}
	if got := FixedLevel(x, methods); !strings.Contains(got, "fixed-current took the voltages at 5.00 pA.") {
		t.Errorf("it says %q", got)
	}
	if got := FixedLevel(x, methods[:1]); got != "" {
		t.Errorf("without fixed-current it says %q", got)
	}
}
