package rehearse

import (
	"math"
	"testing"

	"stopvolt/analysis/rehearsal"
	"stopvolt/scenarios"
	"stopvolt/sim"
)

// stepsOfFault returns by how many steps of the display a bench with a fault differs
// from the same bench without, where it differs most of all that a person may look
// at: each light and the closed shutter, at several voltages, on the finest range.
func stepsOfFault(t *testing.T, s scenarios.Scenario, seed uint64, fault string) float64 {
	t.Helper()
	a, _, err := sim.DrawBench(s.Population, seed, 0)
	if err != nil {
		t.Fatal(err)
	}
	shown := func(fault string) (currents []float64, step float64) {
		r, do := warm(t, rehearsal.Drawn(a, seed, true, true, fault))
		step = math.Inf(1)
		look := func() {
			for _, v := range []float64{-1, 0, 2, 3} {
				do(rehearsal.Dial, v)
				do(rehearsal.Pass, 30)
				currents = append(currents, r.Display().Current)
				step = min(step, r.Resolution())
			}
		}
		look()
		for i := range r.Filters() {
			do(rehearsal.Shutter, 0)
			do(rehearsal.Filter, float64(i))
			do(rehearsal.Shutter, 1)
			look()
		}
		return currents, step
	}
	with, step := shown(fault)
	without, _ := shown(rehearsal.NoFault)
	most := 0.0
	for i := range with {
		most = max(most, math.Abs(with[i]-without[i]))
	}
	return most / step
}

// A planted fault can be told on every bench of the population, the coarse ones
// too: somewhere it moves the display by five of its steps or more. (Five steps are a
// judgement without a source.)
func TestEveryFaultCanBeToldOnEveryBench(t *testing.T) {
	s, err := scenarios.Load(scenarios.DefaultPopulation, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range rehearsal.Faults() {
		for seed := range uint64(20) {
			if steps := stepsOfFault(t, s, seed, f.Name); steps < 5 {
				t.Errorf("seed %d: %s moves the display by %.1f steps at most", seed, f.Name, steps)
			}
		}
	}
}
