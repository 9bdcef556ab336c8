package practice

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"

	"stopvolt/instrument/run/reader"
)

// A Step is how one step of a student's work came out.
type Step struct {
	Group Group
	// Points are those proposed, of Of.
	Points, Of float64
	// Given says that there is an answer at all.
	Given bool
	// Follows says that the step is what the student's previous one gives: for
	// voltages, the readings by the method named.
	Follows bool
	// Explained says that a finding accounts for what does not follow.
	Explained bool
}

// A Mark is what the marker proposes for one student.
type Mark struct {
	*Case
	// HandedIn is false for a student without any answer.
	HandedIn bool
	Steps    []Step
	Findings []Finding
	// Override is the instructor's decision; nil where there is none.
	Override *Override
}

// Proposed returns the sum of the points of the steps, and that of the best.
func (m Mark) Proposed() (points, of float64) {
	for _, s := range m.Steps {
		points += s.Points
		of += s.Of
	}
	return points, of
}

// Points returns those that hold: the instructor's, or the proposed ones.
func (m Mark) Points() float64 {
	if m.Override != nil {
		return m.Override.Points
	}
	points, _ := m.Proposed()
	return points
}

// An Override is a instructor's decision about a student's points, with its
// reason.
type Override struct {
	Points float64
	Reason string
	// Line is that of the row in its table, from 1.
	Line int
}

// The columns of a table of overrides beside student_id.
const (
	pointsColumn = "points"
	reasonColumn = "reason"
)

// ReadOverrides reads a table with the columns student_id, points and reason. A
// decision without a reason is an error. Faults are of type *reader.Error.
func ReadOverrides(s reader.Source, o reader.Options) (map[string]Override, error) {
	table, columns, err := readColumns(s, o, idColumn, pointsColumn, reasonColumn)
	if err != nil {
		return nil, err
	}
	overrides := make(map[string]Override)
	for row := range table.Len() {
		id := table.Text(row, columns[0])
		points, _, err := table.Number(row, columns[1])
		if err != nil {
			return nil, err
		}
		d := Override{points, table.Text(row, columns[2]), table.Line(row)}
		switch _, twice := overrides[id]; {
		case twice:
			return nil, table.Errorf(row, columns[0], "student_id %q has a decision already; one for each student is enough", id)
		case !(points >= 0) || math.IsInf(points, 0):
			return nil, table.Errorf(row, columns[1], "a decision needs points of 0 or more")
		case d.Reason == "":
			return nil, table.Errorf(row, columns[2], "a decision needs its reason, which the student is told")
		}
		overrides[id] = d
	}
	return overrides, nil
}

// MarkClass marks answers by a key. Students in the key without an answer are
// marked as not handed in. The result is in the order of the key. An answer or
// override of a student who is not in the key is an error, and so is an override
// of more points than there are.
func MarkClass(k *KeyReader, answers []Answer, overrides map[string]Override) ([]Mark, error) {
	byID := make(map[string]Answer, len(answers))
	for _, a := range answers {
		byID[a.Student.ID] = a
	}
	referee := newReferee()
	var marks []Mark
	var cases []*Case
	for {
		r, err := k.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, err
		}
		a, ok := byID[r.Student.ID]
		if !ok {
			a = noAnswer(r)
		}
		delete(byID, r.Student.ID)
		m := Mark{Case: newCase(k.Public, r, a, referee.references(r)), HandedIn: !a.Empty()}
		if d, ok := overrides[r.Student.ID]; ok {
			m.Override = &d
		}
		cases = append(cases, m.Case)
		marks = append(marks, m)
	}
	if err := strangers(byID, overrides, cases); err != nil {
		return nil, err
	}
	for i := range marks {
		m := &marks[i]
		m.others = cases
		if m.HandedIn {
			m.Findings = find(m.Case)
		}
		m.Steps = m.steps()
		if _, of := m.Proposed(); m.Override != nil && !(m.Override.Points <= of) {
			return nil, &OverrideError{m.Student.ID, m.Override.Line, m.Override.Points, of}
		}
	}
	return marks, nil
}

// OverrideError says that a decision gives more points than there are.
type OverrideError struct {
	// ID is the student's, and Line that of the row.
	ID   string
	Line int
	// Points are those decided, and Of is the most there are.
	Points, Of float64
}

// Error names the student and the range.
func (e *OverrideError) Error() string {
	return fmt.Sprintf("the decision for student_id %q gives %g points; it must be from 0 to %g", e.ID, e.Points, e.Of)
}

// noAnswer is the answer of a student who handed nothing in.
func noAnswer(r Record) Answer {
	nothing := Quantity{math.NaN(), math.NaN()}
	a := Answer{Student: r.Student, Slope: nothing, Intercept: nothing, HOverE: nothing, U: nothing,
		CollectorWorkFunction: nothing, EmitterWorkFunction: nothing}
	for range r.Truth.Settings {
		a.Stopping = append(a.Stopping, nothing)
		a.LeftOut = append(a.LeftOut, false)
	}
	return a
}

// StrangerError says that somebody has answers or a decision and is not in the
// key.
type StrangerError struct {
	// ID is the student's, and Line that of the row.
	ID   string
	Line int
	// Override says that it is a row of decisions, and not of answers.
	Override bool
}

// Error names the student.
func (e *StrangerError) Error() string {
	what := "answers"
	if e.Override {
		what = "a decision"
	}
	return fmt.Sprintf("student_id %q has %s and is not in the key; the key of the set that the student got is needed", e.ID, what)
}

// strangers returns an error for the first student who is not in the key.
func strangers(rest map[string]Answer, overrides map[string]Override, cases []*Case) error {
	first := &StrangerError{Line: math.MaxInt}
	for id, a := range rest {
		if a.Line < first.Line {
			first = &StrangerError{ID: id, Line: a.Line}
		}
	}
	if first.Line < math.MaxInt {
		return first
	}
	for id, d := range overrides {
		if d.Line < first.Line && !slices.ContainsFunc(cases, func(c *Case) bool { return c.Student.ID == id }) {
			first = &StrangerError{ID: id, Line: d.Line, Override: true}
		}
	}
	if first.Line < math.MaxInt {
		return first
	}
	return nil
}

// The points of each step.
const (
	ofVoltages    = 4
	ofLine        = 2
	ofResults     = 2
	ofUncertainty = 2
	ofFault       = 2
)

// steps gives the points. A step that a finding explains costs what the finding
// does, since what comes after it is measured by it and does not pay again.
func (m *Mark) steps() []Step {
	steps := []Step{m.voltageStep(), m.lineStep(), m.resultStep(), m.uncertaintyStep()}
	if m.Faults {
		steps = append(steps, m.faultStep())
	}
	return steps
}

// cost returns what the findings of a group cost together, and whether one of
// them explains all that is wrong.
func (m *Mark) cost(g Group) (cost float64, explained bool) {
	for _, f := range m.Findings {
		if f.Check.Group == g {
			cost += f.Check.Cost
			explained = explained || f.Check.Explains
		}
	}
	return cost, explained
}

// finish gives a step its share of the points, less what the findings cost.
func (m *Mark) finish(s Step, share float64) Step {
	cost, explained := m.cost(s.Group)
	// The numbers of the results are checked one by one, so each finding is
	// about what is not right.
	s.Explained = explained || s.Group == Results && cost > 0
	s.Points = max(s.Of*share-cost, 0)
	// Halves are fine enough for a person to stand by.
	s.Points = math.Round(2*s.Points) / 2
	return s
}

func (m *Mark) voltageStep() Step {
	s := Step{Group: Voltages, Of: ofVoltages}
	x, ok := m.compared()
	if !ok {
		return s
	}
	given, wanted := 0, 0
	for i, q := range m.Answer.Stopping {
		// A voltage where the method has none is not asked for.
		if m.counts(i) && m.Truth.Settings[i].Name != m.Truth.FaultSetting && !math.IsNaN(x.Stopping[i]) {
			wanted++
			if q.Given() {
				given++
			}
		}
	}
	s.Given = given > 0
	if wanted == 0 {
		return s
	}
	agree, of := m.agreement(m.volts(), x)
	s.Follows = of > 0 && agree == of
	share := 0.0
	if of > 0 {
		share = float64(agree) / float64(of)
	}
	if _, explained := m.cost(Voltages); explained {
		share = 1
	}
	if _, ok := m.found("wrong-decade"); ok {
		// Millivolts may be badly read as well.
		if repaired, _, ok := m.repaired(); ok {
			agree, of := m.agreement(values(repaired), x)
			share = float64(agree) / float64(max(of, 1))
		}
	}
	share *= float64(given) / float64(wanted)
	return m.finish(s, share)
}

func (m *Mark) lineStep() Step {
	s := Step{Group: LineGroup, Of: ofLine, Given: m.Answer.Slope.Given(), Follows: m.lineFollows() || m.dividedByLight()}
	_, explained := m.cost(LineGroup)
	return m.finish(s, share(s.Follows || explained))
}

// found returns the evidence of a check, and whether it found something.
func (m *Mark) found(name string) (Evidence, bool) {
	for _, f := range m.Findings {
		if f.Check.Name == name {
			return f.Evidence, true
		}
	}
	return Evidence{}, false
}

// resultStep gives half of its points for h/e and a quarter for each work
// function. One that a finding explains costs what the finding does.
func (m *Mark) resultStep() Step {
	s := Step{Group: Results, Of: ofResults}
	s.Given = m.Answer.HOverE.Given() || m.Answer.CollectorWorkFunction.Given() || m.Answer.EmitterWorkFunction.Given()
	explained := func(names ...string) bool {
		return slices.ContainsFunc(names, func(name string) bool { _, ok := m.found(name); return ok })
	}
	ofJoules, joules := m.found("joules")
	result := m.resultFollows() || explained("result-power", "near-book-value", "off-own-line") || joules && ofJoules.Unit != "eV"
	collector := m.workFunctionFollows() || explained("intercept-sign", "intercept-of-emitter") || joules && ofJoules.Unit == "eV"
	emitter := m.emitterFollows() || explained("intercept-of-emitter", "contact-sign")
	// A number that is not given is missing, and not wrong.
	s.Follows = s.Given &&
		(m.resultFollows() || !m.Answer.HOverE.Given()) &&
		(m.workFunctionFollows() || !m.Answer.CollectorWorkFunction.Given()) &&
		(m.emitterFollows() || !m.Answer.EmitterWorkFunction.Given())
	return m.finish(s, share(result)/2+share(collector)/4+share(emitter)/4)
}

// halfUpTo is the distance from the truth in stated uncertainties up to which
// one that is too small earns half of the points; beyond it earns none. A
// student who overlooks what a method does to all points alike is some of them
// off, one who guesses may be a hundred.
const halfUpTo = 10

// uncertaintyStep gives all points for an uncertainty that is large enough and
// half for one that is too large, or too small with the truth within halfUpTo
// of it, so that the farther miss never earns more.
func (m *Mark) uncertaintyStep() Step {
	s := Step{Group: Uncertainty, Of: ofUncertainty, Given: m.Answer.U.Value > 0}
	s.Follows = m.Case.Uncertainty() == LargeEnough
	h, _ := m.uncertainOf()
	_, inU := m.deviation(h)
	switch verdict := m.verdict(h); {
	case verdict == LargeEnough:
		return m.finish(s, 1)
	case verdict == TooLarge, verdict == TooSmall && math.Abs(inU) <= halfUpTo:
		return m.finish(s, 0.5)
	}
	return s
}

// uncertainOf returns the h/e in V s by which the points for the uncertainty go:
// the one answered, or, where that is not the slope of the own line, which has
// cost its points already, the slope.
func (m *Mark) uncertainOf() (h float64, carried bool) {
	if m.Line != nil && !(m.resultFollows() && (m.lineFollows() || !m.Answer.Slope.Given() || m.UnitFactor() != 1)) {
		return m.Line.Slope, true
	}
	return m.HOverE(), false
}

// Carried reports whether the stated uncertainty does not hold the answered h/e
// and costs nothing, since it would hold that of the student's own line.
func (m *Mark) Carried() bool {
	h, carried := m.uncertainOf()
	return carried && m.Case.Uncertainty() != LargeEnough && m.verdict(h) == LargeEnough
}

func (m *Mark) faultStep() Step {
	s := Step{Group: FaultFound, Of: ofFault, Given: m.Answer.Fault != ""}
	s.Follows = m.Answer.Fault == m.Truth.Fault
	right := share(s.Follows)
	if m.Truth.FaultSetting != "" && s.Follows && word(m.Answer.FaultSetting) != word(m.Truth.FaultSetting) {
		right, s.Follows = 0.5, false
	}
	return m.finish(s, right)
}

// share is all for what is right and nothing for what is not.
func share(right bool) float64 {
	if right {
		return 1
	}
	return 0
}
