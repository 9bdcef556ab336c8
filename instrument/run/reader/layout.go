package reader

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"stopvolt/instrument/run"
)

// A layout is a table with its headings understood.
type layout struct {
	*table
	columns []heading
	above   [][]cell // rows above the headings
	body    [][]cell
	beyond  int // readings out of the meter's range
	// leftOut are the lines of the readings that lack a value.
	leftOut []int32
}

// findLayout finds the headings of a table. A table without any has columns
// without roles.
func (t *table) findLayout() (layout, error) {
	const deep = 100
	l := layout{table: t}
	if len(t.rows) == 0 {
		return l, &Error{File: t.file, Text: "has no rows; a table of voltage and current is needed"}
	}
	width, first := t.shape()
	if first < 0 {
		return l, t.at(t.rows[0][0], "no row below has two numbers; a table of voltage and current is needed")
	}
	headRow, most := -1, 0
	var wrong error
	for i := 0; i < len(t.rows) && i < deep && i <= first+1; i++ {
		if i > first && (headRow >= 0 || numbersIn(t.rows[i], t.decimal) > 0) {
			break // a row of numbers above the headings can only be wavelengths
		}
		columns, err := t.headings(t.row(i, width))
		if err != nil {
			wrong = err
			continue
		}
		if headRow == i-1 && headRow >= 0 && onlyUnits(t.rows[i]) {
			continue
		}
		if n := understood(columns); hasRole(columns, voltages) && len(t.rows[i]) > 1 && n >= most {
			headRow, most, l.columns = i, n, columns
		}
	}
	switch {
	case headRow >= 0:
	case wrong != nil:
		return l, wrong
	default:
		return t.withoutHeadings(width, first)
	}
	l.above, l.body = t.rows[:headRow], t.rows[headRow+1:]
	return l, l.takeUnits()
}

// shape returns the number of columns that most rows of numbers have, and the
// index of the first such row, -1 for none.
func (t *table) shape() (width, first int) {
	const enough = 300
	counts := make(map[int]int)
	first = -1
	seen := 0
	for i, row := range t.rows {
		if numbersIn(row, t.decimal) < 2 {
			continue
		}
		if first < 0 {
			first = i
		}
		counts[filledWidth(row)]++
		if seen++; seen == enough {
			break
		}
	}
	for w, n := range counts {
		if n > counts[width] || n == counts[width] && w > width {
			width = w
		}
	}
	return width, first
}

// numbersIn counts the numbers in a row.
func numbersIn(row []cell, decimal rune) int {
	n := 0
	for _, c := range row {
		if _, err := parseNumber(c.text, decimal); err == nil {
			n++
		}
	}
	return n
}

// filledWidth is the number of cells up to the last with text.
func filledWidth(row []cell) int {
	n := len(row)
	for n > 0 && row[n-1].text == "" {
		n--
	}
	return n
}

// row returns row i as headings over width columns: where cells are set apart
// by blanks, words are joined that the writer meant as one heading.
func (t *table) row(i, width int) []cell {
	if t.delimiter != ' ' || len(t.rows[i]) == width {
		return t.rows[i]
	}
	for _, together := range []func(a, b cell) bool{
		func(a, b cell) bool { return int(b.column) == int(a.column)+len(a.text)+1 },
		func(a, b cell) bool { return strings.ContainsAny(b.text[:1], "[({") },
		func(a, b cell) bool {
			return strings.ContainsAny(b.text[:1], "[({/") || a.text[len(a.text)-1] == '/'
		},
	} {
		if row := glue(t.rows[i], together); len(row) == width {
			return row
		}
	}
	return t.rows[i]
}

// glue joins neighbouring cells that belong together.
func glue(row []cell, together func(a, b cell) bool) []cell {
	var out []cell
	for i, c := range row {
		if i > 0 && together(row[i-1], c) {
			out[len(out)-1].text += " " + c.text
			continue
		}
		out = append(out, c)
	}
	return out
}

// headings reads a row as headings.
func (t *table) headings(row []cell) ([]heading, error) {
	columns := make([]heading, len(row))
	before := ignored
	for i, c := range row {
		if c.text == "" {
			columns[i] = heading{cell: c}
			continue
		}
		h, err := t.readHeading(c, before)
		if err != nil {
			return nil, err
		}
		columns[i], before = h, h.role
	}
	return columns, nil
}

// understood counts the headings that say what their column is for.
func understood(columns []heading) int {
	n := 0
	for _, h := range columns {
		if h.role != ignored {
			n++
		}
	}
	return n
}

func hasRole(columns []heading, r role) bool {
	return slices.ContainsFunc(columns, func(h heading) bool { return h.role == r })
}

// withoutHeadings lays out a table whose columns nothing names: two columns
// are voltage and current; more have to be chosen by the user.
func (t *table) withoutHeadings(width, first int) (layout, error) {
	l := layout{table: t, columns: make([]heading, width)}
	// Text alone in a row is a title; a row with a number is data with a slip.
	start := first
	for start > 0 && numbersIn(t.rows[start-1], t.decimal) > 0 {
		start--
	}
	for i := range l.columns {
		l.columns[i].cell = cell{"", t.rows[first][0].line, 0}
	}
	if start > 0 && len(t.rows[start-1]) == width {
		for i, c := range t.rows[start-1] {
			l.columns[i].cell = c
		}
	}
	if columns := t.remarkedHeadings(width, t.rows[first][0].line); columns != nil {
		l.columns = columns
	}
	l.above, l.body = t.rows[:start], t.rows[start:]
	return l, nil
}

// remarkedHeadings looks for headings in the lines of comment above the first
// row of numbers, where programs that write plain arrays put them.
func (t *table) remarkedHeadings(width int, before int32) []heading {
	for i := len(t.remarks) - 1; i >= 0; i-- {
		r := t.remarks[i]
		if r.line >= before {
			continue
		}
		f := t.format
		rows, err := f.cut([]byte(r.text), mostColumns, 1)
		if err != nil || len(rows) == 0 {
			continue
		}
		one := &table{file: t.file, format: f, rows: rows}
		columns, err := one.headings(one.row(0, width))
		if err == nil && len(columns) == width && hasRole(columns, voltages) {
			for j := range columns {
				columns[j].line = r.line
			}
			return columns
		}
	}
	return nil
}

// onlyUnits says whether every cell with text is a unit.
func onlyUnits(row []cell) bool {
	return !slices.ContainsFunc(row, func(c cell) bool {
		_, ok := cellUnit(c)
		return c.text != "" && !ok
	})
}

// cellUnit reads a cell as a unit, in brackets or without.
func cellUnit(c cell) (unit, bool) { return parseUnit(strings.Trim(c.text, "[](){}<>/ ")) }

// takeUnits reads a row of units below the headings, if there is one.
func (l *layout) takeUnits() error {
	if len(l.body) == 0 {
		return nil
	}
	found := make([]unit, len(l.columns))
	some := false
	for i, c := range l.body[0] {
		if c.text == "" {
			continue
		}
		u, ok := cellUnit(c)
		if !ok || i >= len(l.columns) {
			return nil
		}
		found[i], some = u, true
	}
	if !some {
		return nil
	}
	for i, u := range found {
		h := &l.columns[i]
		if u.symbol == "" || h.unit.symbol != "" {
			continue
		}
		h.unit = u
		if h.role == ignored {
			h.role = roleOf[u.quantity]
		}
		if err := l.fitUnit(h); err != nil {
			return l.at(l.body[0][i], "the unit %s does not suit %s", shown(u.symbol), shown(h.text))
		}
	}
	l.body = l.body[1:]
	return nil
}

// find returns the index of the column that the user names by its heading, a
// number from 1 or, in a workbook, letters.
func (l layout) find(name, option string) (int, error) {
	for i, h := range l.columns {
		if h.text != "" && strings.EqualFold(h.text, strings.TrimSpace(name)) {
			return i, nil
		}
	}
	if n, err := strconv.Atoi(name); err == nil && n >= 1 && n <= len(l.columns) {
		return n - 1, nil
	}
	if n := lettersToColumn(name); l.sheet != "" && n >= 1 && n <= len(l.columns) {
		return n - 1, nil
	}
	return 0, &Error{File: l.file, Text: fmt.Sprintf("has no column %s as --%s asks; there are %s", shown(name), option, l.names())}
}

// lettersToColumn turns the letters above a column of a workbook into its
// number, 0 where it has no such letters.
func lettersToColumn(s string) int {
	n := 0
	for _, r := range strings.ToUpper(s) {
		if r < 'A' || r > 'Z' || n > mostColumns {
			return 0
		}
		n = 26*n + int(r-'A') + 1
	}
	return n
}

// names lists the headings for a message.
func (l layout) names() string {
	const most = 8
	var list []string
	for i, h := range l.columns {
		if i == most {
			return strings.Join(list, ", ") + fmt.Sprintf(" and %d more", len(l.columns)-most)
		}
		if h.text == "" {
			list = append(list, strconv.Itoa(i+1))
			continue
		}
		list = append(list, shown(h.text))
	}
	return strings.Join(list, ", ")
}

// assign gives the one column that the user asks for its role, and takes the
// role from the others.
func (l *layout) assign(name, option string, r role) error {
	if name == "" {
		return nil
	}
	at, err := l.find(name, option)
	if err != nil {
		return err
	}
	for i := range l.columns {
		if l.columns[i].role == r {
			l.columns[i].role = ignored
		}
	}
	h := &l.columns[at]
	h.role = r
	if q, ok := quantityOf[r]; ok && h.unit.symbol != "" {
		if h.unit, ok = h.unit.as(q); !ok {
			return l.at(h.cell, "%s has a unit of another quantity than %v", shown(h.text), q)
		}
	}
	return nil
}

// with returns the indices of the columns of a role.
func (l layout) with(r role) []int {
	var out []int
	for i, h := range l.columns {
		if h.role == r {
			out = append(out, i)
		}
	}
	return out
}

// one returns the index of the only column of a role, -1 for none, and an
// error for several.
func (l layout) one(r role, option string) (int, error) {
	found := l.with(r)
	switch len(found) {
	case 0:
		return -1, nil
	case 1:
		return found[0], nil
	}
	hint := "leave one of them out"
	if option != "" {
		hint = "choose one with --" + option
	}
	a, b := l.columns[found[0]], l.columns[found[1]]
	return -1, l.at(b.cell, "both %s and %s could be meant; %s", shown(a.text), shown(b.text), hint)
}

// uncertainty reads a standard uncertainty, absolute or in per cent of value;
// an empty cell gives 0, which says that it is not known.
func (l layout) uncertainty(row []cell, column int, q quantity, value float64) (float64, error) {
	if column < 0 || missing(cellAt(row, column).text) {
		return 0, nil
	}
	h := l.columns[column]
	u, err := l.number(row, column, q, h.unit)
	switch {
	case err != nil:
		return 0, err
	case u < 0:
		return 0, l.at(row[column], "an uncertainty of %s is impossible; one above 0 is needed, or an empty cell", row[column].text)
	case h.percent:
		u *= math.Abs(value) / 100
	}
	if most, ok := reach[q]; math.IsInf(u, 0) || ok && u > most {
		return 0, l.at(row[column], "%s is out of reach of any uncertainty; look to the unit", shown(row[column].text))
	}
	return u, nil
}

// reach is the largest magnitude of a quantity in its plain unit; wavelengths
// and frequencies have limits of their own.
var reach = map[quantity]float64{voltage: run.Largest, current: run.Largest, duration: run.LongestTime}

// number reads a cell as a number of the quantity; a row may be too short.
func (l layout) number(row []cell, column int, q quantity, u unit) (float64, error) {
	c := cellAt(row, column)
	symbol := u.symbol
	if symbol == "" {
		symbol = plainUnits[q]
	}
	if c.text == "" {
		return 0, l.at(c, "the %v is missing; a number in %s is needed", q, symbol)
	}
	x, err := parseScaled(c.text, l.decimal, u.power)
	if err != nil {
		advice := ""
		if err == errDate {
			advice = ": format the cells as numbers and type them again"
		}
		return 0, l.at(c, "%s %v; a %v in %s is needed%s", shown(c.text), err, q, symbol, advice)
	}
	if most, ok := reach[q]; ok && math.Abs(x) > most {
		return 0, l.at(c, "%s is out of reach of any %v in %s; look to the unit", shown(c.text), q, symbol)
	}
	return x, nil
}

// cellAt returns the cell in a column, an empty one in its place where the row
// is too short.
func cellAt(row []cell, column int) cell {
	if column < len(row) {
		return row[column]
	}
	last := row[len(row)-1]
	return cell{line: last.line}
}

// empty says whether a row has no text in the given columns.
func empty(row []cell, columns ...int) bool {
	for _, i := range columns {
		if i >= 0 && i < len(row) && row[i].text != "" {
			return false
		}
	}
	return true
}

// checkWidth returns an error for a row with cells beyond the headings, where a
// number may have been cut in two or lack its heading. Words there are a note
// at the side, unless the delimiter can stand in a number or between words.
func (l layout) checkWidth(row []cell) error {
	if filledWidth(row) <= len(l.columns) {
		return nil
	}
	strict := l.delimiter == ',' || l.delimiter == ' '
	for _, c := range row[len(l.columns):] {
		if _, err := parseNumber(c.text, l.decimal); c.text == "" || !strict && err != nil {
			continue
		}
		advice := "head every column of numbers"
		if l.delimiter == ',' {
			advice = "a decimal comma needs another delimiter than a comma"
		}
		return l.at(c, "the row has %d cells where the headings have %d; %s", filledWidth(row), len(l.columns), advice)
	}
	return nil
}
