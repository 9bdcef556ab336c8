package instrument_test

import (
	"math"
	"testing"

	"stopvolt/instrument"
	"stopvolt/physics"
)

// cellFor returns a cell of a geometry with patches, some lines and some light
// on a collector that is coated in part.
func cellFor(g physics.Geometry, emitterPatches, collectorPatches float64, lights []float64) instrument.Apparatus {
	a := instrument.Apparatus{
		World: instrument.World{HOverE: physics.HOverE},
		Emitter: instrument.Emitter{
			Surface:     instrument.Surface{WorkFunction: 1.6, PatchSpread: emitterPatches, Yield: 0.02, YieldWavelength: 365},
			Temperature: 297,
		},
		Collector: instrument.Collector{
			Surface:     instrument.Surface{WorkFunction: 1.8, PatchSpread: collectorPatches, Yield: 0.006, YieldWavelength: 365},
			Temperature: 297, StrayLight: 0.03, EmitterCoating: 0.1,
		},
		Geometry: g,
	}
	for _, nominal := range lights {
		a.Lights = append(a.Lights, instrument.Light{
			Nominal: nominal, Lines: physics.Mercury(), Flux: 1e-6, Neutral: 1, Shift: 0.01,
			Filter: instrument.Filter{Centre: nominal + 1, Width: 10, Peak: 0.4, Blocking: 1e-3},
		})
	}
	return a
}

// The whole mean current, made by another route, is what a glance has to show.
func TestGlanceShowsTheMeanCurrent(t *testing.T) {
	for _, g := range []physics.Geometry{
		physics.Spheres{RadiusRatio: 0.2}, physics.Spheres{RadiusRatio: 1}, physics.Spheres{RadiusRatio: 8},
		physics.Cylinders{RadiusRatio: 0.3}, physics.Cylinders{RadiusRatio: 8},
	} {
		for _, patches := range [][2]float64{{0, 0}, {0.03, 0.05}, {0.15, 0}} {
			if _, ok := g.(physics.Cylinders); ok && patches[0] > 0 {
				// The other route takes minutes, and cylinders are a mean of
				// spheres.
				continue
			}
			lights := []float64{365.0, 435.8, 578.0}
			if patches[0] == 0 {
				lights = lights[1:2]
			}
			a := cellFor(g, patches[0], patches[1], lights)
			if patches[0] == 0 {
				a.Emitter.Second = instrument.Part{Share: 0.2, WorkFunction: 1.5, Yield: 0.03}
			}
			glance, ok := a.Glance()
			if !ok {
				t.Fatalf("%v is not looked at", g)
			}
			for _, l := range a.Lights {
				mean, err := instrument.NewMeanCurrent(a, l, physics.Quadrature{})
				if err != nil {
					t.Fatal(err)
				}
				out, back := mean.Emitted()
				within := 2e-3
				if l.Nominal > 500 {
					// Patches bring this line's threshold near.
					within = 6e-3
				}
				for _, v := range []float64{-3, -1, 0, 2.5} {
					want := mean.At(v)
					forward, reverse := glance.At(l, v)
					if math.Abs(forward-want.Forward) > within*out {
						t.Errorf("%v patches %v, %g nm at %g V: forward is %g A, want %g A of %g A", g, patches, l.Nominal, v, forward, want.Forward, out)
					}
					if v > 0 && math.Abs(reverse-want.Reverse) > 1e-2*back {
						t.Errorf("%v patches %v, %g nm at %g V: reverse is %g A, want %g A of %g A", g, patches, l.Nominal, v, reverse, want.Reverse, back)
					}
				}
			}
		}
	}
}
