package study_test

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"runtime"
	"sync/atomic"
	"testing"

	"stopvolt/analysis"
	"stopvolt/analysis/study"
	"stopvolt/instrument"
	"stopvolt/instrument/population"
	"stopvolt/physics"
	"stopvolt/scenarios"
)

const seed = 20261125

// apparatus returns that of the default scenario.
func apparatus(t testing.TB) instrument.Apparatus {
	t.Helper()
	s, err := scenarios.Load(scenarios.Default, nil)
	if err != nil {
		t.Fatal(err)
	}
	return s.Apparatus
}

// only returns the population of one bench.
func only(a instrument.Apparatus) population.Population { return population.Of("one bench", a) }

// oracle is a method that knows the world: its cutoffs lie on a line whose h/e
// is off by a known factor. A study must find just that.
type oracle struct {
	hOverE, workFunction float64
	// mute says that it never answers.
	mute bool
}

func (oracle) Name() string                                                    { return "oracle" }
func (oracle) Page() analysis.Page                                             { return analysis.Page{} }
func (oracle) Construct(*analysis.Prepared, analysis.Cutoff) []analysis.Stroke { return nil }

func (o oracle) Cutoff(p *analysis.Prepared) analysis.Cutoff {
	if o.mute {
		return analysis.Cutoff{Stopping: math.NaN(), U: math.NaN(), Status: analysis.NoCutoff, Reason: "it is mute"}
	}
	v := physics.PhotonEnergy(o.hOverE, p.Wavelength) - o.workFunction
	return analysis.Cutoff{Stopping: v, U: 0.01}
}

// find runs a small study of one method with the ordinary line.
func find(t *testing.T, a instrument.Apparatus, m analysis.Method, replicates int) study.Result {
	t.Helper()
	s := study.Study{
		Population: only(a), Methods: []analysis.Method{m}, Fits: analysis.LineFits()[:1],
		Replicates: replicates, Seed: seed,
	}
	return s.Result(done(t, s))
}

// done runs a study.
func done(t *testing.T, s study.Study) *study.Tally {
	t.Helper()
	tally, err := s.Run(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return tally
}

func TestAKnownBiasIsFoundExactly(t *testing.T) {
	a := apparatus(t)
	for _, want := range []float64{-0.12, 0, 0.03} {
		m := oracle{hOverE: (1 + want) * a.World.HOverE, workFunction: 2.5}
		r := find(t, a, m, 10)
		got := r.Rows[0].HOverE
		if math.Abs(got.Bias.Value-want) > 1e-12 || got.Failures != 0 {
			t.Errorf("h/e off by %g was found to be off by %g, with %d failures", want, got.Bias.Value, got.Failures)
		}
		phi := 2.5/a.Collector.WorkFunction - 1
		if got := r.Rows[0].WorkFunction.Bias.Value; math.Abs(got-phi) > 1e-12 {
			t.Errorf("a work function off by %g was found to be off by %g", phi, got)
		}
	}
}

// The bias is that of another world, whose h/e is not the book's.
func TestBiasIsRelativeToTheWorldsOwn(t *testing.T) {
	a := apparatus(t)
	a.World.HOverE *= 1.17
	r := find(t, a, oracle{hOverE: a.World.HOverE, workFunction: 2}, 5)
	if got := r.Rows[0].HOverE.Bias.Value; math.Abs(got) > 1e-12 {
		t.Errorf("the truth of this world counts as off by %g", got)
	}
}

func TestFailuresAreCountedAndNotDropped(t *testing.T) {
	r := find(t, apparatus(t), oracle{mute: true}, 7)
	m := r.Rows[0].HOverE
	if m.Failures != 7 || m.Replicates != 7 || !math.IsNaN(m.Bias.Value) || m.CoverageOfAll.Value != 0 {
		t.Errorf("%+v", m)
	}
	for _, s := range r.Rows[0].Settings {
		if s.Stopping.Failures != 7 {
			t.Errorf("%s: %d dropouts of 7", s.Name, s.Stopping.Failures)
		}
	}
}

// named returns the methods of the given names.
func named(t *testing.T, names ...string) []analysis.Method {
	t.Helper()
	var methods []analysis.Method
	for _, name := range names {
		m, err := analysis.ByName(name)
		if err != nil {
			t.Fatal(err)
		}
		methods = append(methods, m)
	}
	return methods
}

// whole returns a study of three blocks, the last of them short.
func whole(t *testing.T) study.Study {
	return study.Study{
		Population: only(apparatus(t)), Methods: named(t, "zero-crossing", "two-tangent", "fowler-fit"), Fits: analysis.LineFits(),
		Replicates: 2*study.BlockSize + 10, Seed: seed,
	}
}

// text returns a tally as it stands in a file.
func text(t *testing.T, tally *study.Tally) string {
	t.Helper()
	text, err := json.Marshal(tally)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func TestResultDoesNotDependOnTheNumberOfCores(t *testing.T) {
	many := text(t, done(t, whole(t)))
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	if one := text(t, done(t, whole(t))); one != many {
		t.Error("one core gives another tally than many")
	}
}

func TestPartsMergeInAnyOrderToTheWhole(t *testing.T) {
	want := text(t, done(t, whole(t)))
	for _, order := range [][]int{{1, 2, 3}, {3, 1, 2}} {
		var merged *study.Tally
		for _, index := range order {
			s := whole(t)
			s.Part = study.Part{Index: index, Count: 3}
			part := done(t, s)
			if merged == nil {
				merged = part
			} else if err := merged.Merge(part); err != nil {
				t.Fatal(err)
			}
			if err := merged.Merge(part); err == nil {
				t.Fatal("a part could be merged twice")
			}
		}
		if got := text(t, merged); got != want {
			t.Errorf("parts in the order %v give another tally than the whole", order)
		}
	}
}

// A study is stopped after each of its replicates and taken up again from what
// it saved last.
func TestAResumedStudyGivesTheSameBytes(t *testing.T) {
	want := text(t, done(t, whole(t)))
	for stopAt := 100; stopAt < 2*study.BlockSize+10; stopAt += 201 {
		saved := ""
		ctx, stop := context.WithCancel(context.Background())
		var count atomic.Int64
		s := whole(t)
		s.Save = func(tally *study.Tally, _ bool) error {
			saved = text(t, tally)
			return nil
		}
		s.Done = func() {
			if count.Add(1) == int64(stopAt) {
				stop()
			}
		}
		if _, err := s.Run(ctx); !errors.Is(err, context.Canceled) {
			t.Fatalf("stopped at %d: error %v", stopAt, err)
		}
		s = whole(t)
		s.Resume = new(study.Tally)
		if err := json.Unmarshal([]byte(saved), s.Resume); err != nil {
			t.Fatal(err)
		}
		if got := text(t, done(t, s)); got != want {
			t.Errorf("stopped at %d and resumed, the tally differs", stopAt)
		}
	}
}

func TestAStudyGoesOnUntilItIsPreciseEnough(t *testing.T) {
	s := whole(t)
	s.Methods = named(t, "square-root", "fowler-fit")
	s.Replicates, s.Until = 100_000, 1e-3
	tally := done(t, s)
	n := tally.Replicates()
	if n == 100_000 || n%1024 != 0 {
		t.Fatalf("it ended after %d replicates", n)
	}
	for _, row := range s.Result(tally).Rows {
		if row.HOverE.Bias.Error > s.Until {
			t.Errorf("%s, %s: the bias is known to %g only", row.Method, row.Fit, row.HOverE.Bias.Error)
		}
	}
	if n > 1024 {
		s.Replicates = n - 1024
		for _, row := range s.Result(done(t, s)).Rows {
			if row.HOverE.Bias.Error > s.Until {
				return
			}
		}
		t.Errorf("it was precise enough before %d replicates", n)
	}
}

func TestAStoppedStudySaysSo(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	s := study.Study{
		Population: only(apparatus(t)), Methods: analysis.Methods(), Fits: analysis.LineFits(),
		Replicates: 1_000_000, Seed: seed, Done: stop,
	}
	if _, err := s.Run(ctx); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v", err)
	}
}

func TestOneReplicateIsNoStudy(t *testing.T) {
	if _, err := (study.Study{Population: only(apparatus(t)), Replicates: 1}).Run(context.Background()); err == nil {
		t.Error("a study of one replicate ran")
	}
}
