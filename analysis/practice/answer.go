package practice

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"golang.org/x/text/unicode/norm"

	"stopvolt/instrument/run"
	"stopvolt/instrument/run/reader"
)

// A Quantity is a number as somebody wrote it down.
type Quantity struct {
	// Value is NaN where nothing was written, and Half is half a unit of its
	// last digit.
	Value, Half float64
}

// Given reports whether there is a number.
func (q Quantity) Given() bool { return !math.IsNaN(q.Value) }

// An Answer is what one student made of a sheet.
type Answer struct {
	// Line is that of the row in its table, from 1.
	Line    int
	Student Student
	// Method is the name of the way in which the cutoffs were read.
	Method string
	// Stopping are the stopping voltages in V in the order of the settings.
	Stopping []Quantity
	// LeftOut says which settings are no part of the line by the student's
	// own word.
	LeftOut []bool
	// Slope in V s and Intercept in V are those of the line; HOverE and U its
	// standard uncertainty are in V s. The work functions are in eV.
	Slope, Intercept, HOverE, U Quantity
	// CoverageFactor is the factor of an expanded uncertainty; nothing was written
	// where U is a standard one.
	CoverageFactor Quantity
	// Time is when the answer was handed in, on the clock of the place; the zero time
	// where the table does not say.
	Time                                       time.Time
	CollectorWorkFunction, EmitterWorkFunction Quantity
	// Fault and FaultSetting say what is wrong with the bench, in sets where
	// something is.
	Fault, FaultSetting string
	// Unreadable are the cells that should hold a number and do not; the number
	// is taken as not given.
	Unreadable []Unreadable
}

// An Unreadable is a cell of an answer whose text is no number.
type Unreadable struct {
	Column, Text string
	// Message names the file and the place as well.
	Message string
}

// Empty reports whether nothing was handed in.
func (a Answer) Empty() bool {
	for _, q := range append(slices.Clone(a.Stopping), a.Slope, a.Intercept, a.HOverE, a.U, a.CollectorWorkFunction, a.EmitterWorkFunction) {
		if q.Given() {
			return false
		}
	}
	return a.Method == "" && a.Fault == "" && len(a.Unreadable) == 0
}

// The columns of a table of answers beside student_id, name, those of the
// stopping voltages and those of the results.
const (
	methodColumn       = "method"
	leftOutColumn      = "left_out"
	faultColumn        = "fault"
	faultSettingColumn = "fault_setting"
	timeColumn         = "handed_in"
)

// stoppingColumn is the column of a setting's stopping voltage.
func stoppingColumn(setting string) string { return "stopping_" + setting + "_V" }

// resultColumns are the columns of single numbers with their place in an
// answer.
func resultColumns(a *Answer) []struct {
	name  string
	value *Quantity
} {
	return []struct {
		name  string
		value *Quantity
	}{
		{"slope_Vs", &a.Slope}, {"intercept_V", &a.Intercept},
		{"h_over_e_Vs", &a.HOverE}, {"u_h_over_e_Vs", &a.U}, {"coverage_factor", &a.CoverageFactor},
		{"collector_work_function_eV", &a.CollectorWorkFunction},
		{"emitter_work_function_eV", &a.EmitterWorkFunction},
	}
}

// answerColumns are the names of the columns of a table of answers.
func answerColumns(settings []string, faults bool) []string {
	columns := []string{idColumn, nameColumn, methodColumn}
	for _, s := range settings {
		columns = append(columns, stoppingColumn(s))
	}
	columns = append(columns, leftOutColumn)
	for _, c := range resultColumns(new(Answer)) {
		columns = append(columns, c.name)
	}
	if faults {
		columns = append(columns, faultColumn, faultSettingColumn)
	}
	return columns
}

// AnswerWriter writes the empty table that is to be filled in, row by row.
type AnswerWriter struct {
	rows  *run.Table
	width int
}

// NewAnswerWriter writes the names of the columns of a set.
func NewAnswerWriter(w io.Writer, p Public) (*AnswerWriter, error) {
	columns := answerColumns(p.Settings, p.Faults)
	a := &AnswerWriter{rows: p.Presentation.NewTable(w), width: len(columns)}
	return a, a.rows.Write(columns)
}

// Write adds a student's empty row.
func (a *AnswerWriter) Write(s Student) error {
	row := make([]string, a.width)
	row[0], row[1] = s.ID, s.Name
	return a.rows.Write(row)
}

// Flush hands everything written so far to the writer beneath.
func (a *AnswerWriter) Flush() error { return a.rows.Flush() }

// ReadAnswers reads a table of answers to a set with some settings. Columns that
// the table lacks are taken as empty, but for student_id, and so are cells that hold no number where
// one should be, which the answer lists. Faults are of type
// *reader.Error.
func ReadAnswers(s reader.Source, o reader.Options, settings []string) ([]Answer, error) {
	table, places, err := readColumns(s, o, idColumn)
	if err != nil {
		return nil, err
	}
	id := places[0]
	if err := known(s.Name, table.Columns(), append(answerColumns(settings, true), timeColumn)); err != nil {
		return nil, err
	}
	var answers []Answer
	lines := make(map[string]int)
	for row := range table.Len() {
		a := Answer{Line: table.Line(row), Student: Student{ID: identifier(table.Text(row, id))}}
		if line, ok := lines[a.Student.ID]; ok {
			return nil, table.Errorf(row, id, "student_id %q has answers in line %d already; one row for each student is needed", a.Student.ID, line)
		}
		lines[a.Student.ID] = a.Line
		a.fill(table, row, settings)
		answers = append(answers, a)
	}
	return answers, nil
}

// known returns an error for a column that is none of answers, or stands twice.
func known(file string, columns, names []string) error {
	seen := make(map[string]bool)
	for _, c := range columns {
		if folded := strings.ToLower(c); c != "" && seen[folded] {
			return &reader.Error{File: file, Line: 1, Text: fmt.Sprintf("column %s stands twice; one of each is needed", c)}
		}
		seen[strings.ToLower(c)] = true
		if c != "" && !slices.ContainsFunc(names, func(n string) bool { return strings.EqualFold(n, c) }) {
			return &reader.Error{File: file, Line: 1, Text: fmt.Sprintf("column %s belongs to no answer of this set; its columns are %s", c, strings.Join(names, ", "))}
		}
	}
	return nil
}

// fill reads a row. What is no number is put down, since one student's slip
// must not stop the marking of a class.
func (a *Answer) fill(table *reader.Records, row int, settings []string) {
	text := func(name string) string {
		if i, err := table.Column(name); err == nil {
			return table.Text(row, i)
		}
		return ""
	}
	unreadable := func(name string, column int) {
		cell := table.Text(row, column)
		at := table.Errorf(row, column, "%s of student %q is %.40q, which is no number of a measurement; it counts as empty", name, a.Student.ID, cell)
		a.Unreadable = append(a.Unreadable, Unreadable{name, cell, at.Error()})
	}
	number := func(name string) Quantity {
		nothing := Quantity{math.NaN(), math.NaN()}
		i, err := table.Column(name)
		if err != nil {
			return nothing
		}
		value, half, err := table.Number(row, i)
		if !math.IsNaN(value) && math.Abs(value) > mostNumber {
			err = errors.New("a number that no measurement gives")
		}
		if err != nil {
			unreadable(name, i)
			return nothing
		}
		return Quantity{value, half}
	}
	a.Student.Name = text(nameColumn)
	a.Method = word(text(methodColumn))
	a.Fault, a.FaultSetting = word(text(faultColumn)), strings.TrimSpace(text(faultSettingColumn))
	for _, s := range settings {
		a.Stopping = append(a.Stopping, number(stoppingColumn(s)))
		a.LeftOut = append(a.LeftOut, names(text(leftOutColumn), s))
	}
	for _, c := range resultColumns(a) {
		*c.value = number(c.name)
	}
	if k := &a.CoverageFactor; k.Given() && !(k.Value >= 1 && k.Value <= mostCoverage) {
		column, _ := table.Column("coverage_factor")
		unreadable("coverage_factor", column)
		*k = Quantity{math.NaN(), math.NaN()}
	}
	if when := text(timeColumn); when != "" {
		var err error
		if a.Time, err = ParseTime(when); err != nil {
			column, _ := table.Column(timeColumn)
			unreadable(timeColumn, column)
		}
	}
}

// mostNumber is beyond what anybody's units make of a number of this experiment, and
// mostCoverage beyond the coverage factor of any interval from three points or more
// that is in use.
const (
	mostNumber   = 1e20
	mostCoverage = 20
)

// ParseTime reads a time of the place's clock, such as 2026-11-25 11:58.
func ParseTime(text string) (time.Time, error) {
	for _, layout := range []string{"2006-01-02 15:04", "2006-01-02T15:04", "2006-01-02 15:04:05", "2006-01-02T15:04:05"} {
		if t, err := time.Parse(layout, text); err == nil {
			return t, nil
		}
	}
	return time.Time{}, fmt.Errorf("%q is no time; 2026-11-25 11:58 would be one", text)
}

// identifier returns the text of a student's identity in normal form (NFC, Unicode
// Standard Annex 15), so that letters which look alike are alike.
func identifier(text string) string { return norm.NFC.String(text) }

// word returns a name as the program writes it.
func word(text string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return r == ' ' || r == '_' || r == '-' }), "-")
}

// names reports whether a list in free form names a setting.
func names(list, setting string) bool {
	if strings.EqualFold(strings.TrimSpace(list), setting) {
		return true
	}
	return slices.ContainsFunc(strings.FieldsFunc(list, func(r rune) bool { return strings.ContainsRune(",;/+ ", r) }),
		func(s string) bool { return strings.EqualFold(s, setting) })
}
