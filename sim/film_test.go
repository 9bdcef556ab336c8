package sim_test

import (
	"math"
	"testing"

	"stopvolt/instrument"
	"stopvolt/physics"
	"stopvolt/sim"
)

// A cathode of two parts, one of them a film, whose electrons lose energy: drawn one
// by one they carry the current that the integrals have. A current I of E emitted is
// known from n electrons for each part to a standard error of sqrt(E I/n) or less;
// five of them are a false alarm in two million, and 60 currents are compared.
func TestElectronsOfAFilmCarryItsMeanCurrent(t *testing.T) {
	const number = 1 << 20
	wavelength := 404.6563
	a := instrument.Apparatus{
		World: instrument.World{HOverE: physics.HOverE},
		Emitter: instrument.Emitter{
			Surface: instrument.Surface{
				Law:          instrument.Law{Film: physics.Film{Exponent: 0.5}, FilmEdge: 0.2, Loss: physics.Loss{Share: 0.5, Energy: 0.15}},
				WorkFunction: 1.4, Yield: 0.02, YieldWavelength: wavelength,
			},
			Temperature: 295,
			Second:      instrument.Part{Share: 0.3, WorkFunction: 1.9, Yield: 0.01},
		},
		Collector: instrument.Collector{
			Surface:     instrument.Surface{WorkFunction: 2, Yield: 0.01, YieldWavelength: wavelength},
			Temperature: 295, StrayLight: 0.03, EmitterCoating: 0.05,
		},
	}
	l := instrument.Light{Nominal: wavelength, Lines: []physics.SpectralLine{{Wavelength: wavelength, Weight: 1}}, Flux: 1e-6, Neutral: 1}
	for _, g := range []physics.Geometry{physics.Spheres{RadiusRatio: 0.5}, physics.Cylinders{RadiusRatio: 3}} {
		a.Geometry = g
		exact, err := instrument.NewMeanCurrent(a, l, physics.Quadrature{})
		if err != nil {
			t.Fatal(err)
		}
		counted, err := instrument.NewMeanCurrent(a, l, sim.Electrons{Seed: seed, Number: number})
		if err != nil {
			t.Fatal(err)
		}
		forward, reverse := exact.Emitted()
		for v := -1.0; v < 2; v += 0.2 {
			want, got := exact.At(v), counted.At(v)
			for _, part := range []struct {
				name                string
				got, want, emission float64
			}{{"forward", got.Forward, want.Forward, forward}, {"reverse", got.Reverse, want.Reverse, reverse}} {
				// What is far below one electron is none.
				within := 5*math.Sqrt(part.emission*part.want/number) + 5*part.emission/number
				if math.Abs(part.got-part.want) > within {
					t.Errorf("seed %d: %v at %.1f V: %s %g A by electrons, %g +- %g A by integrals", seed, g, v, part.name, part.got, part.want, within/5)
				}
			}
		}
	}
}

// An electron of a film costs no memory, as none of a metal does.
func BenchmarkElectronOfAFilmInto64Barriers(b *testing.B) {
	s := sim.NewStream(sim.StreamName{Seed: seed, Purpose: "benchmark"})
	sampler := sim.NewSampler(physics.Emission{Excess: 0.85, Film: physics.Film{Exponent: 0.5}, Loss: physics.Loss{Share: 0.5, Energy: 0.2}})
	cells := sim.NewCells(0, 1.9, 64)
	b.ReportAllocs()
	b.ResetTimer()
	sampler.Tally(s, physics.Spheres{RadiusRatio: 0.5}, b.N, cells)
}

func TestElectronsOfAFilmTakeNoMemory(t *testing.T) {
	s := sim.NewStream(sim.StreamName{Seed: seed, Purpose: "memory"})
	for _, e := range []physics.Emission{
		{Excess: 0.85, Film: physics.Film{Exponent: 0.5}, Loss: physics.Loss{Share: 0.5, Energy: 0.2}},
		{Excess: 0.85, Thermal: 0.0254, Loss: physics.Loss{Share: 0.5, Energy: 0.2}},
	} {
		sampler, cells := sim.NewSampler(e), sim.NewCells(0, 1.9, 64)
		if n := testing.AllocsPerRun(10, func() { sampler.Tally(s, physics.Spheres{RadiusRatio: 0.5}, 1000, cells) }); n != 0 {
			t.Errorf("%+v: a thousand electrons take %g pieces of memory", e, n)
		}
	}
}

// Without electrons there is none to wait for: light below the threshold of a film.
func TestFilmBelowItsThresholdSendsElectronsAtRest(t *testing.T) {
	sampler := sim.NewSampler(physics.Emission{Excess: -0.1, Film: physics.Film{Exponent: 1}, Loss: physics.Loss{Share: 1, Energy: 0.1}})
	if got := sampler.Energy(sim.NewStream(sim.StreamName{Seed: seed, Purpose: "none"})); got != 0 {
		t.Errorf("an electron of %g eV", got)
	}
}
