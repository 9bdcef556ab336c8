package study_test

import (
	"math"
	"testing"

	"stopvolt/analysis"
	"stopvolt/instrument"
	"stopvolt/instrument/run"
	"stopvolt/physics"
	"stopvolt/sim"
)

// patchyBench is a bench without a meter, with patches on both electrodes, a
// coated collector and stray light.
func patchyBench(g physics.Geometry, spread float64) instrument.Apparatus {
	a := instrument.Apparatus{
		World: instrument.World{HOverE: physics.HOverE},
		Emitter: instrument.Emitter{
			Surface:     instrument.Surface{WorkFunction: 1.6, PatchSpread: spread, Yield: 0.02, YieldWavelength: 365},
			Temperature: 296,
		},
		Collector: instrument.Collector{
			Surface:     instrument.Surface{WorkFunction: 1.8, PatchSpread: 1.2 * spread, Yield: 0.006, YieldWavelength: 365},
			Temperature: 296, StrayLight: 0.03, EmitterCoating: 0.02,
		},
		Geometry: g,
		Plan:     instrument.Plan{Start: -1, Stop: 2.4, Step: 0.05, Dwell: 0.5, Repeats: 1},
	}
	for _, line := range []physics.SpectralLine{{Wavelength: 365.015}, {Wavelength: 435.833}, {Wavelength: 576.960}} {
		line.Weight = 1
		a.Lights = append(a.Lights, instrument.Light{
			Name: "line", Nominal: line.Wavelength, Flux: 1e-6, Neutral: 1, Lines: []physics.SpectralLine{line},
		})
	}
	return a
}

// The transport for few runs is meant for benches whose cutoffs are read, so
// that what it moves them by is what counts: less than a hundredth of a step.
func TestTheTransportForFewRunsMovesNoCutoff(t *testing.T) {
	for _, spread := range []float64{0.04, 0.1} {
		a := patchyBench(physics.Spheres{RadiusRatio: 0.5}, spread)
		exact, err := sim.NewBenchForOneRun(a, physics.Closed{})
		if err != nil {
			t.Fatal(err)
		}
		quick, err := sim.NewBenchForFewRuns(a)
		if err != nil {
			t.Fatal(err)
		}
		want, got := rounded(exact.Mean()), rounded(quick.Mean())
		for _, m := range analysis.Methods() {
			if _, together := m.(analysis.Joint); together {
				continue
			}
			wants := analysis.Extract(want, []analysis.Method{m})
			gots := analysis.Extract(got, []analysis.Method{m})
			for i, s := range wants.Settings {
				w, g := s.Cutoffs[0], gots.Settings[i].Cutoffs[0]
				if w.Status != g.Status {
					t.Errorf("spread %g eV, %s at %g nm: %v and %v", spread, m.Name(), s.Wavelength, w.Status, g.Status)
				} else if w.Status == analysis.OK && math.Abs(w.Stopping-g.Stopping) > 5e-4 {
					t.Errorf("spread %g eV, %s at %g nm: %.5f V and %.5f V", spread, m.Name(), s.Wavelength, w.Stopping, g.Stopping)
				}
			}
		}
	}
}

// rounded gives a run the last digit of a meter, 1e-4 of its largest current.
func rounded(r run.Run) run.Run {
	var largest float64
	for _, c := range r.Curves {
		for _, reading := range c.Readings {
			largest = max(largest, reading.Current)
		}
	}
	// A digit that no reading lies on the edge of.
	digit := math.Pow(10, math.Floor(math.Log10(largest))-4)
	r.Facts.Resolution = digit
	for i := range r.Curves {
		for j := range r.Curves[i].Readings {
			reading := &r.Curves[i].Readings[j]
			reading.Uncertainty = digit / math.Sqrt(12)
		}
	}
	return r
}

// A new bench with its first run, against one that makes tables for many runs.
func BenchmarkNewBenchAndOneRun(b *testing.B) {
	for _, way := range []struct {
		name string
		make func(instrument.Apparatus) (*sim.Bench, error)
	}{
		{"for few runs", sim.NewBenchForFewRuns},
		{"for one run, exact", func(a instrument.Apparatus) (*sim.Bench, error) { return sim.NewBenchForOneRun(a, physics.Closed{}) }},
	} {
		b.Run(way.name, func(b *testing.B) {
			a := patchyBench(physics.Spheres{RadiusRatio: 0.5}, 0.05)
			var s sim.Session
			var r run.Run
			for i := range b.N {
				bench, err := way.make(a)
				if err != nil {
					b.Fatal(err)
				}
				s.Open(bench, 1, i)
				s.Acquire(&r)
			}
		})
	}
}
