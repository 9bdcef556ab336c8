package sim_test

import (
	"testing"

	"gonum.org/v1/gonum/floats/scalar"

	"stopvolt/instrument"
	"stopvolt/physics"
	"stopvolt/sim"
)

// What the dark curve shows is what daylight adds to the others.
func TestDarkCurveShowsTheLightOfTheRoom(t *testing.T) {
	line := func(wavelength float64) instrument.Light {
		return instrument.Light{Name: "lamp", Nominal: wavelength, Flux: 1e-6, Neutral: 1, Lines: []physics.SpectralLine{{Wavelength: wavelength, Weight: 1}}}
	}
	a := instrument.Apparatus{
		World:     instrument.World{HOverE: physics.HOverE},
		Emitter:   instrument.Emitter{Surface: instrument.Surface{WorkFunction: 1.9, Yield: 0.01, YieldWavelength: 400}, Temperature: 295},
		Collector: instrument.Collector{Surface: instrument.Surface{WorkFunction: 2.1}, Temperature: 295},
		Geometry:  physics.Spheres{RadiusRatio: 0.5},
		Lights:    []instrument.Light{line(404.6563)},
		Plan:      instrument.Plan{Start: -1, Stop: 1, Step: 0.25, Dwell: 1, Repeats: 1, DarkCurves: true},
	}
	shaded, err := sim.NewBench(a, physics.Closed{})
	if err != nil {
		t.Fatal(err)
	}
	a.Ambient = line(500)
	a.Ambient.Flux = 1e-8
	bench, err := sim.NewBench(a, physics.Closed{})
	if err != nil {
		t.Fatal(err)
	}
	with, without := bench.Mean(), shaded.Mean()
	if len(with.Curves) != 3 || !with.Curves[0].Dark {
		t.Fatalf("%d curves, of which the first should be dark", len(with.Curves))
	}
	for i, r := range with.Curves[0].Readings {
		lit := with.Curves[1].Readings[i].Current - without.Curves[1].Readings[i].Current
		if without.Curves[0].Readings[i].Current != 0 {
			t.Errorf("at %g V the shaded cell carries %g A in the dark", r.Retarding, without.Curves[0].Readings[i].Current)
		}
		if !scalar.EqualWithinAbs(r.Current, lit, 1e-17) {
			t.Errorf("at %g V the dark curve has %g A, and daylight adds %g A", r.Retarding, r.Current, lit)
		}
	}
	if with.Curves[0].Readings[0].Current < 1e-12 {
		t.Error("no current in the dark")
	}
}
