package practice

import "math"

// A Group is a step of the student's work, on which points are given.
type Group string

// The groups in the order of the work. AnswerTable is what was typed, and has
// no points of its own.
const (
	AnswerTable Group = "table"
	Voltages    Group = "voltages"
	LineGroup   Group = "line"
	Results     Group = "results"
	Uncertainty Group = "uncertainty"
	FaultFound  Group = "fault"
)

// A Check looks for one pattern in a student's answer.
type Check struct {
	// Name is the word for the pattern in files; the texts go by it.
	Name string
	// Group is the step in which the pattern shows, and in whose table it stands.
	Group Group
	// Cost is the number of points that the pattern costs; 0 is a remark.
	Cost float64
	// Explains says that the pattern, where it shows, accounts for all that is
	// not right in the step, so that nothing else is taken off.
	Explains bool
	// Private says that the finding is a question for the instructor, which the
	// student is not shown.
	Private bool
	// Looks says in a sentence for the instructor what the student did, and what
	// counts as evidence. A mistake reads as one: "was taken as", and what would be
	// right, where a bare statement could be mistaken for the truth.
	Looks string
	// find returns the evidence, and whether there is any.
	find func(*Case) (Evidence, bool)
}

// Evidence is what a check found, for a sentence about it.
type Evidence struct {
	// Settings are the names of the settings in which it shows.
	Settings []string
	// Method is the name of a method, where one has a part in it.
	Method string
	// Given is the student's number, and Expected what the student's previous
	// step gives; both are in Unit. They are NaN where there is none.
	Given, Expected float64
	Unit            string
	// Power is the power of ten of a wrong factor.
	Power int
	// Text is what the student typed, where that is the matter.
	Text string
	// Other is the student whose sheet it may have been; for the instructor only.
	Other string
	// Excuses are the results that the finding accounts for, so that they cost what
	// the finding does and no more.
	Excuses []Part
	// meant are the stopping voltages in V as they were meant, where those are still
	// to be compared; nil where the finding accounts for all of them.
	meant []float64
}

// A Part is one of the results of a student's work.
type Part int

// The results.
const (
	HOverEPart Part = iota
	CollectorPart
	EmitterPart
)

// excusing returns the evidence with the results that it accounts for.
func (e Evidence) excusing(parts ...Part) Evidence {
	e.Excuses = parts
	return e
}

// A Finding is a check that found something.
type Finding struct {
	Check    Check
	Evidence Evidence
}

// Checks returns all checks in the order of the work. Of several findings in one
// step the first explains it. To add a check, write its function into the file
// of its group and add its line to that file's table.
func Checks() []Check {
	var all []Check
	for _, step := range []struct {
		group  Group
		checks []Check
	}{
		{AnswerTable, tableChecks()},
		{Voltages, voltageChecks()},
		{LineGroup, lineChecks()},
		{Results, resultChecks()},
		{Uncertainty, uncertaintyChecks()},
	} {
		for _, c := range step.checks {
			c.Group = step.group
			all = append(all, c)
		}
	}
	return all
}

// find runs all checks on a case. Where one explains a step, no other is asked
// to.
func find(c *Case) []Finding {
	var found []Finding
	explained := make(map[Group]bool)
	for _, check := range Checks() {
		if check.Explains && explained[check.Group] {
			continue
		}
		if e, ok := check.find(c); ok {
			check.Cost = c.Scheme.cost(check)
			found = append(found, Finding{check, e})
			explained[check.Group] = explained[check.Group] || check.Explains
		}
	}
	return found
}

// about is evidence of two numbers.
func about(given, expected float64, unit string) Evidence {
	return Evidence{Given: given, Expected: expected, Unit: unit}
}

// in is evidence that shows in settings, without numbers.
func in(settings ...string) Evidence {
	return Evidence{Settings: settings, Given: math.NaN(), Expected: math.NaN()}
}

// same reports whether a number is one that was written down, to within the
// rounding of what was written or a part of it that careless rounding on the
// way leaves.
func same(q Quantity, x float64) bool {
	const careless = 0.004
	return math.Abs(q.Value-x) <= max(1.01*q.Half, careless*math.Abs(x))
}

// powerOfTen returns the n for which a number is ten to the n times another, to
// within a relative tolerance; ok is false if there is none.
func powerOfTen(x, of, tolerance float64) (n int, ok bool) {
	ratio := x / of
	if !(ratio > 0) || math.IsInf(ratio, 0) {
		return 0, false
	}
	n = int(math.Round(math.Log10(ratio)))
	return n, math.Abs(ratio/math.Pow10(n)-1) <= tolerance
}
