package check_test

import (
	"testing"

	"stopvolt/analysis/check"
	"stopvolt/instrument/run"
	"stopvolt/scenarios"
	"stopvolt/sim"
)

// On the benches of the default population, with filters that let nothing past and a
// sweep in steps of 50 mV, next to no run is accused of a wrong sign, unit, range or
// filter. Coated collectors are mistaken for leaking filters in about one run of
// thirty; of 300, more than 20 would be in fewer than one set of seeds in 300.
func TestSoundRunsAreSeldomAccused(t *testing.T) {
	const seed, benches = 1, 300
	changes := []string{"plan.dark_curves=true", "plan.step_V=0.05", "leakage.resistance_ohm=1e13",
		"meter.digit_over_brightest=1e-4", "lamp.brightest_A={ log_uniform = [1e-10, 1e-7] }"}
	for _, light := range []string{"ultraviolet", "violet", "blue", "green", "yellow"} {
		changes = append(changes, "light."+light+".filter.blocking=0")
	}
	s, err := scenarios.Load("brindlemoor", changes)
	if err != nil {
		t.Fatal(err)
	}
	accused := make(map[string]int)
	for k := range benches {
		a, _, err := sim.DrawBench(s.Population, seed, k)
		if err != nil {
			t.Fatal(err)
		}
		b, err := sim.NewBenchForFewRuns(a)
		if err != nil {
			t.Fatal(err)
		}
		var session sim.Session
		session.Open(b, seed, k)
		var r run.Run
		session.Acquire(&r)
		once := make(map[string]bool)
		for _, f := range check.Run(r) {
			if !once[f.Check] {
				accused[f.Check]++
			}
			once[f.Check] = true
		}
	}
	for name, most := range map[string]int{"sign": 0, "units": 0, "slip": 3, "settings": 0, "settling": 0, "lamp": 0, "range": 2, "accelerating-side": 0, "plateau": 2, "order": 5, "neighbour": 20} {
		if accused[name] > most {
			t.Errorf("seed %d: %d of %d sound runs are accused by %s, want at most %d", seed, accused[name], benches, name, most)
		}
	}
}
