package study_test

import (
	"context"
	"math"
	"reflect"
	"runtime"
	"slices"
	"testing"

	"stopvolt/analysis"
	"stopvolt/analysis/study"
	"stopvolt/instrument"
	"stopvolt/physics"
)

// budgetOf returns the budget of a small study.
func budgetOf(t *testing.T, a instrument.Apparatus, methods ...string) study.Budget {
	t.Helper()
	s := study.Study{Apparatus: a, Methods: named(t, methods...), Fits: analysis.LineFits()[:1], Replicates: 20, Seed: seed}
	b, err := s.Budget(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestBudgetAddsUp(t *testing.T) {
	b := budgetOf(t, apparatus(t), "tangent", "fowler-fit")
	if len(b.Effects) < 5 {
		t.Fatalf("only %d effects on the default bench", len(b.Effects))
	}
	for _, row := range b.Rows {
		sum := row.Ideal.Value + row.Interaction.Value
		for _, alone := range row.Alone {
			sum += alone.Value
		}
		if math.Abs(sum-row.Full.Value) > 1e-12 {
			t.Errorf("%s: ideal, effects and interaction make %g, the full bias is %g", row.Method, sum, row.Full.Value)
		}
	}
}

// The tangents err by the shape of the curve, which the geometry makes, and not
// by what the meter does.
func TestBudgetBlamesTheGeometryForTheTangents(t *testing.T) {
	b := budgetOf(t, apparatus(t), "tangent")
	shift := func(name instrument.EffectID) float64 {
		i := slices.IndexFunc(b.Effects, func(e instrument.Effect) bool { return e.ID == name })
		if i < 0 {
			t.Fatalf("%q is not among the effects", name)
		}
		return math.Abs(b.Rows[0].Without[i].Value)
	}
	if geometry, meter := shift(instrument.AngularSpread), shift(instrument.Resolution); geometry < 10*meter {
		t.Errorf("the angular spread shifts h/e by %g, the resolution by %g", geometry, meter)
	}
}

func TestAnIdealApparatusHasNoBudget(t *testing.T) {
	a := apparatus(t)
	for _, e := range instrument.Effects() {
		a = e.Off(a)
	}
	if b := budgetOf(t, a, "tangent"); len(b.Effects) != 0 {
		t.Errorf("the ideal apparatus has %d effects, one of them %s", len(b.Effects), b.Effects[0].ID)
	}
}

func TestBudgetDoesNotDependOnTheNumberOfCores(t *testing.T) {
	a := apparatus(t)
	a.Geometry = physics.Spheres{RadiusRatio: 1}
	many := budgetOf(t, a, "tangent", "square-root")
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	if one := budgetOf(t, a, "tangent", "square-root"); !reflect.DeepEqual(one.Rows, many.Rows) {
		t.Errorf("one core gives %+v, many %+v", one, many)
	}
}
