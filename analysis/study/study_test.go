package study_test

import (
	"context"
	"errors"
	"math"
	"runtime"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"stopvolt/analysis"
	"stopvolt/analysis/study"
	"stopvolt/instrument"
	"stopvolt/physics"
	"stopvolt/scenarios"
)

const seed = 20261125

// apparatus returns that of the default scenario.
func apparatus(t *testing.T) instrument.Apparatus {
	t.Helper()
	s, err := scenarios.Load(scenarios.Default, nil)
	if err != nil {
		t.Fatal(err)
	}
	return s.Apparatus
}

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
	r, err := study.Study{
		Apparatus: a, Methods: []analysis.Method{m}, Fits: analysis.LineFits()[:1],
		Replicates: replicates, Seed: seed,
	}.Run(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return r
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
		if s.Dropouts != 7 {
			t.Errorf("%s: %d dropouts of 7", s.Name, s.Dropouts)
		}
	}
	if r.Recommendation.ByComputer.Row != -1 {
		t.Error("a method that never answers is recommended")
	}
}

func TestResultDoesNotDependOnTheNumberOfCores(t *testing.T) {
	s := study.Study{
		Apparatus: apparatus(t), Methods: analysis.Methods(), Fits: analysis.LineFits(),
		Replicates: 2*study.BlockSize + 10, Seed: seed,
	}
	many, err := s.Run(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	one, err := s.Run(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(many, one, cmpopts.IgnoreUnexported(study.Row{}), cmpopts.EquateNaNs()); diff != "" {
		t.Errorf("on many cores (-) and on one (+):\n%s", diff)
	}
}

func TestAStoppedStudySaysSo(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	s := study.Study{
		Apparatus: apparatus(t), Methods: analysis.Methods(), Fits: analysis.LineFits(),
		Replicates: 1_000_000, Seed: seed, Done: stop,
	}
	if _, err := s.Run(ctx); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v", err)
	}
}

func TestOneReplicateIsNoStudy(t *testing.T) {
	if _, err := (study.Study{Apparatus: apparatus(t), Replicates: 1}).Run(context.Background()); err == nil {
		t.Error("a study of one replicate ran")
	}
}
