package sim_test

import (
	"testing"

	"stopvolt/instrument"
	"stopvolt/instrument/run"
	"stopvolt/physics"
	"stopvolt/sim"
)

// plain returns an apparatus with one line and ideal instruments: the tests add
// one effect at a time.
func plain() instrument.Apparatus {
	return instrument.Apparatus{
		World: instrument.World{HOverE: physics.HOverE},
		Emitter: instrument.Emitter{
			Surface:     instrument.Surface{WorkFunction: 1.95, Yield: 0.02, YieldWavelength: 365},
			Temperature: 293,
		},
		Collector: instrument.Collector{Surface: instrument.Surface{WorkFunction: 2.1}, Temperature: 293},
		Geometry:  physics.Spheres{RadiusRatio: 0.4},
		Lights: []instrument.Light{{
			Name: "blue", Nominal: 435.8, Flux: 1e-6, Neutral: 1,
			Lines: []physics.SpectralLine{{Wavelength: 435.833, Weight: 1}},
		}},
		Plan: instrument.Plan{Start: -1, Stop: 2, Step: 0.05, Dwell: 0.5, Repeats: 1},
	}
}

func benchOf(t testing.TB, a instrument.Apparatus) *sim.Bench {
	t.Helper()
	b, err := sim.NewBench(a, physics.Closed{})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// sitting opens a session with a setting of the light and the dial at a voltage
// in V.
func sitting(t testing.TB, a instrument.Apparatus, light int, retarding float64) *sim.Session {
	t.Helper()
	s := new(sim.Session)
	s.Open(benchOf(t, a), seed, 0)
	s.Select(light)
	s.Turn(retarding)
	return s
}

// withCurrent returns the apparatus with its first light scaled so that the
// mean forward current at a voltage in V is one in A.
func withCurrent(t testing.TB, a instrument.Apparatus, retarding, current float64) instrument.Apparatus {
	t.Helper()
	mean, err := instrument.NewMeanCurrent(a, a.Lights[0], physics.Closed{})
	if err != nil {
		t.Fatal(err)
	}
	light := a.Lights[0]
	light.Flux *= current / mean.At(retarding).Forward
	a.Lights = []instrument.Light{light}
	return a
}

// acquire takes the run of a session.
func acquire(t testing.TB, a instrument.Apparatus, replicate int) run.Run {
	t.Helper()
	var s sim.Session
	var r run.Run
	s.Open(benchOf(t, a), seed, replicate)
	s.Acquire(&r)
	return r
}
