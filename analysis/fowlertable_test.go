package analysis

import (
	"math"
	"testing"

	"stopvolt/physics"
)

// TestTabulatedFowlerFunction holds the table to the exact function, and to the
// reference values whose README says how they were made: to 1e-9 of the function
// or, where that is below one, of one.
func TestTabulatedFowlerFunction(t *testing.T) {
	check := func(mu, want float64) {
		t.Helper()
		got, slope := fowler(mu)
		if !(math.Abs(got-want) <= 1e-9*math.Max(want, 1)) {
			t.Errorf("f(%g) = %.15g, want %.15g", mu, got, want)
		}
		if mu <= 0 {
			if alone := fowlerBelow(-mu); math.Abs(alone-got) > 1e-15 {
				t.Errorf("alone, f(%g) = %.15g, want %.15g", mu, alone, got)
			}
		}
		if exact := physics.FowlerSlope(mu); !(math.Abs(slope-exact) <= 1e-6) {
			t.Errorf("slope at %g = %g, want %g", mu, slope, exact)
		}
	}
	for mu := -60.0; mu < 60; mu += 0.0137 {
		check(mu, physics.Fowler(mu))
	}
	for _, row := range table(t, "reference/fowler.csv") {
		check(number(t, row[0]), number(t, row[1]))
	}
}
