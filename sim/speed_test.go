package sim_test

import (
	"fmt"
	"runtime"
	"testing"
	"time"

	"stopvolt/instrument"
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

// A curve of 61 points of one line between patchy electrodes, prepared, by the
// closed transport.
func BenchmarkClosedCurveOf61PointsWithPatches(b *testing.B) {
	a := instrument.Apparatus{
		World:     instrument.World{HOverE: physics.HOverE},
		Emitter:   instrument.Emitter{Surface: instrument.Surface{WorkFunction: 1.95, PatchSpread: 0.03, Yield: 0.02, YieldWavelength: 365}, Temperature: 295},
		Collector: instrument.Collector{Surface: instrument.Surface{WorkFunction: 2.08, PatchSpread: 0.05}, Temperature: 295},
		Geometry:  physics.Spheres{RadiusRatio: 0.5},
	}
	for _, wavelength := range []float64{435.8328, 576.9598} {
		b.Run(fmt.Sprintf("%gnm", wavelength), func(b *testing.B) {
			light := instrument.Light{Nominal: wavelength, Flux: 1e-6, Neutral: 1, Lines: []physics.SpectralLine{{Wavelength: wavelength, Weight: 1}}}
			mean, err := instrument.NewMeanCurrent(a, light, physics.Closed{})
			if err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			b.ResetTimer()
			var sum float64
			for range b.N {
				for i := range 61 {
					sum += mean.At(-1 + 0.05*float64(i)).Net()
				}
			}
			if sum == 0 {
				b.Fatal("no current")
			}
		})
	}
}
