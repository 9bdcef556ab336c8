package physics_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"
	"pgregory.net/rapid"

	"stopvolt/physics"
)

// The table was computed by quadrature in 30 digits and shares no closed form
// with Share; see its README.
func TestSpheresAgreeWithQuadrature(t *testing.T) {
	for _, row := range table(t, "../testdata/reference/collected.csv") {
		e := physics.Emission{Excess: row["Em_eV"], Thermal: physics.ThermalEnergy(row["temperature_K"])}
		s := physics.Spheres{RadiusRatio: math.Sqrt(row["q"])}
		got, want := s.Share(e, row["barrier_eV"]), row["collected_fraction"]
		if !scalar.EqualWithinRel(got, want, 1e-10) {
			t.Errorf("%v: share %.15g, want %.15g (relative %.1e)", row, got, want, got/want-1)
		}
	}
}

// The parabola of the cold plane pair and the curve of cold total energies
// follow from integrating E and (E - B) up to Em.
func TestColdLimits(t *testing.T) {
	const excess = 0.8
	e := physics.Emission{Excess: excess}
	for _, b := range []float64{-1, 0, 0.1, 0.4, 0.79, 0.8, 0.9} {
		x := min(max(b/excess, 0), 1)
		if got, want := (physics.Spheres{RadiusRatio: 1}).Share(e, b), (1-x)*(1-x); !scalar.EqualWithinAbs(got, want, 1e-15) {
			t.Errorf("plane pair at B = %g eV: %.16g, want %.16g", b, got, want)
		}
		if got, want := (physics.Spheres{}).Share(e, b), 1-x*x; !scalar.EqualWithinAbs(got, want, 1e-15) {
			t.Errorf("point emitter at B = %g eV: %.16g, want %.16g", b, got, want)
		}
	}
}

func TestNearlyColdIsCold(t *testing.T) {
	for _, ratio := range []float64{0, 0.3, 1, 3} {
		s := physics.Spheres{RadiusRatio: ratio}
		for _, excess := range []float64{-0.2, 0.8} {
			for _, b := range []float64{-0.5, -1e-3, 0, 0.2, 0.7, 0.9} {
				warm := s.Share(physics.Emission{Excess: excess, Thermal: 1e-300}, b)
				cold := s.Share(physics.Emission{Excess: excess}, b)
				if !scalar.EqualWithinAbs(warm, cold, 1e-12) {
					t.Errorf("ratio %g, Em %g eV, B %g eV: %g near T = 0, %g at T = 0", ratio, excess, b, warm, cold)
				}
			}
		}
	}
}

func TestSharesJoinWhereTheFormulaChanges(t *testing.T) {
	e := physics.Emission{Excess: 0.8, Thermal: physics.ThermalEnergy(295)}
	for _, b := range []float64{0.02, 0.3, 0.78, 0.85, 1.2} {
		below := physics.Spheres{RadiusRatio: math.Sqrt(0.9999e-4)}.Share(e, b)
		above := physics.Spheres{RadiusRatio: math.Sqrt(1.0001e-4)}.Share(e, b)
		// Over this step of q the share itself moves by (B/kT)^2/2 dq at most.
		if !scalar.EqualWithinRel(below, above, 2e-5) {
			t.Errorf("at B = %g eV the two forms for small q give %g and %g", b, below, above)
		}
		point := physics.Spheres{RadiusRatio: 1e-9}.Share(e, b)
		if limit := (physics.Spheres{}).Share(e, b); !scalar.EqualWithinRel(point, limit, 1e-12) {
			t.Errorf("at B = %g eV the share is %g near q = 0, and %g at q = 0", b, point, limit)
		}
	}
}

// Orbital-motion limit: far on the accelerating side all electrons arrive
// (Mott-Smith and Langmuir 1926), but slowly.
func TestSmallCollectorSaturatesSlowly(t *testing.T) {
	e := physics.Emission{Excess: 0.8, Thermal: physics.ThermalEnergy(295)}
	s := physics.Spheres{RadiusRatio: 5}
	if got := s.Share(e, 0); !scalar.EqualWithinRel(got, 1./25, 1e-12) {
		t.Errorf("without a field a share of %g arrives, want (collector area)/(emitter area) = 1/25", got)
	}
	if got := s.Share(e, -1); got > 0.2 {
		t.Errorf("at 1 V of acceleration a share of %g arrives already", got)
	}
	if got := s.Share(e, -100); got < 1-1e-12 {
		t.Errorf("at 100 V of acceleration only a share of %g arrives", got)
	}
}

func TestSharesAreSharesAndFallWithTheBarrier(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := physics.Emission{
			Excess:  rapid.Float64Range(-3, 3).Draw(t, "Em"),
			Thermal: rapid.Float64Range(0, 0.1).Draw(t, "kT"),
		}
		s := physics.Spheres{RadiusRatio: rapid.Float64Range(0, 20).Draw(t, "ratio")}
		b := rapid.Float64Range(-3, 3).Draw(t, "B")
		step := rapid.Float64Range(0, 1).Draw(t, "step")
		low, high := s.Share(e, b+step), s.Share(e, b)
		if math.IsNaN(low) || low < 0 || high > 1 || low > high+1e-12 {
			t.Fatalf("share %g at B = %g eV, %g at %g eV", high, b, low, b+step)
		}
	})
}

func TestElectronsUpToTheCollectedShareAreNotStopped(t *testing.T) {
	for _, ratio := range []float64{0.1, 0.5, 1, 3} {
		s := physics.Spheres{RadiusRatio: ratio}
		for u := 0.01; u < 1; u += 0.07 {
			if got := s.Collected(0.7, s.Stop(0.7, u, 0)); !scalar.EqualWithinAbs(got, u, 1e-13) {
				t.Errorf("ratio %g: a fraction %g crosses Stop(%g)", ratio, got, u)
			}
		}
	}
}
