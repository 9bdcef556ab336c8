package sim_test

import (
	"runtime"
	"testing"
	"time"

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

// All cores together against one, in the same run, as a share of what that many
// cores could do at best. It says something only on an idle machine.
func BenchmarkElectronsOnAllCores(b *testing.B) {
	e := physics.Emission{Excess: 0.85, Thermal: physics.ThermalEnergy(295)}
	cores := runtime.GOMAXPROCS(0)
	const number = 1 << 24
	draw := func(n int) time.Duration {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(n))
		start := time.Now()
		if _, err := (sim.Electrons{Seed: seed, Number: number}).Prepare(e, physics.Spheres{RadiusRatio: 0.5}); err != nil {
			b.Fatal(err)
		}
		return time.Since(start)
	}
	var one, all time.Duration
	for range b.N {
		one += draw(1)
		all += draw(cores)
	}
	b.ReportMetric(100*one.Seconds()/all.Seconds()/float64(cores), "%of_cores")
	b.ReportMetric(one.Seconds()/float64(b.N)/number*1e9, "ns/electron_on_one")
}

// The memory of the electrons does not grow with their number.
func TestMemoryDoesNotGrowWithTheNumberOfElectrons(t *testing.T) {
	e := physics.Emission{Excess: 0.85, Thermal: physics.ThermalEnergy(295)}
	allocated := func(number int) uint64 {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		if _, err := (sim.Electrons{Seed: seed, Number: number}).Prepare(e, physics.Spheres{RadiusRatio: 0.5}); err != nil {
			t.Fatal(err)
		}
		runtime.ReadMemStats(&after)
		return after.TotalAlloc - before.TotalAlloc
	}
	few, many := allocated(200_000), allocated(8_000_000)
	// The name of the stream of each block is all that is new.
	if perElectron := float64(many-few) / 7_800_000; perElectron > 0.05 {
		t.Errorf("%.2f bytes more for each electron more", perElectron)
	}
}
