package physics_test

import (
	"fmt"
	"math"
	"testing"

	"stopvolt/physics"
)

// trapezoidal is the mean of a function over a normal variable of deviation one.
func trapezoidal(step float64, f func(z float64) float64) float64 {
	var sum float64
	for z := -7.0; z < 7; z += step {
		sum += step * math.Exp(-z*z/2) * f(z)
	}
	return sum / math.Sqrt(2*math.Pi)
}

// quickPairByPair is the share of patchy electrodes as a double mean over the
// shares of clean ones.
func quickPairByPair(excess float64, p physics.Patches, barrier, step float64, clean func(excess float64) (total float64, share func(barrier float64) float64)) float64 {
	var all float64
	crossed := trapezoidal(step, func(e float64) float64 {
		total, share := clean(excess - p.Emitter*e)
		all += step * math.Exp(-e*e/2) / math.Sqrt(2*math.Pi) * total
		return total * trapezoidal(step, func(c float64) float64 { return share(barrier - p.Emitter*e + p.Collector*c) })
	})
	return crossed / all
}

// The double mean over pairs of patches is the measure. The spreads go to the
// ends of what benches have.
func TestQuickIsRightToOnePercentAboveOneTenThousandth(t *testing.T) {
	room := physics.ThermalEnergy(297)
	for _, ratio := range []float64{0.2, 0.9, 1, 1.02, 3} {
		s := physics.Spheres{RadiusRatio: ratio}
		for _, p := range []physics.Patches{{0.05, 0.07}, {0.2, 0.2}, {0.2, 0.01}, {0.01, 0.2}} {
			work, ok := physics.Quick{}.Patchwork(room, p, s)
			if !ok {
				t.Fatalf("no quick patchwork for %v", s)
			}
			for _, excess := range []float64{0.8, 0.15} {
				quick := work.Collection(excess)
				saturation, _ := quick.Share(-3)
				for _, b := range []float64{-0.6, -0.1, 0, 0.07, 0.3, 0.65, 0.85} {
					got, _ := quick.Share(b)
					if got < 1e-4*saturation {
						continue
					}
					want := quickPairByPair(excess, p, b, 0.06, func(em float64) (float64, func(float64) float64) {
						e := physics.Emission{Excess: em, Thermal: room}
						return e.Total(), func(b float64) float64 { return s.Share(e, b) }
					})
					if !(math.Abs(got/want-1) < 0.01) {
						t.Errorf("patches %v, Em = %g eV, ratio %g, B = %g eV: %.6g, pair by pair %.6g", p, excess, ratio, b, got, want)
					}
				}
			}
		}
	}
}

// Cylinders are the mean over azimuths; the measure is the integral over the
// energies, in which no azimuth occurs.
func TestQuickCylindersAreTheIntegralOverEnergies(t *testing.T) {
	room := physics.ThermalEnergy(297)
	for _, ratio := range []float64{0.1, 0.2, 0.5, 0.9, 1.0001, 1.2, 3, 8} {
		c := physics.Cylinders{RadiusRatio: ratio}
		work, ok := physics.Quick{}.Patchwork(room, physics.Patches{}, c)
		if !ok {
			t.Fatalf("no quick patchwork for %v", c)
		}
		for _, excess := range []float64{1.4, 0.3, 0.05} {
			exact, err := physics.Quadrature{}.Prepare(physics.Emission{Excess: excess, Thermal: room}, c)
			if err != nil {
				t.Fatal(err)
			}
			quick := work.Collection(excess)
			for b := -2.0; b < excess+1; b += 0.0173 {
				want, _ := exact.Share(b)
				if want < 1e-4 {
					continue
				}
				if got, _ := quick.Share(b); !(math.Abs(got/want-1) < 0.01) {
					t.Errorf("Em = %g eV, ratio %g, B = %g eV: %.6g, by energies %.6g", excess, ratio, b, got, want)
				}
			}
		}
	}
}

// Patchy cylinders are clean ones, each pair of patches with its own barrier.
func TestQuickPatchyCylindersAreTheMeanOverTheirPatches(t *testing.T) {
	room := physics.ThermalEnergy(297)
	p := physics.Patches{Emitter: 0.06, Collector: 0.09}
	for _, ratio := range []float64{0.3, 4} {
		c := physics.Cylinders{RadiusRatio: ratio}
		work, _ := physics.Quick{}.Patchwork(room, p, c)
		clean, _ := physics.Quick{}.Patchwork(room, physics.Patches{}, c)
		for _, excess := range []float64{0.9, 0.2} {
			quick := work.Collection(excess)
			for _, b := range []float64{-0.3, 0.05, 0.2, 0.7} {
				got, _ := quick.Share(b)
				if got < 1e-4 {
					continue
				}
				want := quickPairByPair(excess, p, b, 0.2, func(em float64) (float64, func(float64) float64) {
					pair := clean.Collection(em)
					return clean.Total(em), func(b float64) float64 {
						share, _ := pair.Share(b)
						return share
					}
				})
				if !(math.Abs(got/want-1) < 0.005) {
					t.Errorf("Em = %g eV, ratio %g, B = %g eV: %.6g, pair by pair %.6g", excess, ratio, b, got, want)
				}
			}
		}
	}
}

// The formulas change where the spread ceases to reach B = 0, and where the
// barrier of a small collector changes its sign.
func TestQuickHasNoJumps(t *testing.T) {
	room := physics.ThermalEnergy(297)
	p := physics.Patches{Emitter: 0.05, Collector: 0.07}
	reach := 5.3 * math.Hypot(p.Emitter, p.Collector)
	for _, g := range []physics.Geometry{
		physics.Spheres{}, physics.Spheres{RadiusRatio: 0.5}, physics.Spheres{RadiusRatio: 1}, physics.Spheres{RadiusRatio: 1.1},
		physics.Spheres{RadiusRatio: 4}, physics.Cylinders{RadiusRatio: 0.4}, physics.Cylinders{RadiusRatio: 2.5},
	} {
		work, _ := physics.Quick{}.Patchwork(room, p, g)
		for _, excess := range []float64{1.2, 0.2} {
			quick := work.Collection(excess)
			for _, b := range []float64{-reach, 0, reach} {
				below, _ := quick.Share(b - 1e-12)
				above, _ := quick.Share(b + 1e-12)
				if !(math.Abs(above-below) < 2e-6) {
					t.Errorf("%v, Em = %g eV: the share jumps from %.9g to %.9g at B = %g eV", g, excess, below, above, b)
				}
			}
		}
	}
}

func TestQuickOfCleanSpheresIsTheClosedForm(t *testing.T) {
	for _, thermal := range []float64{0, physics.ThermalEnergy(295)} {
		for _, ratio := range []float64{0, 0.3, 1, 2} {
			s := physics.Spheres{RadiusRatio: ratio}
			work, _ := physics.Quick{}.Patchwork(thermal, physics.Patches{}, s)
			e := physics.Emission{Excess: 0.6, Thermal: thermal}
			quick := work.Collection(e.Excess)
			for b := -0.7; b < 0.8; b += 0.031 {
				if got, _ := quick.Share(b); math.Abs(got-s.Share(e, b)) > 1e-6 {
					t.Errorf("kT = %g eV, ratio %g, B = %g eV: %.9g, closed form %.9g", thermal, ratio, b, got, s.Share(e, b))
				}
			}
		}
	}
}

// What a new pair of patchy electrodes costs with one curve of 61 points; the
// bright line has formulas for everything, and the dim one integrals near B = 0.
// BenchmarkPatchworkPrepare is the same for one bench that serves many runs.
func BenchmarkQuickNewElectrodesAndCurveOf61Points(b *testing.B) {
	for _, g := range []physics.Geometry{physics.Spheres{RadiusRatio: 0.5}, physics.Spheres{RadiusRatio: 3}, physics.Cylinders{RadiusRatio: 0.4}} {
		for _, excess := range []float64{0.85, 0.2} {
			b.Run(fmt.Sprintf("%T%v/Em=%geV", g, g, excess), func(b *testing.B) {
				b.ReportAllocs()
				var sum float64
				for range b.N {
					work, _ := physics.Quick{}.Patchwork(physics.ThermalEnergy(295), physics.Patches{Emitter: 0.03, Collector: 0.05}, g)
					c := work.Collection(excess)
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
