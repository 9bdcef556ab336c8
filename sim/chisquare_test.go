package sim_test

import (
	"fmt"
	"math"
	"runtime"
	"testing"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/stat/distuv"

	"stopvolt/physics"
	"stopvolt/sim"
)

// tally draws electrons on all cores and counts them by the barrier that stops
// each.
func tally(e physics.Emission, g physics.Geometry, lowest, highest float64, bins, number int) *sim.Cells {
	total := sim.NewCells(lowest, highest, bins)
	workers := runtime.GOMAXPROCS(0)
	parts := make([]*sim.Cells, workers)
	var group errgroup.Group
	for w := range workers {
		parts[w] = sim.NewCells(lowest, highest, bins)
		group.Go(func() error {
			sampler := sim.NewSampler(e)
			const block = 1 << 20
			for b := w; b*block < number; b += workers {
				s := sim.NewStream(sim.StreamName{Seed: seed, Replicate: b, Purpose: "chi-square"})
				sampler.Tally(s, g, min(block, number-b*block), parts[w])
			}
			return nil
		})
	}
	// The workers never fail.
	_ = group.Wait()
	for _, part := range parts {
		total.Merge(part)
	}
	return total
}

// expected returns the mean count of each cell, the ends taking what lies
// beyond.
func expected(c physics.Collection, cells *sim.Cells, number int) []float64 {
	means := make([]float64, len(cells.Counts))
	for i := range means {
		// Nothing but saturation lies a million volts below.
		low, _ := c.Share(-1e6)
		high := 0.0
		if i > 0 {
			low, _ = c.Share(cells.Edge(i))
		}
		if i < len(means)-1 {
			high, _ = c.Share(cells.Edge(i + 1))
		}
		means[i] = (low - high) * float64(number)
	}
	return means
}

// fitting checks counts against their means: cells that expect a hundred or
// more together by chi-square, each other one by the exact Poisson tail. The
// false-alarm rate is the given one for the chi-square and as much for all the
// others together.
func fitting(t *testing.T, counts []uint64, means []float64, falseAlarm float64) {
	t.Helper()
	var chi float64
	var degrees int
	var small []int
	for i, mean := range means {
		if mean < 100 {
			small = append(small, i)
			continue
		}
		d := float64(counts[i]) - mean
		chi += d * d / mean
		degrees++
	}
	if p := (distuv.ChiSquared{K: float64(degrees - 1)}).Survival(chi); p < falseAlarm {
		t.Errorf("seed %d: chi-square %.1f of %d cells, which chance exceeds with %.1e", seed, chi, degrees, p)
	}
	least := math.Inf(1)
	for _, i := range small {
		poisson := distuv.Poisson{Lambda: math.Max(means[i], 1e-12)}
		n := float64(counts[i])
		atLeast := 1.0
		if n > 0 {
			atLeast = 1 - poisson.CDF(n-1)
		}
		p := 2 * math.Min(poisson.CDF(n), atLeast)
		least = math.Min(least, p)
		if p < falseAlarm/float64(len(small)) {
			t.Errorf("seed %d: %d electrons in cell %d, which expects %.4g (probability %.1e)", seed, counts[i], i, means[i], p)
		}
	}
	t.Logf("chi-square %.1f of %d cells; the least probability of %d small ones is %.2g", chi, degrees, len(small), least)
}

// The electrons against the closed form, over cells that reach to one electron
// in 10^8. With -short a tenth of the electrons is drawn.
func TestElectronsFollowTheClosedFormIntoTheTail(t *testing.T) {
	number := 100_000_000
	if testing.Short() {
		number /= 10
	}
	e := physics.Emission{Excess: 0.85, Thermal: physics.ThermalEnergy(295)}
	g := physics.Spheres{RadiusRatio: 0.5}
	cells := tally(e, g, 0, 1.3, 128, number)
	c, err := physics.Closed{}.Prepare(e, g)
	if err != nil {
		t.Fatal(err)
	}
	fitting(t, cells.Counts, expected(c, cells, number), 1e-6)
}

// Each geometry and emission that the electrons take is held to the integrals:
// the electrons use what stops each of them, and the integrals the share that
// crosses.
func TestElectronsFollowTheIntegrals(t *testing.T) {
	const number = 3_000_000
	ring := physics.NewRingOverDisk(0.8, 2)
	room := physics.ThermalEnergy(295)
	banded := physics.Band{Fermi: 1.6, Depth: 3.6}
	film, loss := physics.Film{Exponent: 1.5}, physics.Loss{Share: 0.6, Energy: 0.2}
	for _, test := range []struct {
		e       physics.Emission
		g       physics.Geometry
		lowest  float64
		highest float64
	}{
		{physics.Emission{Excess: 0.85, Thermal: room}, physics.Spheres{RadiusRatio: 2}, -3, 1.2},
		{physics.Emission{Excess: 0.05, Thermal: room}, physics.Spheres{RadiusRatio: 1}, 0, 0.5},
		{physics.Emission{Excess: 0.85, Thermal: room}, physics.Cylinders{RadiusRatio: 0.4}, 0, 1.2},
		{physics.Emission{Excess: 0.4, Thermal: room}, physics.Cylinders{RadiusRatio: 3}, -4, 0.8},
		{physics.Emission{Excess: 0.3, Thermal: room}, physics.MagneticPlanes{Gap: 12, Field: 48}, -0.5, 0.6},
		{physics.Emission{Excess: 1.2, Thermal: room, Band: banded}, physics.Spheres{RadiusRatio: 1}, 0, 1.6},
		{physics.Emission{Excess: -0.2, Thermal: 0.04, Band: banded}, physics.Cylinders{RadiusRatio: 0.6}, 0, 0.6},
		{physics.Emission{Excess: 0.9, Film: film}, physics.Spheres{RadiusRatio: 1}, 0, 0.95},
		{physics.Emission{Excess: 0.9, Film: film, Loss: loss}, physics.Cylinders{RadiusRatio: 3}, -4, 0.95},
		{physics.Emission{Excess: 0.8, Thermal: room, Loss: loss}, physics.Spheres{RadiusRatio: 0.4}, 0, 1.2},
		{physics.Emission{Excess: -0.1, Thermal: room, Loss: loss}, physics.Cylinders{RadiusRatio: 0.6}, 0, 0.5},
		{physics.Emission{Excess: 0.6, Thermal: room}, ring, -2, 0.9},
	} {
		t.Run(fmt.Sprintf("%T", test.g), func(t *testing.T) {
			number := number
			if test.g == ring {
				// Each has to look its stop up in a table.
				number /= 10
			}
			cells := tally(test.e, test.g, test.lowest, test.highest, 64, number)
			c, err := physics.Quadrature{}.Prepare(test.e, test.g)
			if err != nil {
				t.Fatal(err)
			}
			fitting(t, cells.Counts, expected(c, cells, number), 1e-6)
		})
	}
}
