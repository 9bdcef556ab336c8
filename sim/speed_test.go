package sim_test

import (
	"testing"

	"stopvolt/physics"
	"stopvolt/sim"
)

// The yardstick of the electrons: two numbers from the raw generator.
func BenchmarkTwoRawNumbers(b *testing.B) {
	s := sim.NewStream(sim.StreamName{Seed: seed, Purpose: "benchmark"})
	var sum uint64
	for range b.N {
		first, second := s.Uint64(), s.Uint64()
		sum += first ^ second
	}
	sink = sum
}

var sink uint64

func BenchmarkElectronInto64Barriers(b *testing.B) {
	s := sim.NewStream(sim.StreamName{Seed: seed, Purpose: "benchmark"})
	sampler := sim.NewSampler(physics.Emission{Excess: 0.85, Thermal: physics.ThermalEnergy(295)})
	cells := sim.NewCells(0, 1.9, 64)
	b.ReportAllocs()
	b.ResetTimer()
	sampler.Tally(s, physics.Spheres{RadiusRatio: 0.5}, b.N, cells)
}
