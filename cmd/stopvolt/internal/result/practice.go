package result

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"stopvolt/analysis/practice"
)

// A Practice is a marked set, ready to be told.
type Practice struct {
	practice.Public
	Marks []practice.Mark
	// Sample are the places of the marks that a second marker is to look at.
	Sample []int
}

type mark = practice.Mark

// studentColumns are those of a student's mark. The terminal has a line for each
// student.
var studentColumns = slices.Concat(
	text("student_id", "student_id", func(m mark) string { return m.Student.ID }),
	text("name", "", func(m mark) string { return m.Student.Name }),
	fact("handed_in", "", func(m mark) any { return m.HandedIn }),
	points,
	number("of", "", scale{}, func(m mark) float64 { _, of := m.Proposed(); return of }),
	number("proposed_points", "", scale{}, func(m mark) float64 { proposed, _ := m.Proposed(); return proposed }),
	text("reason", "", func(m mark) string {
		if m.Override == nil {
			return ""
		}
		return m.Override.Reason
	}).optional(),
	number("submission", "", scale{}, func(m mark) float64 {
		if m.Submission == 0 {
			return math.NaN()
		}
		return float64(m.Submission)
	}),
	number("other_submission_points", "", scale{}, func(m mark) float64 { return m.Other }),
	text("method", "method", func(m mark) string { return m.Answer.Method }),
	fact("truth", "", func(m mark) any { return truthColumns.object(m.Truth) }),
	number("h_over_e_Vs", "", scale{}, mark.HOverE),
	number("relative_deviation", "deviation", scale{"%", 0.01, "%+.1f"}, func(m mark) float64 { relative, _ := m.Deviation(); return relative }),
	number("deviation_in_u", "in u", scale{"", 1, "%+.1f"}, func(m mark) float64 { _, inU := m.Deviation(); return inU }),
	text("uncertainty", "uncertainty", func(m mark) string { return string(m.Uncertainty()) }),
	fact("steps", "", func(m mark) any { return nullable(stepColumns.objects(m.Steps)) }),
	Columns[mark]{{
		Key: "findings", Heading: "findings", Text: findings,
		Value: func(m mark) any { return findingColumns.objects(m.Findings) },
	}},
	fact("methods", "", func(m mark) any {
		var rows []referenceRow
		for _, x := range m.References {
			rows = append(rows, referenceRow{x, m.Truth.HOverE})
		}
		return nullable(referenceColumns.objects(rows))
	}),
)

// points shows those that hold beside the most there are; a student who has
// handed nothing in has none.
var points = Columns[mark]{{
	Key: "points", Heading: "points",
	Value: func(m mark) any { return m.Points() },
	Text: func(m mark) string {
		if !m.HandedIn {
			return missing
		}
		_, of := m.Proposed()
		return fmt.Sprintf("%g/%g", m.Points(), of)
	},
}}

var truthColumns = slices.Concat(
	number("h_over_e_Vs", "", scale{}, func(t practice.Truth) float64 { return t.HOverE }),
	number("collector_work_function_eV", "", scale{}, func(t practice.Truth) float64 { return t.CollectorWorkFunction }),
	number("emitter_work_function_eV", "", scale{}, func(t practice.Truth) float64 { return t.EmitterWorkFunction }),
	text("fault", "", func(t practice.Truth) string { return t.Fault }).optional(),
)

var stepColumns = slices.Concat(
	text("step", "", func(s practice.Step) string { return string(s.Group) }),
	number("points", "", scale{}, func(s practice.Step) float64 { return s.Points }),
	number("of", "", scale{}, func(s practice.Step) float64 { return s.Of }),
	fact("given", "", func(s practice.Step) any { return s.Given }),
	fact("follows", "", func(s practice.Step) any { return s.Follows }),
)

var findingColumns = slices.Concat(
	text("name", "", func(f practice.Finding) string { return f.Check.Name }),
	text("step", "", func(f practice.Finding) string { return string(f.Check.Group) }),
	text("looks", "", func(f practice.Finding) string { return f.Check.Looks }),
	fact("settings", "", func(f practice.Finding) any { return f.Evidence.Settings }).optional(),
	number("given", "", scale{}, func(f practice.Finding) float64 { return f.Evidence.Given }),
	number("expected", "", scale{}, func(f practice.Finding) float64 { return f.Evidence.Expected }),
	text("unit", "", func(f practice.Finding) string { return f.Evidence.Unit }).optional(),
	text("text", "", func(f practice.Finding) string { return f.Evidence.Text }).optional(),
	text("other_student_id", "", func(f practice.Finding) string { return f.Evidence.Other }).optional(),
)

// A referenceRow is what a method makes of a student's own readings.
type referenceRow struct {
	practice.Reference
	truth float64
}

var referenceColumns = slices.Concat(
	text("method", "", func(r referenceRow) string { return r.Method }),
	fact("stopping_V", "", func(r referenceRow) any { return numbers(r.Stopping) }),
	number("h_over_e_Vs", "", scale{}, func(r referenceRow) float64 { return r.HOverE }),
	number("relative_deviation", "", scale{}, func(r referenceRow) float64 { return r.HOverE/r.truth - 1 }),
)

// numbers returns numbers as they are in JSON.
func numbers(values []float64) []Number {
	var all []Number
	for _, v := range values {
		all = append(all, Number(v))
	}
	return all
}

// Object returns the marks as JSON.
func (p Practice) Object() Object {
	return Object{{"schema", Schema}, {"level", p.Level}, {"blind", p.Blind}, {"students", studentColumns.objects(p.Marks)}}
}

// Print prints a line for each student, and the class below.
func (p Practice) Print(w io.Writer) error {
	if err := studentColumns.table(Terminal, p.Marks).Print(w, ""); err != nil {
		return err
	}
	p.printLegend(w)
	handed := 0
	for _, m := range p.Marks {
		if m.HandedIn {
			handed++
		}
	}
	p.printSample(w)
	_, err := fmt.Fprintf(w, "\n%d of %d students have handed in. The points are proposals; --overrides takes your decisions.\n", handed, len(p.Marks))
	return err
}

// findings names a student's findings, and the instructor's decision.
func findings(m mark) string {
	if !m.HandedIn {
		return "not handed in"
	}
	var names []string
	for _, f := range m.Findings {
		name := f.Check.Name
		if f.Check.Private {
			name += "? (" + f.Evidence.Other + ")"
		}
		names = append(names, name)
	}
	if m.Submission > 0 {
		names = append(names, fmt.Sprintf("(submission %d; the other has %g)", m.Submission, m.Other))
	}
	if m.Override != nil {
		names = append(names, "(decision: "+m.Override.Reason+")")
	}
	return strings.Join(names, " ")
}

// printSample names the sheets for a second marker.
func (p Practice) printSample(w io.Writer) {
	if len(p.Sample) == 0 {
		return
	}
	fmt.Fprint(w, "\nfor a second marker, from the lowest to the highest:")
	for _, i := range p.Sample {
		fmt.Fprint(w, " ", p.Marks[i].Student.ID)
	}
	fmt.Fprintln(w)
}

// printLegend prints what each finding that occurs says of the answer.
func (p Practice) printLegend(w io.Writer) {
	occurs, width := make(map[string]bool), 0
	for _, m := range p.Marks {
		for _, f := range m.Findings {
			occurs[f.Check.Name] = true
			width = max(width, len(f.Check.Name))
		}
	}
	if len(occurs) == 0 {
		return
	}
	fmt.Fprint(w, "\nwhat the findings say was done:\n")
	for _, check := range practice.Checks() {
		if occurs[check.Name] {
			fmt.Fprintf(w, "%-*s  %s\n", width, check.Name, check.Looks)
		}
	}
}
