package physics_test

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"
	"gonum.org/v1/gonum/integrate/quad"

	"stopvolt/physics"
)

// The collected electrons, by summing over what each has left of its barrier.
func TestReflectionTakesTheSlowElectrons(t *testing.T) {
	e := physics.Emission{Excess: 0.7, Thermal: physics.ThermalEnergy(295)}
	r := physics.Reflection{Share: 0.6, Energy: 0.191}
	for _, ratio := range []float64{0.5, 1, 3} {
		s := physics.Spheres{RadiusRatio: ratio}
		c, err := physics.Closed{}.Prepare(e, s)
		if err != nil {
			t.Fatal(err)
		}
		out := r.Of(c, e.Thermal, e.Top())
		for _, b := range []float64{-30, -0.5, 0, 0.1, 0.45, 0.72, 3} {
			crossed := func(energy float64) float64 {
				if energy <= b {
					return 0
				}
				// Over u, uniform up to where the electron is just stopped.
				end := min((1-b/energy)/(ratio*ratio), 1)
				return e.Density(energy) * quad.Fixed(func(u float64) float64 {
					rest := energy*(1-ratio*ratio*u) - b
					return 1 - r.Share*math.Exp(-rest/r.Energy)
				}, 0, end, 30, quad.Legendre{}, 0)
			}
			var want float64
			edges := []float64{0, b, b / (1 - ratio*ratio), 0.2, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1, 1.2, 1.7}
			want = piecewise(edges, crossed) / e.Total()
			if got, _ := out.Share(b); !scalar.EqualWithinAbs(got, want, 1e-8) {
				t.Errorf("ratio %g, B = %g eV: %.10g, by electrons %.10g", ratio, b, got, want)
			}
		}
	}
}

// piecewise integrates a function from 0 to 1.7 between edges in any order.
func piecewise(edges []float64, f func(float64) float64) float64 {
	var kept []float64
	for _, edge := range edges {
		if edge >= 0 && edge <= 1.7 {
			kept = append(kept, edge)
		}
	}
	slices.Sort(kept)
	var sum float64
	for i := 1; i < len(kept); i++ {
		if kept[i] > kept[i-1] {
			sum += quad.Fixed(f, kept[i-1], kept[i], 60, quad.Legendre{}, 0)
		}
	}
	return sum
}
