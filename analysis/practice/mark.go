package practice

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"time"

	"stopvolt/instrument/run"
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
	// Submission is 1 or 2 for the one that counts where a student has handed in
	// twice, and 0 otherwise; Other has the points proposed for the one that does not.
	Submission int
	Other      float64
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
		id := identifier(table.Text(row, columns[0]))
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

// A Marking is what is marked, and how.
type Marking struct {
	// Answers are those of the class, and Second those that some handed in once more;
	// of the two the better one counts.
	Answers, Second []Answer
	// Overrides are the instructor's decisions by student.
	Overrides map[string]Override
	// Scheme is used instead of the one in the key; nil for that.
	Scheme *Scheme
	// Deadline says when answers are late.
	Deadline Deadline
	// Logbook returns the readings of a student's own logbook, by which the
	// answers are marked instead of the set's; nil for none.
	Logbook func(student string) (logbook run.Run, ok bool, err error)
}

// A Deadline is the end of the time for an answer.
type Deadline struct {
	// Due is the end; the zero time is none.
	Due time.Time
	// Extra is the time beyond it that some students have, by their ID.
	Extra map[string]time.Duration
}

// late returns how long after the end of the student's time an answer came.
func (d Deadline) late(a Answer) time.Duration {
	if d.Due.IsZero() || a.Time.IsZero() {
		return 0
	}
	return max(a.Time.Sub(d.Due.Add(d.Extra[a.Student.ID])), 0)
}

// MarkClass marks answers by a key. Students in the key without an answer are
// marked as not handed in. The result is in the order of the key. An answer or
// override of a student who is not in the key is an error, and so is an override
// of more points than there are.
func MarkClass(k *KeyReader, what Marking) ([]Mark, error) {
	if what.Scheme != nil {
		k.Public.Scheme = *what.Scheme
	}
	first, second := byID(what.Answers), byID(what.Second)
	referee := newReferee()
	var marks, again []Mark
	for {
		r, err := k.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, err
		}
		if what.Logbook != nil {
			logbook, ok, err := what.Logbook(r.Student.ID)
			if err != nil {
				return nil, err
			}
			if ok {
				r = r.withLogbook(logbook)
			}
		}
		references := referee.references(r)
		mark := func(answers map[string]Answer) Mark {
			a, ok := answers[r.Student.ID]
			if !ok {
				a = noAnswer(r)
			}
			delete(answers, r.Student.ID)
			m := Mark{Case: newCase(k.Public, r, a, references), HandedIn: !a.Empty(), Other: math.NaN()}
			m.late = what.Deadline.late(a)
			if d, ok := what.Overrides[r.Student.ID]; ok {
				m.Override = &d
			}
			return m
		}
		marks, again = append(marks, mark(first)), append(again, mark(second))
	}
	if err := strangers(first, what.Overrides, cases(marks)); err != nil {
		return nil, err
	}
	if err := strangers(second, nil, nil); err != nil {
		err.(*StrangerError).Second = true
		return nil, err
	}
	judge(marks)
	judge(again)
	for i := range marks {
		marks[i] = better(marks[i], again[i])
		m := &marks[i]
		if _, of := m.Proposed(); m.Override != nil && !(m.Override.Points <= of) {
			return nil, &OverrideError{m.Student.ID, m.Override.Line, m.Override.Points, of}
		}
	}
	return marks, nil
}

// byID returns answers by their student.
func byID(answers []Answer) map[string]Answer {
	all := make(map[string]Answer, len(answers))
	for _, a := range answers {
		all[a.Student.ID] = a
	}
	return all
}

// cases returns those of marks.
func cases(marks []Mark) []*Case {
	all := make([]*Case, len(marks))
	for i, m := range marks {
		all[i] = m.Case
	}
	return all
}

// judge finds what there is to be found in each answer, and gives the points.
func judge(marks []Mark) {
	all := cases(marks)
	compareStudents(all)
	for i := range marks {
		m := &marks[i]
		m.others = all
		if m.HandedIn {
			m.Findings = find(m.Case)
		}
		m.Steps = m.steps()
	}
}

// better returns the one of two marks of a student that counts.
func better(first, second Mark) Mark {
	if !second.HandedIn {
		return first
	}
	one, _ := first.Proposed()
	two, _ := second.Proposed()
	if !first.HandedIn || two > one {
		second.Submission, second.Other = 2, one
		return second
	}
	first.Submission, first.Other = 1, two
	return first
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
	a := Answer{Student: r.Student, Slope: nothing, Intercept: nothing, HOverE: nothing, U: nothing, CoverageFactor: nothing,
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
	// Override says that it is a row of decisions, and not of answers, and Second
	// that it is one of the second submission.
	Override, Second bool
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

// steps gives the points. A step that a finding explains costs what the finding
// does, since what comes after it is measured by it and does not pay again.
func (m *Mark) steps() []Step {
	steps := []Step{m.voltageStep(), m.lineStep(), m.resultStep(), m.uncertaintyStep()}
	if m.Faults {
		steps = append(steps, m.faultStep())
	}
	return steps
}

// step returns that of a group, without its outcome.
func (m *Mark) step(g Group, given bool) Step {
	return Step{Group: g, Of: m.Scheme.Points.of(g), Given: given}
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
	s.Points = halves(max(s.Of*share-cost, 0))
	return s
}

func (m *Mark) voltageStep() Step {
	s := m.step(Voltages, slices.ContainsFunc(m.Answer.Stopping, Quantity.Given))
	x, ok := m.compared()
	if !ok {
		x = m.nothing()
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
	agree, of := m.onMethodOrCurve(m.volts(), x)
	s.Follows = of > 0 && agree == of
	right := part(agree, of)
	for _, f := range m.Findings {
		if f.Check.Group != Voltages || !f.Check.Explains {
			continue
		}
		if right = 1; f.Evidence.meant != nil {
			right = part(m.onMethodOrCurve(f.Evidence.meant, x))
		}
	}
	if wanted > 0 {
		right *= float64(given) / float64(wanted)
	}
	return m.finish(s, right)
}

// nothing is a reference without any cutoff, for an answer that no method can be
// compared with.
func (m *Mark) nothing() Reference {
	var x Reference
	for range m.Truth.Settings {
		x.Stopping, x.U = append(x.Stopping, math.NaN()), append(x.U, math.NaN())
	}
	return x
}

// onMethodOrCurve returns how many of the voltages are right, of how many given:
// those that agree with a method, and where it has no cutoff, those that lie where
// the student's own curve has come down.
func (m *Mark) onMethodOrCurve(v []float64, x Reference) (right, of int) {
	right, of = m.agreement(v, x)
	for i := range v {
		if m.counts(i) && !math.IsNaN(v[i]) && math.IsNaN(x.Stopping[i]) {
			of++
			if m.onCurve[i] {
				right++
			}
		}
	}
	return right, of
}

// part returns a share of none, or none of nothing.
func part(n, of int) float64 { return float64(n) / float64(max(of, 1)) }

func (m *Mark) lineStep() Step {
	s := m.step(LineGroup, m.Answer.Slope.Given())
	s.Follows = m.lineFollows() || m.dividedByLight()
	_, explained := m.cost(LineGroup)
	return m.finish(s, share(s.Follows || explained))
}

// excused reports whether a finding accounts for a result.
func (m *Mark) excused(p Part) bool {
	return slices.ContainsFunc(m.Findings, func(f Finding) bool { return slices.Contains(f.Evidence.Excuses, p) })
}

// resultStep gives half of its points for h/e and a quarter for each work
// function. One that a finding excuses costs what the finding does.
func (m *Mark) resultStep() Step {
	h, collector, emitter := m.Answer.HOverE.Given(), m.Answer.CollectorWorkFunction.Given(), m.Answer.EmitterWorkFunction.Given()
	s := m.step(Results, h || collector || emitter)
	right := share(m.resultFollows() || m.excused(HOverEPart))/2 +
		share(m.workFunctionFollows() || m.excused(CollectorPart))/4 +
		share(m.emitterFollows() || m.excused(EmitterPart))/4
	// A number that is not given is missing, and not wrong.
	s.Follows = s.Given && (m.resultFollows() || !h) && (m.workFunctionFollows() || !collector) && (m.emitterFollows() || !emitter)
	return m.finish(s, right)
}

func (m *Mark) uncertaintyStep() Step {
	s := m.step(Uncertainty, m.Answer.U.Value > 0)
	verdict, share := m.judge()
	s.Follows = verdict == Fits
	return m.finish(s, share)
}

func (m *Mark) faultStep() Step {
	s := m.step(FaultFound, m.Answer.Fault != "")
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
