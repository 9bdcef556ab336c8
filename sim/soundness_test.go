package sim_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"stopvolt/instrument"
	"stopvolt/instrument/run"
	"stopvolt/physics"
	"stopvolt/sim"
)

func TestAcquiringDoesNotAllocate(t *testing.T) {
	bench := benchOf(t, everything(t))
	var s sim.Session
	var r run.Run
	s.Open(bench, seed, 0)
	s.Acquire(&r)
	if n := testing.AllocsPerRun(20, func() { s.Acquire(&r) }); n != 0 {
		t.Errorf("%g allocations a run", n)
	}
}

// Whatever a scenario may hold, a reading is a finite number with a finite
// uncertainty, and the clock runs forwards.
func TestEveryReadingIsFinite(t *testing.T) {
	lit := withCurrent(t, plain(), -1, 1e-9)
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string, low, high float64) float64 {
			if rapid.Bool().Draw(t, name+" present") {
				// Orders of magnitude are all alike.
				return math.Pow(10, rapid.Float64Range(low, high).Draw(t, name))
			}
			return 0
		}
		a := lit
		a.Leakage = instrument.Leakage{Conductance: draw("leak", -20, -3), Dark: draw("dark", -20, -3)}
		a.Meter = instrument.Meter{
			Feedback: draw("feedback", -3, 15), Temperature: draw("temperature", -3, 3), Shunt: rapid.Bool().Draw(t, "shunt"),
			Burden: draw("burden", -3, 12), Offset: draw("offset", -20, -3), Gain: draw("gain", -6, -0.4), Drift: draw("drift", -20, -6),
			Flicker: draw("flicker", -20, -3), Response: draw("response", -6, 3), Resolution: draw("resolution", -20, -3),
		}
		if rapid.Bool().Draw(t, "ranges") {
			a.Meter.FullScales = []float64{1e-12, 1e-9, 1e-6}
			a.Meter.Steps = draw("steps", 1, 9)
			a.Meter.FullScaleVoltage = draw("full-scale voltage", -3, 2)
		}
		a.Leads = instrument.Leads{Capacitance: draw("capacitance", -15, -6), Absorption: draw("absorption", -6, 0), AbsorptionTime: 1e-3 + draw("absorption time", -3, 5)}
		a.Mains = instrument.Mains{Frequency: 1 + draw("frequency", 0, 3), Hum: draw("hum", -20, -3)}
		a.Lamp = instrument.Lamp{
			WarmUp: draw("warm-up", -3, 0), WarmUpTime: 1e-3 + draw("warm-up time", -3, 5), Colour: draw("colour", -3, 1), Lead: draw("lead", -3, 6),
			Drift: draw("lamp drift", -9, -2), Flicker: draw("lamp flicker", -6, -0.7), Ripple: draw("lamp ripple", -6, 0),
		}
		a.Plan.Step = 0.5
		a.Plan.Turn, a.Plan.Settle, a.Plan.Dwell = draw("turn", -6, 4), draw("settle", -6, 4), 1e-6+draw("dwell", -6, 4)
		a.Plan.Order = instrument.Order(rapid.IntRange(0, 3).Draw(t, "order"))
		bench, err := sim.NewBench(a, physics.Closed{})
		if err != nil {
			t.Fatal(err)
		}
		var s sim.Session
		s.Open(bench, seed, 0)
		last := 0.0
		for _, reading := range s.Readings() {
			for _, x := range []float64{reading.Retarding, reading.Current, reading.Uncertainty, reading.Time} {
				if math.IsNaN(x) || math.IsInf(x, 0) {
					t.Fatalf("%+v", reading)
				}
			}
			if reading.Time < last || reading.Uncertainty <= 0 {
				t.Fatalf("%+v after %g s", reading, last)
			}
			last = reading.Time
		}
	})
}
