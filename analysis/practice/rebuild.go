package practice

import (
	"fmt"
	"math"

	"stopvolt/instrument"
	"stopvolt/instrument/population"
)

// An Origin is what a set was made from, beside what Public says: with the secret
// it gives the very benches once more, for a rehearsal at them.
type Origin struct {
	// Scenario is the name of the scenario, Text its file, and Assignments the
	// changed keys of it.
	Scenario    string   `json:"scenario"`
	Text        string   `json:"text"`
	Assignments []string `json:"assignments,omitempty"`
}

// A Rebuilder builds the benches of a set again.
type Rebuilder struct {
	recipe  Recipe
	benches population.Population
	secret  Secret
}

// NewRebuilder returns one for the recipe of a set.
func NewRebuilder(r Recipe, secret Secret) (*Rebuilder, error) {
	benches, err := r.benches()
	return &Rebuilder{r, benches, secret}, err
}

// benches returns the population of the recipe.
func (r Recipe) benches() (population.Population, error) {
	if r.Blind {
		return r.Variation.Benches, nil
	}
	return r.Variation.InOurWorld()
}

// Bench returns the bench of a student, with what is planted, and a seed for the
// noise of a rehearsal at it. The error says that this version draws another
// bench than the one that made the set.
func (b *Rebuilder) Bench(r Record) (a instrument.Apparatus, seed uint64, err error) {
	d := draw{b.secret, r.Student.ID, r.Trial}
	m := maker{recipe: b.recipe, benches: b.benches}
	a, truth, err := m.bench(d)
	if err != nil {
		return a, 0, err
	}
	if b.recipe.Faults {
		a = plant(a, &truth, d)
	}
	if !truth.sameBench(r.Truth) {
		return a, 0, fmt.Errorf("the bench of student %q was drawn by another version, and this one draws another; make the set anew", r.Student.ID)
	}
	return a, d.bits("rehearsal"), nil
}

// sameBench reports whether two truths are of one bench, but for the last digits
// that files and machines differ in.
func (t Truth) sameBench(other Truth) bool {
	near := func(x, y float64) bool { return math.Abs(x-y) <= 1e-9*math.Abs(y)+1e-12 }
	if len(t.Settings) != len(other.Settings) || t.Fault != other.Fault || t.FaultSetting != other.FaultSetting ||
		!(math.Abs(t.HOverE-other.HOverE) <= 1e-9*other.HOverE) || !near(t.CollectorWorkFunction, other.CollectorWorkFunction) ||
		!near(t.EmitterWorkFunction, other.EmitterWorkFunction) {
		return false
	}
	for i, s := range t.Settings {
		if s.Name != other.Settings[i].Name || !near(s.Stopping, other.Settings[i].Stopping) {
			return false
		}
	}
	return true
}
