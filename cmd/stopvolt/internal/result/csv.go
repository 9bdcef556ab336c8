package result

import (
	"fmt"
	"io"
	"regexp"
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
			record[i] = cell(c.Value(row), figuresOf(c.Key))
		}
		if err := out.Write(record); err != nil {
			return err
		}
	}
	return out.Flush()
}

// uncertainty is the key of a standard uncertainty with its unit.
var uncertainty = regexp.MustCompile(`^(?:bootstrap_)?u_(?:.*_)?(?:V|Vs|eV|A|nm)$`)

// A number in CSV has at most so many figures: as many as no measurement has,
// and for an uncertainty the three that anybody would write.
const (
	mostFigures        = 12
	uncertaintyFigures = 3
)

// figuresOf returns how many figures the numbers of a key have.
func figuresOf(key string) int {
	if uncertainty.MatchString(key) {
		return uncertaintyFigures
	}
	return mostFigures
}

// cell writes a value for CSV.
func cell(value any, figures int) string {
	switch v := value.(type) {
	case nil:
		return ""
	case float64:
		return figured(v, figures)
	case []string:
		return strings.Join(v, "; ")
	default:
		return fmt.Sprint(v)
	}
}

// Cell writes a number for CSV, an empty cell where there is none.
func Cell(x float64) string { return figured(x, mostFigures) }

// figured writes a number with some figures, without zeros at the end.
func figured(x float64, figures int) string {
	if x-x != 0 {
		return ""
	}
	return strconv.FormatFloat(x, 'g', figures, 64)
}
