package physics_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"
	"gonum.org/v1/gonum/mathext"

	"stopvolt/physics"
)

// The table was computed by quadrature in 30 digits and shares no formula with
// Fowler; see its README.
func TestFowlerFunctionAgreesWithQuadrature(t *testing.T) {
	for _, row := range table(t, "../testdata/reference/fowler.csv") {
		mu, want := row["mu"], row["f"]
		if got := physics.Fowler(mu); !scalar.EqualWithinRel(got, want, 1e-14) {
			t.Errorf("f(%g) = %.17g, want %.17g", mu, got, want)
		}
	}
}

// gonum's dilogarithm is an independent implementation.
func TestFowlerFunctionIsADilogarithm(t *testing.T) {
	for mu := -30.0; mu <= 30; mu += 0.37 {
		want := -real(mathext.Li2(complex(-math.Exp(mu), 0)))
		if got := physics.Fowler(mu); !scalar.EqualWithinRel(got, want, 1e-13) {
			t.Errorf("f(%g) = %.17g, but -Li2(-exp(mu)) = %.17g", mu, got, want)
		}
	}
}

func TestFowlerFunctionAtThreshold(t *testing.T) {
	if got, want := physics.Fowler(0), math.Pi*math.Pi/12; !scalar.EqualWithinULP(got, want, 2) {
		t.Errorf("f(0) = %.17g, want pi^2/12 = %.17g", got, want)
	}
}

func TestFowlerSlopeIsTheDerivative(t *testing.T) {
	const h = 1e-3
	for mu := -20.0; mu <= 20; mu += 0.7 {
		// A five-point rule; its error is below h^4.
		got := (8*(physics.Fowler(mu+h)-physics.Fowler(mu-h)) - physics.Fowler(mu+2*h) + physics.Fowler(mu-2*h)) / (12 * h)
		if want := physics.FowlerSlope(mu); !scalar.EqualWithinRel(got, want, 1e-9) {
			t.Errorf("slope at %g: %.12g by differences, %.12g by formula", mu, got, want)
		}
	}
}

func TestFowlerFunctionStaysFinite(t *testing.T) {
	for _, mu := range []float64{math.Inf(-1), -1e300, -745, 0, 745, 1e150} {
		for name, f := range map[string]func(float64) float64{"Fowler": physics.Fowler, "FowlerSlope": physics.FowlerSlope} {
			if got := f(mu); math.IsNaN(got) || math.IsInf(got, 0) || got < 0 {
				t.Errorf("%s(%g) = %g", name, mu, got)
			}
		}
	}
}
