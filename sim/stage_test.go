package sim_test

import (
	"math"
	"testing"

	"stopvolt/physics"
	"stopvolt/sim"
)

// A cold plane pair has the parabola (1 - B/Em)^2, which comes down to a twentieth
// at B = Em (1 - sqrt(0.05)): there the fine grid has its middle, since a person who
// looks a curve through sees it bend there (common practice, no source).
func TestFineGridHasItsMiddleWhereATwentiethIsLeft(t *testing.T) {
	a := plain()
	a.Emitter.Temperature, a.Collector.Temperature = 0, 0
	a.Geometry = physics.Spheres{RadiusRatio: 1}
	a.Plan.Step, a.Plan.FineStep, a.Plan.FineWidth = 0.1, 0.01, 0.4
	limit := physics.PhotonEnergy(physics.HOverE, 435.833) - a.Emitter.WorkFunction
	// The barrier is V + 0.15 eV.
	want := limit*(1-math.Sqrt(0.05)) - 0.15
	low, high := math.Inf(1), math.Inf(-1)
	readings := acquire(t, a, 0).Curves[0].Readings
	for i := 1; i < len(readings); i++ {
		if readings[i].Retarding-readings[i-1].Retarding < 0.011 {
			low, high = min(low, readings[i-1].Retarding), max(high, readings[i].Retarding)
		}
	}
	if got := (low + high) / 2; math.Abs(got-want) > 0.02 {
		t.Errorf("the fine grid has its middle at %.3f V, and a twentieth is left at %.3f V of a cutoff of %.3f V",
			got, want, sim.TruthOf(a).Stopping[0])
	}
}
