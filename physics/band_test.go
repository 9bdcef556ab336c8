package physics_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"
	"gonum.org/v1/gonum/integrate/quad"

	"stopvolt/physics"
)

func TestDeepBandIsTheFormNearTheThreshold(t *testing.T) {
	e := physics.Emission{Excess: 0.7, Thermal: physics.ThermalEnergy(295)}
	deep := e
	deep.Band = physics.Band{Fermi: 1e9, Depth: 1e9}
	if got, want := deep.Total(), e.Total(); !scalar.EqualWithinRel(got, want, 1e-8) {
		t.Errorf("total %.12g with a deep band, %.12g without", got, want)
	}
}

// By energies: the integral of the density as its definition says.
func TestBandedShareIsTheIntegralOfItsDensity(t *testing.T) {
	e := physics.Emission{Excess: 1.2, Thermal: physics.ThermalEnergy(295), Band: physics.Band{Fermi: 1.6, Depth: 3.6}}
	density := func(energy float64) float64 {
		return energy / (1 + energy/3.6) * math.Sqrt(1+(energy-1.2)/1.6) / (1 + math.Exp((energy-1.2)/e.Thermal))
	}
	c, err := physics.Quadrature{}.Prepare(e, physics.Spheres{RadiusRatio: 1})
	if err != nil {
		t.Fatal(err)
	}
	over := func(from float64, f func(float64) float64) float64 {
		var sum float64
		for i := range 40 {
			h := (2.3 - from) / 40
			sum += quad.Fixed(f, from+h*float64(i), from+h*float64(i+1), 20, quad.Legendre{}, 0)
		}
		return sum
	}
	total := over(0, density)
	if got := e.Total(); !scalar.EqualWithinRel(got, total, 1e-10) {
		t.Errorf("total %.12g, by its definition %.12g", got, total)
	}
	for _, b := range []float64{-0.2, 0.1, 0.7, 1.19, 1.4} {
		want := over(max(b, 0), func(energy float64) float64 { return density(energy) * (1 - max(b, 0)/energy) }) / total
		if got, _ := c.Share(b); !scalar.EqualWithinAbs(got, want, 1e-9) {
			t.Errorf("B = %g eV: %.12g, by its definition %.12g", b, got, want)
		}
	}
}

func TestClosedRefusesABand(t *testing.T) {
	e := physics.Emission{Excess: 1, Thermal: 0.025, Band: physics.Band{Fermi: 2, Depth: 4}}
	if _, err := (physics.Closed{}).Prepare(e, physics.Spheres{RadiusRatio: 1}); err == nil {
		t.Error("a closed form for a band")
	}
}
