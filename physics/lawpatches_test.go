package physics_test

import (
	"fmt"
	"math"
	"testing"

	"stopvolt/physics"
)

// patchyLaws are a film, a metal with losses and a film with losses.
var patchyLaws = []physics.Emission{
	{Film: physics.Film{Exponent: 0.5}},
	{Film: physics.Film{Exponent: 1.5}, Loss: physics.Loss{Share: 0.6, Energy: 0.15}},
	{Thermal: physics.ThermalEnergy(295), Loss: physics.Loss{Share: 0.5, Energy: 0.2}},
	{Loss: physics.Loss{Share: 0.5, Energy: 0.2}},
	// The warm metal itself, of which there are other formulas.
	{Thermal: physics.ThermalEnergy(295)},
}

// spreadOver is the mean of a function over a normal variable of a deviation in eV.
func spreadOver(deviation, step float64, f func(x float64) float64) float64 {
	if deviation == 0 {
		return f(0)
	}
	return trapezoidal(step, func(z float64) float64 { return f(deviation * z) })
}

// The double mean over pairs of patches, each of which has the closed form. The
// current has a corner at B = 0, which the rule of the mean takes with an error of the
// square of its step; the next test has more digits.
func TestPatchyFilmsAndLossesAreTheMeanOverTheirPairs(t *testing.T) {
	for _, e := range patchyLaws[:4] {
		for _, ratio := range []float64{0, 0.3, 1, 3} {
			s := physics.Spheres{RadiusRatio: ratio}
			for _, test := range []struct {
				p            physics.Patches
				step, within float64
			}{
				{physics.Patches{Emitter: 0.04, Collector: 0.06}, 0.08, 3e-5},
				{physics.Patches{Emitter: 0.08}, 0.002, 1e-6}, {physics.Patches{Collector: 0.08}, 0.002, 1e-6},
			} {
				fine, ok := physics.Quadrature{}.LawPatchwork(e, test.p, s)
				if !ok {
					t.Fatalf("no patchwork of %v", s)
				}
				rough, _ := physics.Quick{}.LawPatchwork(e, test.p, s)
				for _, at := range [][2]float64{{0.8, 0.07}, {0.8, 0.65}, {0.1, 0}} {
					excess, b := at[0], at[1]
					crossed := spreadOver(test.p.Emitter, test.step, func(x float64) float64 {
						clean := e
						clean.Excess = excess - x
						whole := clean.Total()
						return whole * spreadOver(test.p.Collector, test.step, func(y float64) float64 { return s.Share(clean, b-x+y) })
					})
					total := spreadOver(test.p.Emitter, test.step, func(x float64) float64 {
						clean := e
						clean.Excess = excess - x
						return clean.Total()
					})
					want := crossed / total
					if got, _ := fine.Collection(excess).Share(b); !(math.Abs(got-want) < test.within) {
						t.Errorf("%+v, patches %v, Em = %g eV, ratio %g, B = %g eV: %.9g, pair by pair %.9g", e, test.p, excess, ratio, b, got, want)
					}
					if got, _ := rough.Collection(excess).Share(b); want > 1e-4 && !(math.Abs(got/want-1) < 0.01) {
						t.Errorf("quick: %+v, patches %v, Em = %g eV, ratio %g, B = %g eV: %.9g, pair by pair %.9g", e, test.p, excess, ratio, b, got, want)
					}
				}
			}
		}
	}
}

// The formulas of the warm metal are an independent way to the same shares, to more
// digits than a sum over pairs.
func TestPatchworkOfALawKnowsTheWarmMetal(t *testing.T) {
	room := physics.ThermalEnergy(295)
	for _, ratio := range []float64{0, 0.3, 1, 3} {
		s, p := physics.Spheres{RadiusRatio: ratio}, physics.Patches{Emitter: 0.04, Collector: 0.06}
		metal, _ := physics.Closed{}.Patchwork(room, p, s)
		law, _ := physics.Quadrature{}.LawPatchwork(physics.Emission{Thermal: room}, p, s)
		for _, excess := range []float64{0.8, 0.1} {
			want, got := metal.Collection(excess), law.Collection(excess)
			for b := -0.6; b < 1.2; b += 0.043 {
				w, _ := want.Share(b)
				if g, _ := got.Share(b); !(math.Abs(g-w) < 2e-8) {
					t.Errorf("ratio %g, Em = %g eV, B = %.3f eV: %.11g, by the formulas of the metal %.11g", ratio, excess, b, g, w)
				}
			}
		}
	}
}

// Cylinders are integrals over the energies, in which no azimuth occurs.
func TestQuickCylindersOfFilmsAreTheIntegralOverEnergies(t *testing.T) {
	for _, e := range patchyLaws[:3] {
		e.Excess = 0.7
		for _, ratio := range []float64{0.3, 4} {
			c := physics.Cylinders{RadiusRatio: ratio}
			work, ok := physics.Quick{}.LawPatchwork(e, physics.Patches{}, c)
			if !ok {
				t.Fatalf("no quick patchwork of %v", c)
			}
			exact, err := physics.Quadrature{}.Prepare(e, c)
			if err != nil {
				t.Fatal(err)
			}
			quick := work.Collection(e.Excess)
			for b := -2.0; b < 0.8; b += 0.0373 {
				want, _ := exact.Share(b)
				if want < 1e-4 {
					continue
				}
				if got, _ := quick.Share(b); !(math.Abs(got/want-1) < 0.01) {
					t.Errorf("%+v, ratio %g, B = %.3f eV: %.6g, by energies %.6g", e, ratio, b, got, want)
				}
			}
		}
	}
}

func TestSharesOfAPatchyFilmTakeNoMemory(t *testing.T) {
	work, _ := physics.Quick{}.LawPatchwork(patchyLaws[1], physics.Patches{Emitter: 0.04, Collector: 0.06}, physics.Cylinders{RadiusRatio: 0.4})
	c := work.Collection(0.8)
	if n := testing.AllocsPerRun(100, func() { c.Share(0.3) }); n != 0 {
		t.Errorf("a share takes %g pieces of memory", n)
	}
}

// What a new pair of patchy electrodes costs with one curve of 61 points, as
// BenchmarkQuickNewElectrodesAndCurveOf61Points has it for a metal.
func BenchmarkQuickNewFilmAndCurveOf61Points(b *testing.B) {
	for _, g := range []physics.Geometry{physics.Spheres{RadiusRatio: 0.5}, physics.Cylinders{RadiusRatio: 0.4}} {
		for _, e := range patchyLaws[:3] {
			b.Run(fmt.Sprintf("%T%v/%v%v", g, g, e.Film, e.Loss), func(b *testing.B) {
				b.ReportAllocs()
				var sum float64
				for range b.N {
					work, _ := physics.Quick{}.LawPatchwork(e, physics.Patches{Emitter: 0.03, Collector: 0.05}, g)
					c := work.Collection(0.85)
					for i := range 61 {
						share, _ := c.Share(-1 + 0.05*float64(i))
						sum += share
					}
				}
				if sum == 0 {
					b.Fatal("no current")
				}
			})
		}
	}
}
