package physics_test

import (
	"math"
	"testing"

	"stopvolt/physics"
)

// A function whose rounding errors are above the tolerance is tabulated as well
// as can be, and in bounded time.
func TestATableOfANoisyFunctionEnds(t *testing.T) {
	calls := 0
	noisy := func(v float64) float64 {
		calls++
		return math.Sin(v) + 1e-9*math.Sin(1e9*v)
	}
	p := physics.NewPiecewise(noisy, 0, 3, physics.Tolerance{Absolute: 1e-12})
	if calls > 1_000_000 {
		t.Errorf("the function was asked %d times", calls)
	}
	for v := 0.0; v < 3; v += 0.01 {
		if got := p.At(v); math.Abs(got-math.Sin(v)) > 1e-7 {
			t.Fatalf("at %g the table has %.12g, want %.12g", v, got, math.Sin(v))
		}
	}
}

// A corner ends up in a piece too narrow to matter.
func TestATableFollowsACorner(t *testing.T) {
	corner := func(v float64) float64 { return max(v-1/math.Pi, 0) }
	p := physics.NewPiecewise(corner, -1, 2, physics.Tolerance{Absolute: 1e-10})
	for v := -1.0; v < 2; v += 0.0007 {
		if got := p.At(v); math.Abs(got-corner(v)) > 1e-9 {
			t.Fatalf("at %g the table has %.12g, want %.12g", v, got, corner(v))
		}
	}
}
