package sim_test

import (
	"testing"

	"stopvolt/instrument/run"
	"stopvolt/physics"
	"stopvolt/scenarios"
	"stopvolt/sim"
)

func BenchmarkRun(b *testing.B) {
	s, err := scenarios.Load(scenarios.Default, nil)
	if err != nil {
		b.Fatal(err)
	}
	s.Apparatus.Lights = s.Apparatus.Lights[:1]
	bench, err := sim.NewBench(s.Apparatus, physics.Closed{})
	if err != nil {
		b.Fatal(err)
	}
	var session sim.Session
	var r run.Run
	session.Open(bench, seed, 0)
	b.ReportAllocs()
	b.ResetTimer()
	for range b.N {
		session.Acquire(&r)
	}
}
