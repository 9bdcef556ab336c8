package practice_test

import (
	"math"
	"slices"
	"testing"

	"stopvolt/analysis/practice"
	"stopvolt/analysis/practice/practicetest"
)

// points returns those of a step.
func points(m practice.Mark, g practice.Group) float64 {
	at := slices.IndexFunc(m.Steps, func(s practice.Step) bool { return s.Group == g })
	return m.Steps[at].Points
}

// told returns the names of the findings but for the remark about the method, and the
// question about two sheets that happen to be alike.
func told(m practice.Mark) []string {
	return slices.DeleteFunc(found(m), func(name string) bool { return name == "method-bias" || name == "alike" })
}

// Whoever draws a good line and hands in another h/e has handed in another h/e.
func TestTheAnsweredNumberIsComparedWithTheTruth(t *testing.T) {
	r := recipe(t, "ordinary")
	r.Blind = true
	c := newClassroom(t, r, 6)
	for _, given := range []float64{4.136e-15, 3.1e-15, 6e-15} {
		var answers []practice.Answer
		for i := range c.records {
			a := c.reads(i, "tangent")
			a.HOverE = practicetest.To(given, 4)
			answers = append(answers, a.Answer)
		}
		for i, m := range c.marks(t, answers) {
			if math.Abs(m.Answer.Slope.Value/given-1) < 0.04 {
				continue
			}
			if relative, _ := m.Deviation(); math.Abs(relative-(given/m.Truth.HOverE-1)) > 1e-9 || math.Abs(m.HOverE()/given-1) > 1e-9 {
				t.Errorf("student %d answers %g with the truth %g: %g is compared, %g off", i, given, m.Truth.HOverE, m.HOverE(), relative)
			}
			names := found(m)
			if !slices.Contains(names, "off-own-line") && !slices.Contains(names, "near-book-value") {
				t.Errorf("student %d: found %v", i, names)
			}
			if line, results, of := points(m, practice.LineGroup), points(m, practice.Results), 9.0; line != 2 || results != 1 {
				t.Errorf("student %d: %g points for the line and %g for the results, of %g: %v", i, line, results, of, names)
			}
			if got, _ := m.Proposed(); got != 9 {
				t.Errorf("student %d: %g points, so the slip costs twice: %+v", i, got, m.Steps)
			}
		}
	}
}

// A slip of the pen with the voltages is charged there, whether the student went
// on with the numbers as typed or as meant.
func TestASlipWithTheVoltagesCostsNothingInTheLine(t *testing.T) {
	type slip struct {
		name, check string
		turn        func(a *practice.Answer)
	}
	scaled := func(f float64) func(a *practice.Answer) {
		return func(a *practice.Answer) {
			for k := range a.Stopping {
				a.Stopping[k].Value *= f
				a.Stopping[k].Half *= math.Abs(f)
			}
		}
	}
	c := newClassroom(t, recipe(t, "ordinary"), 6)
	for _, x := range []slip{
		{"millivolts", "wrong-decade", scaled(1000)},
		{"sign", "voltage-sign", scaled(-1)},
		{"one decimal mark", "wrong-decade", func(a *practice.Answer) { a.Stopping[1].Value *= 10 }},
	} {
		for _, goesOn := range []bool{false, true} {
			var answers []practice.Answer
			for i := range c.records {
				a := c.reads(i, "tangent")
				x.turn(&a.Answer)
				if goesOn {
					u := a.U
					a.Conclude()
					a.U = u
				}
				answers = append(answers, a.Answer)
			}
			for i, m := range c.marks(t, answers) {
				if names := told(m); !slices.Equal(names, []string{x.check}) {
					t.Errorf("%s, goes on %v, student %d: found %v", x.name, goesOn, i, names)
				}
				if got := points(m, practice.LineGroup); got != 2 {
					t.Errorf("%s, goes on %v, student %d: %g points for the line", x.name, goesOn, i, got)
				}
				if got, _ := m.Proposed(); x.name != "one decimal mark" && got != 9 {
					t.Errorf("%s, goes on %v, student %d: %g points: %+v", x.name, goesOn, i, got, m.Steps)
				}
			}
		}
	}
}

// A voltage that is badly read does not hide that all are in mV, and costs what
// it would cost in V.
func TestMillivoltsAreSeenThroughABadReading(t *testing.T) {
	c := newClassroom(t, recipe(t, "ordinary"), 4)
	for i := range c.records {
		a := c.reads(i, "tangent")
		a.Stopping[2].Value += 0.12
		u := a.U
		a.Conclude()
		a.U = u
		volts := c.marks(t, []practice.Answer{a.Answer})[i]
		for k := range a.Stopping {
			a.Stopping[k].Value, a.Stopping[k].Half = 1000*a.Stopping[k].Value, 1000*a.Stopping[k].Half
		}
		milli := c.marks(t, []practice.Answer{a.Answer})[i]
		if names := told(milli); !slices.Equal(names, append([]string{"wrong-decade"}, told(volts)...)) {
			t.Errorf("student %d: found %v, and %v in volts", i, names, found(volts))
		}
		if got, want := points(milli, practice.Voltages), points(volts, practice.Voltages)-1; got != want {
			t.Errorf("student %d: %g points for the voltages, want %g", i, got, want)
		}
		if got, want := points(milli, practice.LineGroup), points(volts, practice.LineGroup); got != want {
			t.Errorf("student %d: %g points for the line, want %g", i, got, want)
		}
	}
}
