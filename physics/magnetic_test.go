package physics_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"

	"stopvolt/physics"
)

func TestOrbitInTheEarthsField(t *testing.T) {
	// Worked by hand from r = m v/(e b).
	if got := physics.OrbitRadius(0.05, 50); !scalar.EqualWithinAbs(got, 15.08, 0.01) {
		t.Errorf("the orbit of 0.05 eV in 50 microtesla has a radius of %.3f mm, want 15.08", got)
	}
}

// crosses follows an electron of given energies in eV from plate to plate by
// the midpoint rule of second order, in units of the gap and of eV.
func crosses(normal, along, across, turn, barrier float64) bool {
	// In z over the gap and a time in which a velocity squared is an energy,
	// the force is -B/2 and the field turns at the rate sqrt(M).
	v, s := math.Sqrt(normal), along
	_ = across // along the field, which leaves it alone
	z, rate := 0.0, math.Sqrt(turn)
	const step = 1e-4
	for range 2_000_000 {
		vm := v + step/2*(-barrier/2-rate*s)
		sm := s + step/2*rate*v
		v, s, z = v+step*(-barrier/2-rate*sm), s+step*rate*vm, z+step*vm
		if z >= 1 {
			return true
		}
		if z < 0 {
			return false
		}
	}
	return false
}

func TestMagneticPlanesAgreeWithTrajectories(t *testing.T) {
	m := physics.MagneticPlanes{Gap: 10, Field: 60}
	momentum := physics.ElementaryCharge * 60e-6 * 10e-3
	turn := momentum * momentum / (2 * 9.1093837015e-31) / physics.ElementaryCharge
	for _, energy := range []float64{0.02, 0.3} {
		for _, u := range []float64{0.03, 0.3, 0.8} {
			for _, w := range []float64{0, 0.13, 0.3, 0.5} {
				stop := m.Stop(energy, u, w)
				along := math.Sqrt(energy*u) * math.Cos(2*math.Pi*w)
				for _, away := range []float64{-1e-3, 1e-3} {
					got := crosses(energy*(1-u), along, 0, turn, stop+away)
					if got != (away < 0) {
						t.Errorf("E = %g eV, u = %g, w = %g: crossing is %v at %g eV from the barrier that stops it", energy, u, w, got, away)
					}
				}
			}
		}
	}
}

func TestWithoutMagnetismThePlanesAreThePlanePair(t *testing.T) {
	e := physics.Emission{Excess: 0.6, Thermal: physics.ThermalEnergy(295)}
	c, err := physics.Quadrature{}.Prepare(e, physics.MagneticPlanes{Gap: 5, Field: 1e-6})
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range []float64{-0.3, 0.001, 0.2, 0.61} {
		got, _ := c.Share(b)
		if want := (physics.Spheres{RadiusRatio: 1}).Share(e, b); !scalar.EqualWithinAbs(got, want, 1e-8) {
			t.Errorf("B = %g eV: %.10g, plane pair %.10g", b, got, want)
		}
	}
}
