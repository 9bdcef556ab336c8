package rehearse

import (
	"math"
	"testing"

	"stopvolt/analysis/rehearsal"
	"stopvolt/scenarios"
	"stopvolt/sim"
)

// warm returns a rehearsal whose lamp has warmed up and whose meter finds its range,
// and what does something there.
func warm(t *testing.T, s rehearsal.Setup) (r *rehearsal.Rehearsal, do func(kind rehearsal.Kind, value float64)) {
	t.Helper()
	r, err := rehearsal.New(s)
	if err != nil {
		t.Fatalf("seed %d: %v", s.Seed, err)
	}
	do = func(kind rehearsal.Kind, value float64) {
		t.Helper()
		if err := r.Do(rehearsal.Action{At: r.Clock(), Kind: kind, Value: value}); err != nil {
			t.Fatalf("seed %d: %s: %v", s.Seed, kind, err)
		}
	}
	do(rehearsal.Acknowledge, 0)
	do(rehearsal.Lamp, 1)
	do(rehearsal.Pass, 900)
	do(rehearsal.Range, -1)
	return r, do
}

// Every bench of the population can be rehearsed at: light of the brightest line
// deflects the meter on one of its ranges, and beyond the cutoff the current is a
// small part of that.
func TestBenchesOfThePopulationCanBeRehearsed(t *testing.T) {
	s, err := scenarios.Load(scenarios.DefaultPopulation, nil)
	if err != nil {
		t.Fatal(err)
	}
	for seed := range uint64(40) {
		a, _, err := sim.DrawBench(s.Population, seed, 0)
		if err != nil {
			t.Fatal(err)
		}
		r, do := warm(t, rehearsal.Drawn(a, seed, true, false, rehearsal.RandomFault))
		do(rehearsal.Shutter, 1)
		read := func(v float64) float64 {
			do(rehearsal.Dial, v)
			do(rehearsal.Pass, 30)
			if r.Display().Beyond {
				t.Errorf("seed %d: at %g V the current is beyond every range of %v A", seed, v, r.FullScales())
			}
			return r.Display().Current
		}
		steps := 0.0
		best := 0
		for i := range r.Filters() {
			do(rehearsal.Shutter, 0)
			do(rehearsal.Filter, float64(i))
			do(rehearsal.Shutter, 1)
			if n := read(0) / r.Resolution(); n > steps {
				steps, best = n, i
			}
		}
		if steps < 20 {
			t.Errorf("seed %d: the brightest line is %g steps of the display", seed, steps)
		}
		do(rehearsal.Shutter, 0)
		do(rehearsal.Filter, float64(best))
		do(rehearsal.Shutter, 1)
		if bright, beyond := read(0), read(3); !(math.Abs(beyond) < 0.5*bright) {
			t.Errorf("seed %d: %g A at 0 V, and %g A at 3 V", seed, bright, beyond)
		}
	}
}
