package study_test

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"slices"
	"testing"

	"stopvolt/analysis"
	"stopvolt/analysis/study"
	"stopvolt/instrument"
	"stopvolt/instrument/population"
	"stopvolt/physics"
)

// budgetOf returns the budget of a small study.
func budgetOf(t *testing.T, p population.Population, methods ...string) study.Budget {
	t.Helper()
	s := study.Study{Population: p, Methods: named(t, methods...), Fits: analysis.LineFits()[:1], Replicates: 20, Seed: seed}
	b, err := s.Budget(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// dirty is a population of the default bench with more or less reverse emission.
func dirty(t *testing.T) population.Population {
	return spread(t, apparatus(t), func(a *instrument.Apparatus, u float64) { a.Collector.StrayLight = 0.05 * u })
}

func TestSharesOfABudgetAddUp(t *testing.T) {
	b := budgetOf(t, dirty(t), "tangent", "zero-crossing", "fowler-fit")
	if len(b.Groups) < 3 {
		t.Fatalf("only %d groups on the default bench", len(b.Groups))
	}
	for _, row := range b.Rows {
		sum := row.Reference.Value
		for _, share := range row.Shares {
			sum += share.Value
		}
		if math.Abs(sum-row.Full.Value) > 1e-12 {
			t.Errorf("%s: the reference and the shares make %g, all effects %g", row.Method, sum, row.Full.Value)
		}
	}
}

// The zero crossing is early by the reverse current, and that lowers h/e; leaving
// it out is what helps most, and the tangent hardly sees it.
func TestBudgetBlamesTheReverseEmissionForTheZeroCrossing(t *testing.T) {
	b := budgetOf(t, dirty(t), "zero-crossing", "tangent")
	g := slices.IndexFunc(b.Groups, func(g study.Group) bool { return g.Name == "reverse emission" })
	if g < 0 {
		t.Fatal("reverse emission is not among the groups")
	}
	// After each method comes what a person reads by it.
	crossing, tangent := b.Rows[0], b.Rows[2]
	if share := crossing.Shares[g].Value; share > -0.02 || math.Abs(tangent.Shares[g].Value) > math.Abs(share)/2 {
		t.Errorf("reverse emission adds %g to the zero crossing and %g to the tangent", share, tangent.Shares[g].Value)
	}
	if best := crossing.Gains[0]; best.Change != "reverse emission" && best.Change != study.GeometrySwap || best.Gap.Value <= 0 {
		t.Errorf("what helps the zero crossing most is %s, by %g", best.Change, best.Gap.Value)
	}
}

func TestABenchWithoutEffectsHasNoBudget(t *testing.T) {
	a := apparatus(t)
	for _, e := range instrument.Effects() {
		a = e.Off(a)
	}
	a.Geometry = physics.Spheres{RadiusRatio: 0.5}
	a.Emitter.Temperature, a.Collector.Temperature = 295, 295
	if b := budgetOf(t, only(a), "square-root"); len(b.Groups) != 0 || b.Rows[0].Dropped != 0 || b.Rows[0].Full != b.Rows[0].Reference {
		t.Errorf("the bench without effects has %+v", b)
	}
}

func TestBudgetDoesNotDependOnTheNumberOfCores(t *testing.T) {
	many := budgetOf(t, dirty(t), "tangent", "square-root")
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	// What is NaN in one is not equal to what is NaN in the other, but for its
	// text.
	if one := budgetOf(t, dirty(t), "tangent", "square-root"); fmt.Sprintf("%v", one) != fmt.Sprintf("%v", many) {
		t.Error("one core gives another budget than many")
	}
}

// An effect that belongs nowhere would be switched on and off by nobody, without
// a word.
func TestEveryEffectIsInOneGroupOrRemains(t *testing.T) {
	seen := make(map[instrument.EffectID]int)
	for _, g := range append(study.Groups(), study.Group{IDs: study.Remains()}) {
		for _, id := range g.IDs {
			seen[id]++
		}
	}
	for _, e := range instrument.Effects() {
		if seen[e.ID] != 1 {
			t.Errorf("%s is in %d groups of the budget", e.ID, seen[e.ID])
		}
		delete(seen, e.ID)
	}
	if len(seen) > 0 {
		t.Errorf("no effects are %v", seen)
	}
}
