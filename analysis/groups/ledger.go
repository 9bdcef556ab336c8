package groups

import (
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"stopvolt/instrument/run"
)

// A Line is an Entry with what a person adds to it.
type Line struct {
	Entry
	// LampHours and Humidity (per cent) are what the person noted; NaN for
	// nothing.
	LampHours, Humidity float64
	// Note is free text on one line.
	Note string
}

// The columns of a ledger that are always there, and the name of those of the
// sensitivities.
var ledgerColumns = []string{"date", "bench", "plateau_ratio", "leakage_S", "cutoff_shift_V", "lamp_hours", "humidity_percent", "repair", "note"}

const (
	sensitivityPrefix, sensitivitySuffix = "current_", "nm_A"
	dateForm                             = "2006-01-02"
)

// WriteLedger writes lines as CSV (RFC 4180), a line a run, with one column of
// sensitivities for each wavelength that any of them has. A person can read it and
// add to it with any program that knows tables, and no cell is a formula there.
func WriteLedger(w io.Writer, lines []Line) error {
	waves := make(map[float64]bool)
	for _, l := range lines {
		for nm := range l.Sensitivity {
			waves[nm] = true
		}
	}
	order := slices.Sorted(maps.Keys(waves))
	header := slices.Clone(ledgerColumns[:2])
	for _, nm := range order {
		header = append(header, sensitivityColumn(nm))
	}
	out := run.NewTable(w, ',')
	if err := out.Write(append(header, ledgerColumns[2:]...)); err != nil {
		return err
	}
	for _, l := range lines {
		row := []string{l.Date.Format(dateForm), l.Bench}
		for _, nm := range order {
			row = append(row, number(cmp.Or(l.Sensitivity[nm], math.NaN())))
		}
		repair := ""
		if l.Repair {
			repair = "yes"
		}
		row = append(row, number(l.PlateauRatio), number(l.Leakage), number(l.Shift), number(l.LampHours), number(l.Humidity), repair, l.Note)
		if err := out.Write(row); err != nil {
			return err
		}
	}
	return out.Flush()
}

// sensitivityColumn returns the name of the column of a wavelength in nm.
func sensitivityColumn(nm float64) string {
	return sensitivityPrefix + strconv.FormatFloat(nm, 'f', -1, 64) + sensitivitySuffix
}

// number writes a number to four figures, and nothing for none.
func number(x float64) string {
	if math.IsNaN(x) {
		return ""
	}
	return strconv.FormatFloat(x, 'g', 4, 64)
}

// mostLines keeps a wrong file from being read for long: a run a day for a
// century.
const mostLines = 40_000

// ReadLedger reads what WriteLedger wrote, columns in any order; empty cells and
// missing columns are values that are not known. The name stands in errors, which
// say the line and the column.
func ReadLedger(r io.Reader, name string) ([]Line, error) {
	in := csv.NewReader(r)
	header, err := in.Read()
	if errors.Is(err, io.EOF) {
		return nil, fmt.Errorf("%s:1:1: the file is empty; its first line names the columns %s", name, strings.Join(ledgerColumns, ","))
	}
	if err != nil {
		return nil, malformed(name, err)
	}
	header[0] = strings.TrimPrefix(header[0], "\ufeff")
	columns, err := ledgerHeader(header, name)
	if err != nil {
		return nil, err
	}
	var lines []Line
	for {
		row, err := in.Read()
		if errors.Is(err, io.EOF) {
			return lines, nil
		}
		if err != nil {
			return nil, malformed(name, err)
		}
		if len(lines) == mostLines {
			return nil, fmt.Errorf("%s: more than %d lines; a bench has one a run", name, mostLines)
		}
		l := Line{Entry: Entry{Sensitivity: make(map[float64]float64), PlateauRatio: math.NaN(), Leakage: math.NaN(), Shift: math.NaN()},
			LampHours: math.NaN(), Humidity: math.NaN()}
		for i, c := range columns {
			if problem := c.set(&l, run.Original(strings.TrimSpace(row[i]))); problem != "" {
				line, column := in.FieldPos(i)
				return nil, fmt.Errorf("%s:%d:%d: %s is %q; %s", name, line, column, c.name, row[i], problem)
			}
		}
		lines = append(lines, l)
	}
}

// malformed turns an error of the table's form into words of our own.
func malformed(name string, err error) error {
	var p *csv.ParseError
	if !errors.As(err, &p) {
		return fmt.Errorf("%s: %w", name, err)
	}
	problem := "a quote is out of place; put cells with quotes or commas in quotes"
	if errors.Is(p.Err, csv.ErrFieldCount) {
		problem = "the row has another number of cells than the first line names columns"
	}
	return fmt.Errorf("%s:%d:%d: %s", name, p.Line, p.Column, problem)
}

// A ledgerColumn sets one value of a line from a cell, and says what would be
// right where it cannot.
type ledgerColumn struct {
	name string
	set  func(l *Line, cell string) (problem string)
}

// ledgerHeader finds the columns.
func ledgerHeader(header []string, name string) ([]ledgerColumn, error) {
	var columns []ledgerColumn
	seen := make(map[string]bool)
	for i, h := range header {
		h = strings.TrimSpace(h)
		c, ok := ledgerColumnNamed(h)
		if !ok {
			return nil, fmt.Errorf("%s:1: column %d is %q; the columns are %s and %sNNN%s for a wavelength in nm",
				name, i+1, h, strings.Join(ledgerColumns, ", "), sensitivityPrefix, sensitivitySuffix)
		}
		if seen[c.name] {
			return nil, fmt.Errorf("%s:1: column %d is a second %s; each may stand once", name, i+1, c.name)
		}
		seen[c.name] = true
		columns = append(columns, c)
	}
	for _, needed := range ledgerColumns[:2] {
		if !seen[needed] {
			return nil, fmt.Errorf("%s:1: there is no column %s; it is needed", name, needed)
		}
	}
	return columns, nil
}

// ledgerColumnNamed returns the column of a heading.
func ledgerColumnNamed(heading string) (ledgerColumn, bool) {
	value := func(target func(l *Line) *float64, least float64) ledgerColumn {
		return ledgerColumn{heading, func(l *Line, cell string) string { return readNumber(target(l), cell, least) }}
	}
	switch heading {
	case "date":
		return ledgerColumn{heading, func(l *Line, cell string) string {
			day, err := time.Parse(dateForm, cell)
			if err != nil {
				return "a day is written 2026-03-31"
			}
			l.Date = day
			return ""
		}}, true
	case "bench":
		return ledgerColumn{heading, func(l *Line, cell string) string {
			if l.Bench = cell; cell == "" {
				return "each line names its bench"
			}
			return ""
		}}, true
	case "plateau_ratio":
		return value(func(l *Line) *float64 { return &l.PlateauRatio }, math.Inf(-1)), true
	case "leakage_S":
		return value(func(l *Line) *float64 { return &l.Leakage }, math.Inf(-1)), true
	case "cutoff_shift_V":
		return value(func(l *Line) *float64 { return &l.Shift }, math.Inf(-1)), true
	case "lamp_hours":
		return value(func(l *Line) *float64 { return &l.LampHours }, 0), true
	case "humidity_percent":
		return value(func(l *Line) *float64 { return &l.Humidity }, 0), true
	case "repair":
		return ledgerColumn{heading, func(l *Line, cell string) string {
			switch strings.ToLower(cell) {
			case "", "no":
			case "yes":
				l.Repair = true
			default:
				return "write yes where something was repaired or exchanged before the run, and nothing else"
			}
			return ""
		}}, true
	case "note":
		return ledgerColumn{heading, func(l *Line, cell string) string { l.Note = cell; return "" }}, true
	}
	inner, ok := strings.CutPrefix(heading, sensitivityPrefix)
	if !ok {
		return ledgerColumn{}, false
	}
	digits, ok := strings.CutSuffix(inner, sensitivitySuffix)
	nm, err := strconv.ParseFloat(digits, 64)
	if !ok || err != nil || !(nm > 0 && nm < 1e5) {
		return ledgerColumn{}, false
	}
	return ledgerColumn{sensitivityColumn(nm), func(l *Line, cell string) string {
		var a float64
		problem := readNumber(&a, cell, 0)
		if problem == "" && cell != "" {
			l.Sensitivity[nm] = a
		}
		return problem
	}}, true
}

// readNumber reads a finite number from a cell that may be empty.
func readNumber(into *float64, cell string, least float64) string {
	if cell == "" {
		return ""
	}
	x, err := strconv.ParseFloat(cell, 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return "a number with a decimal point is needed, or nothing"
	}
	if x < least {
		return fmt.Sprintf("a number from %g on is needed, or nothing", least)
	}
	*into = x
	return ""
}
