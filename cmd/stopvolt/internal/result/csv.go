package result

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"stopvolt/instrument/run"
)

// write writes rows as tidy CSV: a column a key. Relative measures are
// fractions, and what has no value is an empty cell.
func (cs Columns[R]) write(w io.Writer, rows []R) error {
	columns := cs.in(CSV)
	out := run.NewTable(w, ',')
	if err := out.Write(cs.Keys(CSV)); err != nil {
		return err
	}
	record := make([]string, len(columns))
	for _, row := range rows {
		for i, c := range columns {
			record[i] = cell(c.Value(row))
		}
		if err := out.Write(record); err != nil {
			return err
		}
	}
	return out.Flush()
}

// cell writes a value for CSV.
func cell(value any) string {
	switch v := value.(type) {
	case nil:
		return ""
	case float64:
		return Cell(v)
	case []string:
		return strings.Join(v, "; ")
	default:
		return fmt.Sprint(v)
	}
}

// Cell writes a number for CSV, an empty cell where there is none.
func Cell(x float64) string {
	if x-x != 0 {
		return ""
	}
	return strconv.FormatFloat(x, 'g', -1, 64)
}
