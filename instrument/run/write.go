package run

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// The columns of a run's CSV file in their order.
const (
	ColumnSetting     = "setting"
	ColumnWavelength  = "wavelength_nm"
	ColumnRetarding   = "retarding_V"
	ColumnCurrent     = "current_A"
	ColumnUncertainty = "u_current_A"
	ColumnTime        = "time_s"
	ColumnFlags       = "flags"
)

// Header is the first row of a run's CSV file, without its line end.
const Header = ColumnSetting + "," + ColumnWavelength + "," + ColumnRetarding + "," + ColumnCurrent + "," +
	ColumnUncertainty + "," + ColumnTime + "," + ColumnFlags

// flagWords are the words by which files name the flags, and flagSeparator
// stands between two of them in one cell.
var flagWords = [...]struct {
	flag Flags
	word string
}{
	{Overload, "overload"},
	{RangeChanged, "range"},
}

const flagSeparator = " "

// String returns the words of the flags as they stand in a file, empty for
// none.
func (f Flags) String() string {
	words := make([]string, 0, len(flagWords))
	for _, w := range flagWords {
		if f&w.flag != 0 {
			words = append(words, w.word)
		}
	}
	return strings.Join(words, flagSeparator)
}

// ParseFlag returns the flag that a word in a file names, 0 for none.
func ParseFlag(word string) Flags {
	for _, w := range flagWords {
		if w.word == word {
			return w.flag
		}
	}
	return 0
}

// A Writer writes readings one by one as rows of CSV (RFC 4180), in memory
// that does not grow with their number. Numbers have the fewest digits that
// read back as the same number; an unknown uncertainty and the wavelength of a
// dark curve are empty cells.
type Writer struct {
	w       *bufio.Writer
	row     []byte
	setting string // as last written, to check and quote it once
	cell    []byte
	begun   bool
}

// NewWriter returns a Writer to w.
func NewWriter(w io.Writer) *Writer {
	return &Writer{w: bufio.NewWriter(w)}
}

// Begin writes the row of column names if none was written yet. Write does it
// by itself; Begin is for a file that may stay without readings.
func (w *Writer) Begin() error {
	if w.begun {
		return nil
	}
	w.begun = true
	_, err := w.w.WriteString(Header + "\r\n")
	return err
}

// Write writes one reading taken at the setting of c; the readings of c itself
// are not looked at. It returns an error, and writes nothing, for a value that
// the file cannot hold.
func (w *Writer) Write(c Curve, r Reading) error {
	if !w.begun || c.Setting != w.setting {
		if err := checkName(c.Setting); err != nil {
			return err
		}
		w.setting, w.cell = c.Setting, appendQuoted(w.cell[:0], c.Setting)
	}
	if err := checkValues(c, r); err != nil {
		return err
	}
	if err := w.Begin(); err != nil {
		return err
	}
	b := append(w.row[:0], w.cell...)
	b = append(b, ',')
	if !c.Dark {
		b = appendNumber(b, c.Wavelength)
	}
	b = appendNumber(append(b, ','), r.Retarding)
	b = appendNumber(append(b, ','), r.Current)
	b = append(b, ',')
	if r.Uncertainty != 0 {
		b = appendNumber(b, r.Uncertainty)
	}
	b = appendNumber(append(b, ','), r.Time)
	b = append(b, ',')
	if r.Flags != 0 {
		b = append(b, r.Flags.String()...)
	}
	b = append(b, "\r\n"...)
	w.row = b
	_, err := w.w.Write(b)
	return err
}

// Flush hands everything written so far to the underlying writer.
func (w *Writer) Flush() error { return w.w.Flush() }

// Write writes a run as one CSV file, curve after curve. Curves need names of
// their own, and at least one reading each.
func Write(w io.Writer, r Run) error {
	seen := make(map[string]bool, len(r.Curves))
	rows := NewWriter(w)
	if err := rows.Begin(); err != nil {
		return err
	}
	for _, c := range r.Curves {
		if seen[c.Setting] {
			return fmt.Errorf("setting %.40q appears twice; each curve needs a name of its own", c.Setting)
		}
		seen[c.Setting] = true
		if len(c.Readings) == 0 {
			return fmt.Errorf("setting %.40q has no readings; a file holds only curves with at least one", c.Setting)
		}
		for _, reading := range c.Readings {
			if err := rows.Write(c, reading); err != nil {
				return err
			}
		}
	}
	return rows.Flush()
}

// checkName returns an error for a setting's name that would not read back
// unchanged.
func checkName(name string) error {
	switch {
	case name == "":
		return errors.New("a setting has no name; a file needs one for each curve")
	case strings.TrimSpace(name) != name:
		return fmt.Errorf("setting %.40q begins or ends with a blank; take it away", name)
	case !utf8.ValidString(name), strings.ContainsFunc(name, unicode.IsControl):
		return fmt.Errorf("setting %.40q holds a control character; a name is one line of text", name)
	}
	return nil
}

// checkValues returns an error for a value that is impossible in a file.
func checkValues(c Curve, r Reading) error {
	values := [...]struct {
		name  string
		value float64
	}{
		{"retarding voltage", r.Retarding}, {"current", r.Current},
		{"uncertainty", r.Uncertainty}, {"time", r.Time}, {"wavelength", c.Wavelength},
	}
	for _, v := range values {
		if math.IsNaN(v.value) || math.IsInf(v.value, 0) {
			return fmt.Errorf("setting %.40q: the %s is %v; a file holds finite numbers only", c.Setting, v.name, v.value)
		}
	}
	switch {
	case r.Uncertainty < 0:
		return fmt.Errorf("setting %.40q: the uncertainty is %v A; it cannot be negative", c.Setting, r.Uncertainty)
	case c.Dark && c.Wavelength != 0:
		return fmt.Errorf("setting %.40q is dark and has a wavelength of %v nm; a dark curve has none", c.Setting, c.Wavelength)
	case !c.Dark && !PlausibleWavelength(c.Wavelength):
		return fmt.Errorf("setting %.40q: a wavelength of %v nm lies outside %v to %v nm", c.Setting, c.Wavelength, ShortestWavelength, LongestWavelength)
	}
	return nil
}

// appendNumber appends the shortest text that reads back as x.
func appendNumber(b []byte, x float64) []byte {
	return strconv.AppendFloat(b, x, 'g', -1, 64)
}

// appendQuoted appends a cell of text, in quotes unless it is a plain word.
func appendQuoted(b []byte, s string) []byte {
	plain := func(r rune) bool {
		return r == '_' || r == '-' || r == '.' || r == ' ' || unicode.IsLetter(r) || unicode.IsDigit(r)
	}
	if strings.IndexFunc(s, func(r rune) bool { return !plain(r) }) < 0 && s[0] != '-' {
		return append(b, s...)
	}
	b = append(b, '"')
	b = append(b, bytes.ReplaceAll([]byte(s), []byte{'"'}, []byte{'"', '"'})...)
	return append(b, '"')
}
