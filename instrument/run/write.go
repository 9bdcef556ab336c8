package run

import (
	"bufio"
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

// Numbers are written as a person would: wavelengths, voltages and times to a
// billionth of nm, V or s, a step of every voltmeter and clock; currents and
// uncertainties to so many figures, where a currentDigits'th is below the noise
// of any electron count. Zeros at the end are left out.
const (
	decimals          = 9
	currentDigits     = 12
	uncertaintyDigits = 3
)

// RoundUncertainty rounds an uncertainty to the digits that are written of it.
func RoundUncertainty(u float64) float64 {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(u, 'g', uncertaintyDigits, 64), 64)
	if err != nil {
		return u
	}
	return rounded
}

// A Writer writes readings one by one as rows of CSV (RFC 4180), in memory
// that does not grow with their number. An unknown uncertainty and the
// wavelength of a dark curve are empty cells.
type Writer struct {
	// DecimalComma writes commas into the decimals and semicolons between the
	// cells, as some languages' spreadsheets want; set it before the first row.
	DecimalComma bool

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
	header := Header
	if w.DecimalComma {
		header = strings.ReplaceAll(header, ",", ";")
	}
	_, err := w.w.WriteString(header + "\r\n")
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
		w.setting, w.cell = c.Setting, appendText(w.cell[:0], c.Setting)
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
		b = appendRounded(b, c.Wavelength, decimals)
	}
	b = appendRounded(append(b, ','), r.Retarding, decimals)
	b = strconv.AppendFloat(append(b, ','), r.Current, 'g', currentDigits, 64)
	b = append(b, ',')
	if r.Uncertainty != 0 {
		b = strconv.AppendFloat(b, r.Uncertainty, 'g', uncertaintyDigits, 64)
	}
	b = appendRounded(append(b, ','), r.Time, decimals)
	b = append(b, ',')
	if w.DecimalComma {
		for i, mark := range b[len(w.cell):] {
			switch mark {
			case ',':
				b[len(w.cell)+i] = ';'
			case '.':
				b[len(w.cell)+i] = ','
			}
		}
	}
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
func Write(w io.Writer, r Run) error { return NewWriter(w).WriteRun(r) }

// WriteRun writes all curves of a run as Write does, and flushes.
func (w *Writer) WriteRun(r Run) error {
	seen := make(map[string]bool, len(r.Curves))
	if err := w.Begin(); err != nil {
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
			if err := w.Write(c, reading); err != nil {
				return err
			}
		}
	}
	return w.Flush()
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
	if n := utf8.RuneCountInString(name); n > LongestName {
		return fmt.Errorf("setting %.40q has a name of %d characters; at most %d are allowed", name, n, LongestName)
	}
	return nil
}

// checkValues returns an error for a value that is impossible in a file.
func checkValues(c Curve, r Reading) error {
	values := [...]struct {
		name        string
		value, most float64
	}{
		{"retarding voltage", r.Retarding, Largest}, {"current", r.Current, Largest},
		{"uncertainty", r.Uncertainty, Largest}, {"time", r.Time, LongestTime}, {"wavelength", c.Wavelength, LongestWavelength},
	}
	for _, v := range values {
		if !(math.Abs(v.value) <= v.most) {
			return fmt.Errorf("setting %.40q: the %s is %v; a finite one of at most %v is needed", c.Setting, v.name, v.value, v.most)
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
