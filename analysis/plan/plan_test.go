package plan

import (
	"context"
	"math"
	"sync/atomic"
	"testing"

	"stopvolt/analysis"
	"stopvolt/instrument/population"
	"stopvolt/instrument/run"
	"stopvolt/physics"
	"stopvolt/scenarios"
	"stopvolt/sim"
)

// benches returns the population of an embedded bench.
func benches(t *testing.T, changes ...string) population.Population {
	t.Helper()
	s, err := scenarios.Load("lanternfell", changes)
	if err != nil {
		t.Fatal(err)
	}
	return population.Of("lanternfell", s.Apparatus)
}

// A stepwise method errs in proportion to a power of the step of the sweep, by a
// chance that it takes from the first current.
type stepwise struct {
	analysis.SquareRoot
	power float64
}

func (m stepwise) Cutoff(p *analysis.Prepared) analysis.Cutoff {
	_, chance := math.Modf(math.Abs(p.I[0]) * 1e16 / 3)
	step := p.V[1] - p.V[0]
	off := 0.2 * math.Pow(step/0.1, m.power) * (chance - 0.5)
	return analysis.Cutoff{Stopping: physics.PhotonEnergy(physics.HOverE, p.Wavelength) * (1 + off), U: 0.01}
}

func search(t *testing.T, m analysis.Method) Search {
	return Search{Population: benches(t, "meter.resolution_A=0", "meter.offset_A=0"), Method: m, Fit: analysis.Ordinary{},
		Seconds: 40 * 60, Hand: 5, Seed: 3, Benches: 16, Judges: 32}
}

func TestTheSmallestStepIsChosenWhereOnlyTheStepErrs(t *testing.T) {
	s := search(t, stepwise{power: 1})
	r, err := s.Run(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	field, err := s.candidates()
	if err != nil {
		t.Fatal(err)
	}
	least := math.Inf(1)
	for _, c := range field {
		if c.Candidate.Lights == nil {
			least = min(least, c.Candidate.Step)
		}
	}
	if r.Equal.Candidate.Step != least {
		t.Errorf("equal steps: %v, want %g V", r.Equal.Candidate, least)
	}
}

func TestWhereThePlanDoesNotMatterNoneIsCalledBetter(t *testing.T) {
	r, err := search(t, stepwise{power: 0}).Run(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if r.Better() || !(r.Low < 1) {
		t.Errorf("ratio %v (%v to %v) of %v to %v", r.Ratio, r.Low, r.High, r.Best.Candidate, r.Equal.Candidate)
	}
}

func TestDoneIsToldAsOftenAsTotalSays(t *testing.T) {
	for _, benches := range []int{8, 16, 50} {
		s := search(t, stepwise{power: 1})
		s.Benches, s.Judges = benches, 9
		var told atomic.Int64
		s.Done = func() { told.Add(1) }
		if _, err := s.Run(context.Background()); err != nil {
			t.Fatal(err)
		}
		if told.Load() != int64(s.Total()) {
			t.Errorf("%d benches: told %d times, and the total is %d", benches, told.Load(), s.Total())
		}
	}
}

func TestDwellIsOneThatAPersonSets(t *testing.T) {
	for _, c := range []struct{ most, want float64 }{{0.01, 0.2}, {0.3, 0.3}, {1.97, 1.9}, {2, 2}, {6.66, 6}, {300, 10}} {
		if got := roundDwell(c.most); got != c.want {
			t.Errorf("at most %g s: %g s, want %g s", c.most, got, c.want)
		}
	}
}

// The time of a plan is what the clock of the bench shows at its end, less the first
// turning of the dial, which nobody waits for.
func TestPlannedTimeIsWhatTheClockShows(t *testing.T) {
	for _, c := range []Candidate{
		{Step: 0.1, Repeats: 1, Dwell: 1, Neutral: 1},
		{Step: 0.1, FineStep: 0.02, FineWidth: 0.4, Repeats: 3, Dwell: 0.5, Neutral: 1},
		{Step: 0.05, Repeats: 2, Dwell: 0.3, Neutral: 0.3, Lights: []int{0, 1, 2, 4}},
	} {
		a := c.Apply(benches(t, "plan.dark_curves=true", "plan.change_s=20").Median(), 4)
		b, err := sim.NewBenchForOneRun(a, physics.Quadrature{})
		if err != nil {
			t.Fatal(err)
		}
		var session sim.Session
		session.Open(b, 1, 0)
		var r run.Run
		session.Acquire(&r)
		clock := session.Time()
		planned := Duration(a)
		// A fine grid about a knee near the start of the sweep is cut short, and one
		// whose points are also coarse ones has fewer.
		slack := 0.1 * planned
		if c.FineWidth == 0 {
			slack = 2 * a.Plan.Turn * float64(len(a.Lights)+2)
		}
		if math.Abs(clock-planned) > slack {
			t.Errorf("%v: planned %g s, took %g s", c, planned, clock)
		}
	}
}

func TestCandidatesFitTheTime(t *testing.T) {
	s := search(t, stepwise{power: 1})
	field, err := s.candidates()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range field {
		if took := Duration(c.Candidate.Apply(s.Population.Median(), s.Hand)); took > s.Seconds*(1+1e-9) {
			t.Errorf("%v takes %g s of %g", c.Candidate, took, s.Seconds)
		}
	}
	s.Seconds = 60
	if _, err := s.candidates(); err == nil {
		t.Error("five sweeps by hand in a minute were planned")
	}
}
