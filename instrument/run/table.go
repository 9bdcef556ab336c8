package run

import (
	"bufio"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// A Table writes rows of text and numbers as CSV (RFC 4180) that a spreadsheet
// opens without running any of it: a text that could begin a formula is made
// Harmless, and a text with any of the marks that set cells apart stands in
// quotes, whichever of them the spreadsheet goes by.
type Table struct {
	w         *bufio.Writer
	delimiter string
	row       []byte
}

// NewTable returns a Table to w whose cells the delimiter sets apart, a comma
// or, beside decimal commas, a semicolon.
func NewTable(w io.Writer, delimiter rune) *Table {
	return &Table{w: bufio.NewWriter(w), delimiter: string(delimiter)}
}

// Write writes one row.
func (t *Table) Write(cells []string) error {
	b := t.row[:0]
	for i, c := range cells {
		if i > 0 {
			b = append(b, t.delimiter...)
		}
		if number.MatchString(c) && !strings.Contains(c, t.delimiter) {
			b = append(b, c...)
			continue
		}
		b = appendText(b, c)
	}
	t.row = append(b, "\r\n"...)
	_, err := t.w.Write(t.row)
	return err
}

// Flush hands everything written so far to the underlying writer.
func (t *Table) Flush() error { return t.w.Flush() }

// number is a decimal number with either mark.
var number = regexp.MustCompile(`^[-+]?[0-9]+(?:[.,][0-9]+)?(?:[eE][-+]?[0-9]+)?$`)

// formulaStarts are the characters with which a spreadsheet lets a formula
// begin, the wide ones included, and the blanks that it overlooks before them
// (common practice, no source).
const formulaStarts = "=+-@\t\r\n\uff1d\uff0b\uff0d\uff20"

// Harmless returns a text that a spreadsheet does not run as a formula: an
// apostrophe before it makes it a text. A text that begins with an apostrophe
// gets one more, so that Original can take it away. Numbers stay as they are.
func Harmless(text string) string {
	first, _ := utf8.DecodeRuneInString(strings.TrimLeft(text, " "))
	if strings.ContainsRune(formulaStarts+"'", first) && !number.MatchString(text) {
		return "'" + text
	}
	return text
}

// Original takes away what Harmless put before a text, and the apostrophe by
// which a spreadsheet's user made a text of a number.
func Original(text string) string {
	if rest, ok := strings.CutPrefix(text, "'"); ok && (Harmless(rest) == text || number.MatchString(rest)) {
		return rest
	}
	return text
}

// appendText appends a cell of text, made harmless, in quotes unless it is a
// plain word.
func appendText(b []byte, s string) []byte {
	plain := func(r rune) bool {
		return r == '_' || r == '-' || r == '.' || r == ' ' || unicode.IsLetter(r) || unicode.IsDigit(r)
	}
	s = Harmless(s)
	if strings.IndexFunc(s, func(r rune) bool { return !plain(r) }) < 0 && strings.TrimSpace(s) == s && !strings.HasPrefix(s, "-") {
		return append(b, s...)
	}
	b = append(b, '"')
	b = append(b, strings.ReplaceAll(s, `"`, `""`)...)
	return append(b, '"')
}

// appendRounded appends x as a person would write it: rounded to some decimals,
// without zeros at the end and without the digits that sums of binary fractions
// leave behind.
func appendRounded(b []byte, x float64, decimals int) []byte {
	scale := math.Pow10(decimals)
	if scaled := x * scale; math.Abs(scaled) < 1<<53 {
		x = math.RoundToEven(scaled)/scale + 0 // no minus before a zero
	}
	return strconv.AppendFloat(b, x, 'g', -1, 64)
}
