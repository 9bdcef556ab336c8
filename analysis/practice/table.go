package practice

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"

	"stopvolt/instrument/run"
	"stopvolt/instrument/run/reader"
)

// NewTable returns a writer of CSV in the readers' conventions.
func (p Presentation) NewTable(w io.Writer) *csv.Writer {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	if p.DecimalComma {
		c.Comma = ';'
	}
	return c
}

// Number writes a number in the readers' conventions with the fewest digits
// that read back as the same one, or with some significant ones.
func (p Presentation) Number(x float64, significant int) string {
	return p.mark(strconv.FormatFloat(x, 'g', significant, 64))
}

// Fixed writes a number with some decimals.
func (p Presentation) Fixed(x float64, decimals int) string {
	return p.mark(strconv.FormatFloat(x, 'f', decimals, 64))
}

// mark puts the readers' decimal mark into a number.
func (p Presentation) mark(number string) string {
	if p.DecimalComma {
		return strings.Replace(number, ".", ",", 1)
	}
	return number
}

// readColumns reads a table that must have some columns, and returns their
// places.
func readColumns(s reader.Source, o reader.Options, names ...string) (*reader.Records, []int, error) {
	table, err := reader.ReadRecords(s, o)
	if err != nil {
		return nil, nil, err
	}
	places := make([]int, len(names))
	for i, name := range names {
		if places[i], err = table.Column(name); err != nil {
			return nil, nil, err
		}
	}
	return table, places, nil
}

// WriteRun writes a run as CSV in the readers' conventions.
func (p Presentation) WriteRun(w io.Writer, r run.Run) error {
	if !p.DecimalComma {
		return run.Write(w, r)
	}
	from, to := io.Pipe()
	go func() { to.CloseWithError(run.Write(to, r)) }()
	defer from.Close()
	in, out := csv.NewReader(from), p.NewTable(w)
	in.ReuseRecord = true
	for {
		row, err := in.Read()
		if err == io.EOF {
			out.Flush()
			return out.Error()
		}
		if err != nil {
			return err
		}
		// The first column is the name of the setting.
		for i := 1; i < len(row); i++ {
			row[i] = p.mark(row[i])
		}
		if err := out.Write(row); err != nil {
			return err
		}
	}
}

// formulaStarts are the characters with which a spreadsheet lets a formula
// begin, the wide ones included, and the blanks that it overlooks before them.
const formulaStarts = "=+-@\t\r\n\uff1d\uff0b\uff0d\uff20"

// Harmless returns a text that a spreadsheet does not run as a formula: an
// apostrophe before it makes it a text. A text that begins with an apostrophe
// gets one more, so that Original can take it away.
func Harmless(text string) string {
	if first := strings.TrimLeft(text, " "); first != "" && strings.ContainsAny(firstRune(first), formulaStarts+"'") {
		return "'" + text
	}
	return text
}

// Original takes away what Harmless put before a text.
func Original(text string) string {
	if rest, ok := strings.CutPrefix(text, "'"); ok && Harmless(rest) == text {
		return rest
	}
	return text
}

// firstRune returns the first character of a text.
func firstRune(text string) string {
	for _, r := range text {
		return string(r)
	}
	return ""
}
