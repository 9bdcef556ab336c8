package practice_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"stopvolt/analysis/practice"
	"stopvolt/analysis/practice/practicetest"
)

// A class of thirty goes through make, fills in its sheets and is marked: once
// honestly, by every method there is, and once with a slip for each. Nobody is marked
// down for honest work, and every slip leaves half of the points or more, but for
// voltages that were made up.
func TestAClassOfThirtyIsMarkedFairly(t *testing.T) {
	const students = 30
	methods := everyMethod()
	for _, level := range []string{"clean", "ordinary", "awkward"} {
		r := recipe(t, level)
		r.Blind = true
		c := newClassroom(t, r, students)
		var answers []practice.Answer
		for i := range c.records {
			answers = append(answers, c.reads(i, methods[i%len(methods)]).Answer)
		}
		distribution := make(map[float64]int)
		for i, m := range c.marks(t, answers) {
			got, of := m.Proposed()
			if distribution[got]++; got != of && m.Answer.Slope.Given() {
				t.Errorf("%s, student %d, %s: %g of %g points for honest work: %v", level, i, m.Answer.Method, got, of, found(m))
			}
		}
		t.Logf("%s, honest: %s", level, spread(distribution))
		slips := slices.DeleteFunc(practicetest.Slips(), func(x practicetest.Slip) bool { return x.Level != "" && x.Level != level })
		answers = nil
		for i := range c.records {
			x := slips[i%len(slips)]
			a := c.reads(i, x.Method)
			x.Make(c.desks, i, &a)
			answers = append(answers, a.Answer)
		}
		distribution = make(map[float64]int)
		for i, m := range c.marks(t, answers) {
			got, of := m.Proposed()
			distribution[got]++
			if x := slips[i%len(slips)]; got < of/2 && x.Costs == 0 && m.Answer.Slope.Given() {
				t.Errorf("%s, student %d, %s: %g of %g points: %v, %+v", level, i, x.Check, got, of, found(m), m.Steps)
			}
		}
		t.Logf("%s, with slips: %s", level, spread(distribution))
	}
}

// spread writes a distribution of points from the most down.
func spread(distribution map[float64]int) string {
	var out []string
	for points := 12.; points >= 0; points -= 0.5 {
		if n := distribution[points]; n > 0 {
			out = append(out, fmt.Sprintf("%d with %g", n, points))
		}
	}
	return strings.Join(out, ", ")
}
