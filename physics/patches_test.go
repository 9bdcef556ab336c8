package physics_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"
	"gonum.org/v1/gonum/integrate/quad"

	"stopvolt/physics"
)

// normalMean is the mean of a function over a normal variable of deviation one,
// by Gauss's rule on panels of a width with an edge where the function bends.
func normalMean(width, bend float64, f func(z float64) float64) float64 {
	edges := []float64{bend, 8}
	for z := -8.0; z < 8; z += width {
		edges = append(edges, z)
	}
	slices.Sort(edges)
	var sum float64
	for i := 1; i < len(edges); i++ {
		if edges[i-1] >= -8 && edges[i] <= 8 {
			sum += quad.Fixed(func(z float64) float64 {
				return math.Exp(-z*z/2) * f(z)
			}, edges[i-1], edges[i], 16, quad.Legendre{}, 0)
		}
	}
	return sum / math.Sqrt(2*math.Pi)
}

// pairByPair is the share of a pair of patchy spheres as a double mean over
// patches of the closed form for each pair.
func pairByPair(excess, thermal float64, p physics.Patches, s physics.Spheres, barrier float64) float64 {
	mean := func(deviation, bend float64, f func(z float64) float64) float64 {
		if deviation == 0 {
			return f(0)
		}
		// The widths on which a Fowler function and a normal one bend.
		scale := math.Abs(1 - s.RadiusRatio*s.RadiusRatio)
		if scale == 0 || scale > 1 {
			scale = 1
		}
		width := min(4*thermal*scale/deviation, 2)
		return normalMean(width, bend/deviation, f)
	}
	crossed := mean(p.Emitter, barrier, func(a float64) float64 {
		e := physics.Emission{Excess: excess - p.Emitter*a, Thermal: thermal}
		b := barrier - p.Emitter*a
		return mean(p.Collector, -b, func(c float64) float64 { return e.Total() * s.Share(e, b+p.Collector*c) })
	})
	all := mean(p.Emitter, 0, func(a float64) float64 {
		return physics.Emission{Excess: excess - p.Emitter*a, Thermal: thermal}.Total()
	})
	return crossed / all
}

func TestPatchworkIsTheMeanOverAllPairsOfPatches(t *testing.T) {
	room := physics.ThermalEnergy(295)
	for _, p := range []physics.Patches{{0.05, 0.03}, {0.1, 0}, {0, 0.06}} {
		for _, excess := range []float64{0.9, 0.1, -0.1} {
			for _, ratio := range []float64{0, 0.1, 0.5, 0.9, 1, 3} {
				s := physics.Spheres{RadiusRatio: ratio}
				work, ok := physics.Closed{}.Patchwork(room, p, s)
				if !ok {
					t.Fatalf("no patchwork for %v", s)
				}
				c := work.Collection(excess)
				for _, b := range []float64{-0.9, -0.08, 0.003, 0.06, 0.5} {
					got, _ := c.Share(b)
					want := pairByPair(excess, room, p, s, b)
					// A difference of two tables is divided by q.
					if !scalar.EqualWithinAbs(got, want, max(1e-9, min(5e-11/(ratio*ratio), 5e-9))) {
						t.Errorf("patches %v, Em = %g eV, ratio %g, B = %g eV: %.12g, pair by pair %.12g", p, excess, ratio, b, got, want)
					}
				}
			}
		}
	}
}

// Where all barriers retard, no formula changes, and what is left is the error
// of the tables.
func TestPatchworkIsExactWhereAllBarriersRetard(t *testing.T) {
	room := physics.ThermalEnergy(295)
	p := physics.Patches{Emitter: 0.03, Collector: 0.04}
	for _, ratio := range []float64{0, 0.1, 0.5, 1, 3} {
		s := physics.Spheres{RadiusRatio: ratio}
		work, _ := physics.Closed{}.Patchwork(room, p, s)
		for _, excess := range []float64{0.9, 0.1} {
			c := work.Collection(excess)
			for b := 0.45; b < 1.3; b += 0.05 {
				got, _ := c.Share(b)
				if want := pairByPair(excess, room, p, s, b); !scalar.EqualWithinAbsOrRel(got, want, 1e-17, 1e-7) {
					t.Errorf("Em = %g eV, ratio %g, B = %g eV: %.12g, pair by pair %.12g", excess, ratio, b, got, want)
				}
			}
		}
	}
}

// The formulas change where the spread begins and ceases to reach B = 0, and
// nothing may jump there.
func TestPatchworkHasNoJumps(t *testing.T) {
	room := physics.ThermalEnergy(295)
	for _, thermal := range []float64{room, 0} {
		for _, ratio := range []float64{0, 0.5, 1, 2} {
			p := physics.Patches{Emitter: 0.05, Collector: 0.05}
			work, _ := physics.Closed{}.Patchwork(thermal, p, physics.Spheres{RadiusRatio: ratio})
			c := work.Collection(0.7)
			edge := 8.5 * math.Hypot(p.Emitter, p.Collector)
			for _, b := range []float64{-edge, edge} {
				below, _ := c.Share(b - 1e-12)
				above, _ := c.Share(b + 1e-12)
				if !scalar.EqualWithinAbs(below, above, 1e-10) {
					t.Errorf("kT = %g eV, ratio %g: the share jumps from %.12g to %.12g at B = %g eV", thermal, ratio, below, above, b)
				}
			}
		}
	}
}

func TestNarrowPatchesAreNone(t *testing.T) {
	e := physics.Emission{Excess: 0.5, Thermal: physics.ThermalEnergy(295)}
	s := physics.Spheres{RadiusRatio: 0.5}
	work, _ := physics.Closed{}.Patchwork(e.Thermal, physics.Patches{Emitter: 1e-6, Collector: 1e-6}, s)
	c := work.Collection(e.Excess)
	for b := -0.2; b < 0.8; b += 0.05 {
		if got, _ := c.Share(b); !scalar.EqualWithinAbs(got, s.Share(e, b), 1e-8) {
			t.Errorf("B = %g eV: %.12g with patches of a microvolt, %.12g without", b, got, s.Share(e, b))
		}
	}
}

// What the electrodes cost once, and each line once: one far above the threshold
// has a formula for everything, and one near it needs a table.
func BenchmarkPatchworkPrepareLine(b *testing.B) {
	work, _ := physics.Closed{}.Patchwork(physics.ThermalEnergy(295), physics.Patches{Emitter: 0.03, Collector: 0.05}, physics.Spheres{RadiusRatio: 0.5})
	for _, excess := range []float64{0.85, 0.2} {
		b.Run(fmt.Sprintf("Em=%geV", excess), func(b *testing.B) {
			for range b.N {
				work.Collection(excess)
			}
		})
	}
}

func BenchmarkPatchworkPrepare(b *testing.B) {
	for range b.N {
		physics.Closed{}.Patchwork(physics.ThermalEnergy(295), physics.Patches{Emitter: 0.03, Collector: 0.05}, physics.Spheres{RadiusRatio: 0.5})
	}
}

// A curve of 61 points of one prepared line between patchy electrodes has to take
// less than 50 microseconds.
func BenchmarkCurveOf61PointsWithPatches(b *testing.B) {
	work, _ := physics.Closed{}.Patchwork(physics.ThermalEnergy(295), physics.Patches{Emitter: 0.03, Collector: 0.05}, physics.Spheres{RadiusRatio: 0.5})
	for _, excess := range []float64{0.85, 0.2} {
		b.Run(fmt.Sprintf("Em=%geV", excess), func(b *testing.B) {
			b.ReportAllocs()
			var sum float64
			c := work.Collection(excess)
			b.ResetTimer()
			for range b.N {
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
