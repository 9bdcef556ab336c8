// Package result tells what the commands found: as JSON, as CSV, and as tables
// for people. Each kind of row has one list of columns, and every form comes from
// it, so that a fact is added, named and scaled in one line.
//
// A list is in the order of JSON and CSV. The columns with a heading are those
// of the tables, in the same order.
package result

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// A Column is one fact about rows of the type R.
type Column[R any] struct {
	// Key names the fact in JSON and CSV, with its unit where it has one.
	Key string
	// Heading stands above the fact in tables; without it the fact is in none.
	// Unit is that of the numbers below it, such as "%".
	Heading, Unit string
	// Value returns the fact: a float64, an int, a bool, a string or a
	// []string. A float64 that is NaN or infinite, and nil, have no value.
	Value func(R) any
	// Text writes the fact for people; without it the value is written.
	Text func(R) string
	// Only lists the forms that the fact is told in, all for none.
	Only []Form
	// Optional facts are left out of JSON where they have no value, instead of
	// being null.
	Optional bool
}

// A Form is a way of telling rows.
type Form int

// The forms. Tables are on the terminal, which is narrow, or on a page.
const (
	JSON Form = iota
	CSV
	Terminal
	Page
)

// Columns are the facts about rows of the type R, in their order.
type Columns[R any] []Column[R]

// in returns the columns that a form has.
func (cs Columns[R]) in(f Form) Columns[R] {
	var there Columns[R]
	for _, c := range cs {
		if (len(c.Only) == 0 || slices.Contains(c.Only, f)) && (f < Terminal || c.Heading != "") {
			there = append(there, c)
		}
	}
	return there
}

// Keys returns the keys of a form.
func (cs Columns[R]) Keys(f Form) []string {
	var keys []string
	for _, c := range cs.in(f) {
		keys = append(keys, c.Key)
	}
	return keys
}

// only keeps columns to some forms.
func (cs Columns[R]) only(forms ...Form) Columns[R] {
	for i := range cs {
		cs[i].Only = forms
	}
	return cs
}

// onPages keeps columns out of the terminal's tables, which have no room for all.
func (cs Columns[R]) onPages() Columns[R] { return cs.only(JSON, CSV, Page) }

// optional leaves columns out of JSON where they have no value.
func (cs Columns[R]) optional() Columns[R] {
	for i := range cs {
		cs[i].Optional = true
	}
	return cs
}

// A scale says how a number is written for people: as a multiple of one unit.
type scale struct {
	name   string
	one    float64
	format string
}

// The scales of relative measures.
var (
	percent       = scale{"%", 0.01, "%.2f"}
	signedPercent = scale{"%", 0.01, "%+.2f"}
	wholePercent  = scale{"%", 0.01, "%.0f"}
)

// write writes a number, a dash for none.
func (s scale) write(x float64) string {
	switch {
	case math.IsNaN(x):
		return missing
	case math.IsInf(x, 1):
		return "no end"
	case s == factorScale && x >= 10:
		return fmt.Sprintf("%.3g", x)
	}
	return fmt.Sprintf(s.format, x/s.one)
}

// missing stands in tables for what has no value.
const missing = "-"

// fact returns a column of any value.
func fact[R any](key, heading string, get func(R) any) Columns[R] {
	return Columns[R]{{Key: key, Heading: heading, Value: get}}
}

// text returns a column of words.
func text[R any](key, heading string, get func(R) string) Columns[R] {
	return fact(key, heading, func(r R) any { return get(r) })
}

// count returns a column of whole numbers.
func count[R any](key, heading string, get func(R) int) Columns[R] {
	return fact(key, heading, func(r R) any { return get(r) })
}

// number returns a column of numbers. Without a heading the scale does not
// matter.
func number[R any](key, heading string, s scale, get func(R) float64) Columns[R] {
	return Columns[R]{{
		Key: key, Heading: heading, Unit: s.name,
		Value: func(r R) any { return get(r) },
		Text:  func(r R) string { return s.write(get(r)) },
	}}
}

// of returns columns for rows of the type R that tell a part of them.
func of[R, P any](cs Columns[P], part func(R) P) Columns[R] {
	var all Columns[R]
	for _, c := range cs {
		lifted := Column[R]{
			Key: c.Key, Heading: c.Heading, Unit: c.Unit, Only: c.Only, Optional: c.Optional,
			Value: func(r R) any { return c.Value(part(r)) },
		}
		if c.Text != nil {
			lifted.Text = func(r R) string { return c.Text(part(r)) }
		}
		all = append(all, lifted)
	}
	return all
}

// hasValue reports whether a value is one.
func hasValue(value any) bool {
	switch v := value.(type) {
	case nil:
		return false
	case float64:
		return !math.IsNaN(v) && !math.IsInf(v, 0)
	case string:
		return v != ""
	}
	return true
}

// shown writes a row's fact for people.
func (c Column[R]) shown(row R) string {
	if c.Text != nil {
		return c.Text(row)
	}
	switch v := c.Value(row).(type) {
	case nil:
		return missing
	case []string:
		return strings.Join(v, ", ")
	default:
		return fmt.Sprint(v)
	}
}

// title is the heading with its unit, as in "bias / %".
func (c Column[R]) title() string {
	if c.Unit == "" {
		return c.Heading
	}
	return c.Heading + " / " + c.Unit
}

// isText reports whether a column has words, which start at its left edge.
func (c Column[R]) isText(rows []R) bool {
	for _, row := range rows {
		switch c.Value(row).(type) {
		case string, []string:
			return true
		}
	}
	return false
}
