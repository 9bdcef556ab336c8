package physics_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"

	"stopvolt/physics"
)

// cylindersPairByPair is the share of a pair of patchy cylinders as a double mean
// over patches of the integral over energies for each pair, in which no azimuth
// occurs.
func cylindersPairByPair(t *testing.T, excess, thermal float64, p physics.Patches, c physics.Cylinders, barriers []float64) []float64 {
	const width = 0.5
	crossed := make([]float64, len(barriers))
	var all float64
	// A trapezoidal rule, which the spread over the other electrode makes
	// smooth.
	for z := -7.0; z <= 7; z += width {
		e := physics.Emission{Excess: excess - p.Emitter*z, Thermal: thermal}
		share, err := physics.Quadrature{}.Prepare(e, c)
		if err != nil {
			t.Fatal(err)
		}
		weight := math.Exp(-z*z/2) * e.Total()
		all += weight
		for i, b := range barriers {
			b -= p.Emitter * z
			crossed[i] += weight * normalMean(width, -b/p.Collector, func(z float64) float64 {
				s, _ := share.Share(b + p.Collector*z)
				return s
			})
		}
	}
	for i := range crossed {
		crossed[i] /= all
	}
	return crossed
}

// The double mean is itself good to 3e-7 where a few patches carry the current.
func TestPatchyCylindersAreTheMeanOverAllPairsOfPatches(t *testing.T) {
	room := physics.ThermalEnergy(295)
	barriers := []float64{-0.9, -0.3, -0.08, 0.003, 0.06, 0.2, 0.35, 0.5, 0.8}
	p := physics.Patches{Emitter: 0.03, Collector: 0.05}
	for _, c := range []struct{ ratio, excess, within float64 }{{0.15, 0.9, 2e-9}, {0.95, -0.1, 3e-7}, {4, 0.15, 2e-9}} {
		cylinders := physics.Cylinders{RadiusRatio: c.ratio}
		work, ok := physics.Quadrature{}.Patchwork(room, p, cylinders)
		if !ok {
			t.Fatalf("no patchwork for %v", cylinders)
		}
		share := work.Collection(c.excess)
		for i, want := range cylindersPairByPair(t, c.excess, room, p, cylinders, barriers) {
			if got, _ := share.Share(barriers[i]); !scalar.EqualWithinAbs(got, want, c.within) {
				t.Errorf("ratio %g, Em = %g eV, B = %g eV: %.12g, pair by pair %.12g", c.ratio, c.excess, barriers[i], got, want)
			}
		}
	}
}

// Where patches hardly smooth the knees of single azimuths, those are most to be
// seen. The integral over energies knows no azimuth.
func TestNarrowlyPatchyCylindersAreCleanOnes(t *testing.T) {
	room := physics.ThermalEnergy(290)
	for _, ratio := range []float64{0.05, 0.3, 0.98, 1, 2, 8} {
		c := physics.Cylinders{RadiusRatio: ratio}
		work, ok := physics.Quadrature{}.Patchwork(room, physics.Patches{Emitter: 1e-5, Collector: 1e-5}, c)
		if !ok {
			t.Fatalf("no patchwork for %v", c)
		}
		const excess = 1.4
		clean, err := physics.Quadrature{}.Prepare(physics.Emission{Excess: excess, Thermal: room}, c)
		if err != nil {
			t.Fatal(err)
		}
		patchy := work.Collection(excess)
		for b := -3.0; b < excess+0.5; b += 0.0031 {
			got, _ := patchy.Share(b)
			if want, _ := clean.Share(b); !scalar.EqualWithinAbs(got, want, 2e-5) {
				t.Errorf("ratio %g, B = %g eV: %.9g, clean %.9g", ratio, b, got, want)
			}
		}
	}
}

// A wide spread is smoothed by a series, a narrow one by a rule; a bright line's
// squares are taken by a formula.
func TestPatchworkOfWideSpreadsIsTheMeanOverAllPairsOfPatches(t *testing.T) {
	room := physics.ThermalEnergy(295)
	one := physics.Patches{Emitter: 0, Collector: 0.4}
	for _, c := range []struct {
		patches       physics.Patches
		ratio, excess float64
		barriers      []float64
	}{
		{one, 0, 0.7, []float64{-1.2, 0, 0.4, 1.5}},
		{one, 0, -0.2, []float64{-1.2, 0, 0.4}},
		{one, 0.5, -0.2, []float64{-1.2, 0, 0.4}},
		{one, 1, 0.7, []float64{-0.1, 0.4}},
		{one, 1, -0.2, []float64{0, 0.4}},
		{one, 3, -0.2, []float64{-1.2, 0, 0.4}},
		{physics.Patches{Emitter: 0.35, Collector: 0.3}, 3, 0.7, []float64{-0.4, 0.4}},
		{physics.Patches{Emitter: 0.35, Collector: 0.3}, 0.5, 0.2, []float64{0.1}},
	} {
		s := physics.Spheres{RadiusRatio: c.ratio}
		work, _ := physics.Quadrature{}.Patchwork(room, c.patches, s)
		share := work.Collection(c.excess)
		for _, b := range c.barriers {
			got, _ := share.Share(b)
			if want := pairByPair(c.excess, room, c.patches, s, b); !scalar.EqualWithinAbs(got, want, 5e-9) {
				t.Errorf("patches %v, Em = %g eV, ratio %g, B = %g eV: %.12g, pair by pair %.12g", c.patches, c.excess, c.ratio, b, got, want)
			}
		}
	}
}

// What patchy cylinders cost once: the electrodes, a bright line and a dim one.
func BenchmarkPatchyCylindersPrepare(b *testing.B) {
	for range b.N {
		work, _ := physics.Quadrature{}.Patchwork(physics.ThermalEnergy(295), physics.Patches{Emitter: 0.03, Collector: 0.05}, physics.Cylinders{RadiusRatio: 3})
		work.Collection(1.4)
		work.Collection(0.1)
	}
}

// Beyond the ends of its table a share goes on without a jump: all electrons are
// collected below, and none above.
func TestAShareByQuadratureGoesOnBeyondItsTable(t *testing.T) {
	room := physics.ThermalEnergy(295)
	for _, ratio := range []float64{0.3, 3} {
		c := physics.Cylinders{RadiusRatio: ratio}
		e := physics.Emission{Excess: 0.4, Thermal: room}
		share, err := physics.Quadrature{}.Prepare(e, c)
		if err != nil {
			t.Fatal(err)
		}
		lowest := c.Lowest(e.Top())
		at := func(b float64) float64 { s, _ := share.Share(b); return s }
		for _, b := range []float64{lowest - 1e-9, lowest - 0.7, lowest - 80} {
			if got := at(b); !scalar.EqualWithinAbs(got, 1, 1e-9) {
				t.Errorf("ratio %g, B = %g eV: the share is %.12g, want 1", ratio, b, got)
			}
		}
		if inside, outside := at(e.Top()-1e-6), at(e.Top()); !(inside < 2e-19) || outside != 0 {
			t.Errorf("ratio %g: at the greatest energy the share is %g within and %g without", ratio, inside, outside)
		}
	}
}
