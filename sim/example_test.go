package sim_test

import (
	"fmt"
	"log"

	"stopvolt/instrument"
	"stopvolt/physics"
	"stopvolt/sim"
)

// A session is a sitting at the bench: the dial is turned, and the meter read. The same
// seed gives the same readings.
func ExampleSession() {
	a := instrument.Apparatus{
		World:     instrument.World{HOverE: physics.HOverE},
		Emitter:   instrument.Emitter{Surface: instrument.Surface{WorkFunction: 1.9, Yield: 0.01, YieldWavelength: 365}, Temperature: 295},
		Collector: instrument.Collector{Surface: instrument.Surface{WorkFunction: 2.1}, Temperature: 295},
		Geometry:  physics.Spheres{RadiusRatio: 0.4},
		Lights: []instrument.Light{{
			Name: "blue", Nominal: 435.833, Flux: 1e-6, Neutral: 1,
			Lines: []physics.SpectralLine{{Wavelength: 435.833, Weight: 1}},
		}},
		Meter: instrument.Meter{Resolution: 1e-11},
		Plan:  instrument.Plan{Start: 0, Stop: 1, Step: 0.25, Dwell: 1, Repeats: 1},
	}
	bench, err := sim.NewBench(a, physics.Closed{})
	if err != nil {
		log.Fatal(err)
	}
	var s sim.Session
	s.Open(bench, 1, 0)
	s.Select(0)
	for _, v := range []float64{0, 0.4, 0.8} {
		s.Turn(v)
		fmt.Printf("%.1f V: %.2f nA\n", v, s.Read(1).Current/1e-9)
	}
	fmt.Printf("true cutoff: %.3f V\n", sim.TruthOf(a).Stopping[0])
	// Output:
	// 0.0 V: 1.33 nA
	// 0.4 V: 0.73 nA
	// 0.8 V: 0.00 nA
	// true cutoff: 0.744 V
}
