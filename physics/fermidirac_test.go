package physics_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"
	"gonum.org/v1/gonum/integrate/quad"

	"stopvolt/physics"
)

// The GNU Scientific Library's Fermi-Dirac integrals share no code with ours;
// the README beside the table says how it was made.
func TestFowlerFunctionIsAFermiDiracIntegral(t *testing.T) {
	for _, row := range table(t, "../testdata/reference/fermidirac.csv") {
		eta := row["eta"]
		if got := physics.Fowler(eta); !scalar.EqualWithinRel(got, row["F1"], 1e-13) {
			t.Errorf("f(%g) = %.16g, order 1 is %.16g", eta, got, row["F1"])
		}
		if got := physics.FowlerSlope(eta); !scalar.EqualWithinRel(got, row["F0"], 1e-13) {
			t.Errorf("f'(%g) = %.16g, order 0 is %.16g", eta, got, row["F0"])
		}
	}
}

// Order one half is the density of a free-electron gas. As the integral over
// the emission's Fermi function F(E) = Density(E)/E it holds the Fermi function
// itself to the table.
func TestFermiFunctionHasTheIntegralOfOrderOneHalf(t *testing.T) {
	for _, row := range table(t, "../testdata/reference/fermidirac.csv") {
		e := physics.Emission{Excess: row["eta"], Thermal: 1}
		// With E = s^2 the root at zero is gone.
		var sum float64
		top := math.Sqrt(max(row["eta"], 0) + 45)
		for i := range 40 {
			sum += quad.Fixed(func(s float64) float64 {
				if s == 0 {
					return 0
				}
				return 2 * e.Density(s*s)
			}, top*float64(i)/40, top*float64(i+1)/40, 20, quad.Legendre{}, 0)
		}
		// Gamma(3/2) is half the root of pi.
		if got := sum / (math.Sqrt(math.Pi) / 2); !scalar.EqualWithinRel(got, row["Fhalf"], 1e-11) {
			t.Errorf("order 1/2 at %g: %.13g, want %.13g", row["eta"], got, row["Fhalf"])
		}
	}
}
