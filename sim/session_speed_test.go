package sim_test

import (
	"testing"

	"stopvolt/instrument"
	"stopvolt/instrument/run"
	"stopvolt/physics"
	"stopvolt/scenarios"
	"stopvolt/sim"
)

// everything returns the default apparatus with one light and every noise and
// error of the bench at once, taken over 61 points.
func everything(tb testing.TB) instrument.Apparatus {
	tb.Helper()
	s, err := scenarios.Load(scenarios.Default, nil)
	if err != nil {
		tb.Fatal(err)
	}
	a := s.Apparatus
	a.Lights = a.Lights[:1]
	a.Meter = instrument.Meter{
		FullScaleVoltage: 1, Temperature: 300, Burden: 1e4,
		Offset: 2e-13, OffsetSteps: 4, Gain: 0.004, Drift: 1e-16, Flicker: 5e-14, Response: 0.1,
		FullScales: []float64{1e-10, 1e-9, 1e-8}, Steps: 20_000,
	}
	a.Leads = instrument.Leads{Capacitance: 5e-11, Absorption: 0.01, AbsorptionTime: 1}
	a.Mains = instrument.Mains{Frequency: 50, Hum: 1e-12}
	a.Lamp = instrument.Lamp{WarmUp: 0.3, WarmUpTime: 200, Lead: 600, Drift: 1e-6, Flicker: 0.002, Ripple: 0.1}
	a.Supply = instrument.Supply{Offset: 0.005, Gain: 0.001, Ripple: 0.002}
	a.Voltmeter = instrument.Voltmeter{Offset: 0.001, Gain: 0.0005, Resolution: 0.001}
	a.Plan.Turn = 0.2
	return a
}

func benchmarkCurve(b *testing.B, a instrument.Apparatus) {
	bench, err := sim.NewBench(a, physics.Closed{})
	if err != nil {
		b.Fatal(err)
	}
	var session sim.Session
	var r run.Run
	session.Open(bench, seed, 0)
	session.Acquire(&r)
	if n := len(r.Curves[0].Readings); n != 61 {
		b.Fatalf("%d readings", n)
	}
	b.ReportAllocs()
	b.ResetTimer()
	for i := range b.N {
		if i%16 == 0 {
			// A session of months is not what is measured.
			session.Open(bench, seed, i)
		}
		session.Acquire(&r)
	}
}

// Counting and Johnson noise alone.
func BenchmarkCurveOfThePlainBench(b *testing.B) {
	a := everything(b)
	s, err := scenarios.Load(scenarios.Default, nil)
	if err != nil {
		b.Fatal(err)
	}
	s.Apparatus.Lights = a.Lights
	benchmarkCurve(b, s.Apparatus)
}

// All that is random from reading to reading, and the errors of a session.
func BenchmarkCurveWithEveryNoise(b *testing.B) {
	a := everything(b)
	a.Meter.Burden, a.Meter.Response, a.Leads, a.Lamp.WarmUp = 0, 0, instrument.Leads{}, 0
	benchmarkCurve(b, a)
}

// Noise, and all that makes a reading depend on those before it.
func BenchmarkCurveWithEveryEffect(b *testing.B) { benchmarkCurve(b, everything(b)) }
