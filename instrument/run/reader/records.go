package reader

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"strings"
)

// Records are the rows of a table whose first row names the columns, such as a
// list of people: text and numbers that are no readings.
type Records struct {
	table
	names []cell
}

// ReadRecords reads a table in any encoding that Read takes. Where the options
// leave it open, cells are set apart by whatever stands most often in the row
// of names: a comma, a semicolon or a tab.
//
// Faults in the input are of type *Error.
func ReadRecords(s Source, o Options) (*Records, error) {
	text, err := readBounded(s.Reader, s.Name, largestFile)
	if err != nil {
		return nil, err
	}
	if text, err = decode(text, s.Name); err != nil {
		return nil, err
	}
	r := &Records{table: table{file: s.Name, format: format{o.Delimiter, o.Decimal}}}
	if r.delimiter == 0 {
		r.delimiter = mostFrequent(text, ',', ';', '\t')
	}
	r.rows, err = r.cut(text, mostCells, -1)
	var bad *csv.ParseError
	switch {
	case errors.As(err, &bad):
		return nil, &Error{File: s.Name, Line: bad.Line, Column: bad.Column, Text: misquoted}
	case err != nil:
		return nil, &Error{File: s.Name, Text: err.Error()}
	case len(r.rows) == 0:
		return nil, &Error{File: s.Name, Text: "is empty; a table with the names of its columns in the first row is needed"}
	}
	r.names, r.rows = r.rows[0], r.rows[1:]
	for _, row := range r.rows {
		for _, c := range row[min(len(r.names), len(row)):] {
			if strings.TrimSpace(c.text) != "" {
				return nil, r.at(c, "the row goes on beyond the columns that the first row names; quote a cell that holds a %s", markNamed(r.delimiter))
			}
		}
	}
	return r, nil
}

// markNamed returns the name of what sets cells apart.
func markNamed(mark rune) string {
	switch mark {
	case ',':
		return "comma"
	case ';':
		return "semicolon"
	case '\t':
		return "tab"
	}
	return string(mark)
}

// mostFrequent returns the mark that stands most often in the first line with
// any text, the first of them if none does.
func mostFrequent(text []byte, marks ...rune) rune {
	line, _, _ := bytes.Cut(bytes.TrimLeft(text, "\n\r "), []byte{'\n'})
	best, most := marks[0], 0
	for _, m := range marks {
		if n := strings.Count(string(line), string(m)); n > most {
			best, most = m, n
		}
	}
	return best
}

// Len returns the number of rows below the names.
func (r *Records) Len() int { return len(r.rows) }

// Columns returns the names of the columns.
func (r *Records) Columns() []string {
	names := make([]string, len(r.names))
	for i, c := range r.names {
		names[i] = c.text
	}
	return names
}

// Column returns the place of a column, or an error that says which columns
// there are, or that there are two of that name.
func (r *Records) Column(name string) (int, error) {
	place := -1
	for i, c := range r.names {
		switch {
		case !strings.EqualFold(strings.TrimSpace(c.text), name):
		case place >= 0:
			return 0, r.at(c, "there is a second column %s; each stands once", name)
		default:
			place = i
		}
	}
	if place >= 0 {
		return place, nil
	}
	return 0, r.at(r.names[0], "there is no column %s; the first row has %s", name, strings.Join(r.Columns(), ", "))
}

// Text returns a cell without the blanks around it; cells beyond the end of a
// row are empty.
func (r *Records) Text(row, column int) string {
	return strings.TrimSpace(cellAt(r.rows[row], column).text)
}

// Line returns the line in the file of a row.
func (r *Records) Line(row int) int { return int(r.rows[row][0].line) }

// Number returns the number in a cell and half a unit of its last digit; both
// are NaN for an empty cell. A point and a comma both mark decimals unless the
// options say which does.
func (r *Records) Number(row, column int) (value, half float64, err error) {
	text := r.Text(row, column)
	if text == "" {
		return math.NaN(), math.NaN(), nil
	}
	marks := []rune{'.', ','}
	if r.decimal != 0 {
		marks = []rune{r.decimal}
	}
	for _, mark := range marks {
		if value, err = parseNumber(text, mark); err == nil {
			return value, halfDigit(text, mark, value), nil
		}
	}
	return 0, 0, r.Errorf(row, column, "%s %w; a number such as 1.23 or 4.1e-15 is needed, or an empty cell", shown(text), err)
}

// halfDigit returns half a unit of the last digit of a number as it is written.
func halfDigit(text string, decimal rune, value float64) float64 {
	digits := strings.TrimLeft(text, "+-\u2212\u2013")
	if end := strings.IndexFunc(digits, func(c rune) bool { return (c < '0' || c > '9') && c != decimal }); end >= 0 {
		digits = digits[:end]
	}
	decimals := 0
	if point := strings.IndexRune(digits, decimal); point >= 0 {
		decimals = len(digits) - point - 1
	}
	mantissa, err := parseNumber(digits, decimal)
	if err != nil || mantissa == 0 {
		return math.Pow10(-decimals) / 2
	}
	// The power of ten is what leads from the digits to the value.
	return math.Pow10(-decimals) / 2 * math.Abs(value/mantissa)
}

// Errorf returns an error at a cell.
func (r *Records) Errorf(row, column int, format string, args ...any) error {
	c := cellAt(r.rows[row], column)
	if c.line == 0 {
		c.line = int32(r.Line(row))
	}
	return r.at(c, "%s", fmt.Errorf(format, args...))
}
