package physics_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"

	"stopvolt/physics"
)

// Richardson's constant is 120.173 A cm^-2 K^-2 (S. Dushman, Rev. Mod. Phys. 2,
// 381 (1930), gives 120; today's constants give the further digits).
func TestThermionicEmissionFollowsRichardson(t *testing.T) {
	for _, temperature := range []float64{300, 400, 1000, 1500} {
		const phi = 1.95
		want := 120.173 * temperature * temperature * math.Exp(-phi/physics.ThermalEnergy(temperature))
		if got := physics.Thermionic(phi, temperature); !scalar.EqualWithinRel(got, want, 5e-6) {
			t.Errorf("%g K: %.8g A/cm^2, by Richardson's law %.8g", temperature, got, want)
		}
	}
}

func TestThermionicElectronsFaceTheBarrierAsMaxwellSays(t *testing.T) {
	// Between plane plates a thermionic current falls as exp(-B/kT).
	e := physics.Emission{Excess: -1.95, Thermal: physics.ThermalEnergy(1000)}
	for _, b := range []float64{0.1, 0.3, 1} {
		got := physics.Spheres{RadiusRatio: 1}.Share(e, b)
		if want := math.Exp(-b / e.Thermal); !scalar.EqualWithinRel(got, want, 1e-8) {
			t.Errorf("B = %g eV: %g, want %g", b, got, want)
		}
	}
}
