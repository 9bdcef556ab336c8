package check_test

import (
	"math"
	"testing"

	"stopvolt/analysis"
	"stopvolt/analysis/check"
	"stopvolt/physics"
)

// Each number of the condition is one that was put into the bench.
func TestConditionTellsWhatTheBenchIsLike(t *testing.T) {
	base := check.ConditionOf(taken(t, "lanternfell", 3), nil)
	for _, c := range []struct {
		name, change string
		ratio        func(now check.Condition) float64
		want, within float64
	}{
		{"half the light in the green", "light.green.neutral=0.5", func(now check.Condition) float64 {
			return now.Sensitivity[546.1] / base.Sensitivity[546.1]
		}, 0.5, 0.01},
		{"and none less elsewhere", "light.green.neutral=0.5", func(now check.Condition) float64 {
			return now.Sensitivity[365] / base.Sensitivity[365]
		}, 1, 0.01},
		{"twice the stray light", "collector.stray_light=0.06", func(now check.Condition) float64 { return now.PlateauRatio / base.PlateauRatio }, 2, 0.1},
		{"a tenth of the leak's resistance", "leakage.resistance_ohm=2e11", func(now check.Condition) float64 { return now.Leakage * 2e11 }, 1, 0.02},
	} {
		if got := c.ratio(check.ConditionOf(taken(t, "lanternfell", 3, c.change), nil)); math.Abs(got-c.want) > c.within {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
	const phi = 2.08
	f := physics.Frequency(546.1)
	if got := check.ConditionOf(taken(t, "lanternfell", 3), []analysis.Point{{Frequency: f, Stopping: physics.HOverE*f - phi}}).Shift; math.Abs(got+phi) > 1e-12 {
		t.Errorf("shift %v, want %v", got, -phi)
	}
}
