package practice

import (
	"io"
	"strconv"
	"strings"

	"stopvolt/instrument/run"
	"stopvolt/instrument/run/reader"
)

// NewTable returns a writer of CSV in the readers' conventions.
func (p Presentation) NewTable(w io.Writer) *run.Table {
	if p.DecimalComma {
		return run.NewTable(w, ';')
	}
	return run.NewTable(w, ',')
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
	rows := run.NewWriter(w)
	rows.DecimalComma = p.DecimalComma
	return rows.WriteRun(r)
}
