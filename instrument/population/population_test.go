package population_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"stopvolt/instrument"
	"stopvolt/instrument/population"
)

// build puts the first two numbers into an apparatus.
func build(values []float64) (instrument.Apparatus, error) {
	var a instrument.Apparatus
	a.Emitter.WorkFunction, a.Collector.WorkFunction = values[0], values[1]
	if a.Collector.WorkFunction < 0 {
		return a, errors.New("the collector's work function is below zero")
	}
	return a, nil
}

// at returns the same uniform number for every key, and counts them.
func at(share float64, asked *[]string) func(string) float64 {
	return func(key string) float64 {
		if asked != nil {
			*asked = append(*asked, key)
		}
		return share
	}
}

func TestRelativeNumbersFollowTheirs(t *testing.T) {
	p, err := population.New("", []population.Variable{
		// The first is relative to what comes after it.
		{Key: "collector", Law: uniform(t, 0.1, 0.3), Plus: "emitter"},
		{Key: "emitter", Law: uniform(t, 1, 2)},
		{Key: "shift", Law: normal(t, 0, 1), Times: "spread"},
		{Key: "spread", Law: population.Constant(0.02)},
		{Key: "same", Law: population.Constant(0), Plus: "emitter"},
	}, nil, build)
	if err != nil {
		t.Fatal(err)
	}
	var asked []string
	got := p.Values(at(0.75, &asked))
	want := []float64{0.25 + 1.75, 1.75, 0.02 * normal(t, 0, 1).Quantile(0.75), 0.02, 1.75}
	for i := range want {
		if math.Abs(got[i]-want[i]) > 1e-15 {
			t.Errorf("%s is %g, want %g", p.Variables()[i].Key, got[i], want[i])
		}
	}
	if slices.Sort(asked); !slices.Equal(asked, []string{"collector", "emitter", "shift"}) {
		t.Errorf("uniform numbers were asked for %q", asked)
	}
	if p.Fixed() {
		t.Error("benches that differ are called fixed")
	}
}

func TestCirclesOfReferencesAreNamed(t *testing.T) {
	_, err := population.New("", []population.Variable{
		{Key: "a", Law: uniform(t, 0, 1), Plus: "b"},
		{Key: "b", Law: uniform(t, 0, 1), Times: "c"},
		{Key: "c", Law: population.Constant(0), Plus: "a"},
	}, nil, build)
	var problem *population.Problem
	if !errors.As(err, &problem) || problem.Key != "a" || !strings.Contains(problem.Text, "a, then b, then c, then a") {
		t.Errorf("the error is %v", err)
	}
	_, err = population.New("", []population.Variable{{Key: "a", Law: uniform(t, 0, 1), Plus: "z"}}, nil, build)
	if !errors.As(err, &problem) || !strings.Contains(problem.Text, "relative to z") {
		t.Errorf("the error is %v", err)
	}
}

// Rows occur by their weights and whole, and the middle one is a row that occurs.
func TestJointRowsOccurWholeAndByWeight(t *testing.T) {
	rows := [][]float64{{1, 10}, {2, 20}, {3, 30}, {9, 1}}
	p, err := population.New("", []population.Variable{
		{Key: "a", Law: population.Constant(0)}, {Key: "b", Law: uniform(t, 0, 1), High: 50},
	}, []population.Joint{{Keys: []string{"a", "b"}, Rows: rows, Weights: []float64{1, 2, 1, 0}}}, build)
	if err != nil {
		t.Fatal(err)
	}
	counts := make([]int, len(rows))
	const n = 4000
	for i := range n {
		got := p.Values(at((float64(i)+0.5)/n, nil))
		k := slices.IndexFunc(rows, func(row []float64) bool { return slices.Equal(row, got) })
		if k < 0 {
			t.Fatalf("the row %v is none of the table", got)
		}
		counts[k]++
	}
	if !slices.Equal(counts, []int{n / 4, n / 2, n / 4, 0}) {
		t.Errorf("of weights 1, 2, 1, 0 the rows occur %v times", counts)
	}
	if got := p.Medians(); !slices.Equal(got, rows[1]) {
		t.Errorf("the middle row is %v", got)
	}
	double, err := p.Scaled(2, "b")
	if err != nil {
		t.Fatal(err)
	}
	if got := double.Values(at(0.99, nil)); !slices.Equal(got, []float64{3, 50}) {
		t.Errorf("a row scaled to its limit is %v", got)
	}
}

func TestPopulationOfOneBenchIsFixed(t *testing.T) {
	var a instrument.Apparatus
	a.Emitter.WorkFunction = 1.5
	one := population.Of("a bench", a)
	if !one.Fixed() || one.Median().Emitter.WorkFunction != 1.5 {
		t.Errorf("one bench is %+v", one.Median())
	}
	p, err := population.New("", []population.Variable{
		{Key: "a", Law: uniform(t, 1, 1)}, {Key: "b", Law: oneOf(t, []float64{2}, nil)},
	}, nil, build)
	if err != nil {
		t.Fatal(err)
	}
	if !p.Fixed() {
		t.Error("a law of no width makes different benches")
	}
}

// The medians may be impossible where other benches are not.
func TestMedianIsABenchThatCanBe(t *testing.T) {
	most := func(values []float64) (instrument.Apparatus, error) {
		if math.Abs(values[0]-0.5) < 0.1 {
			return instrument.Apparatus{}, errors.New("in the middle")
		}
		return build([]float64{values[0], 1})
	}
	p, err := population.New("", []population.Variable{{Key: "a", Law: uniform(t, 0, 1)}}, nil, most)
	if err != nil {
		t.Fatal(err)
	}
	if got := p.Median().Emitter.WorkFunction; math.Abs(got-0.5) < 0.1 || math.Abs(got-0.5) > 0.3 {
		t.Errorf("the bench near the medians has %g", got)
	}
	never := func([]float64) (instrument.Apparatus, error) { return instrument.Apparatus{}, errors.New("never") }
	if _, err := population.New("", []population.Variable{{Key: "a", Law: uniform(t, 0, 1)}}, nil, never); err == nil || err.Error() != "never" {
		t.Errorf("an impossible population: %v", err)
	}
}

func TestScaledAndPinnedPopulationsHaveAnotherIdentity(t *testing.T) {
	variables := []population.Variable{
		{Key: "a", Law: halfNormal(t, 0.1), Low: 0, High: 0.3}, {Key: "b", Law: uniform(t, 1, 2), Low: 0, High: 3},
	}
	p, err := population.New("text", variables, nil, build)
	if err != nil {
		t.Fatal(err)
	}
	again, err := population.New("text", variables, nil, build)
	if err != nil || again.Identity() != p.Identity() {
		t.Errorf("the same population has two identities (%v)", err)
	}
	double, err := p.Scaled(2, "a")
	if err != nil {
		t.Fatal(err)
	}
	pinned, err := p.With("b", population.Constant(1.5))
	if err != nil {
		t.Fatal(err)
	}
	if double.Identity() == p.Identity() || pinned.Identity() == p.Identity() || double.Identity() == pinned.Identity() {
		t.Error("different populations have one identity")
	}
	for _, share := range []float64{0.1, 0.5, 0.9999} {
		u := at(share, nil)
		if got, want := double.Values(u)[0], min(2*p.Values(u)[0], 0.3); got != want {
			t.Errorf("twice the patches are %g, want %g", got, want)
		}
		if got := double.Values(u)[1]; got != p.Values(u)[1] {
			t.Errorf("another key moved to %g", got)
		}
		if got := pinned.Values(u)[1]; got != 1.5 {
			t.Errorf("the pinned number is %g", got)
		}
	}
	if _, err := p.With("c", population.Constant(1)); err == nil {
		t.Error("a key without a law was pinned")
	}
}
