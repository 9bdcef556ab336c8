package result

import (
	"bytes"
	"encoding/csv"
	"strings"
	"testing"

	"stopvolt/analysis/study"
	"stopvolt/instrument/run"
)

// Words of a user's that a spreadsheet would run, or would cut in two, are
// disarmed and in quotes, and read back as they were; numbers stay numbers.
func TestCellsAreSafeInASpreadsheet(t *testing.T) {
	nasty := []string{"=1+1", "+cmd", "-x", "@sum", "\ttab", "a,b", "a;b", `say "x"`, "'quoted", "-0.5", "1e-3", "plain"}
	var points []GridPoint
	for _, value := range nasty {
		points = append(points, GridPoint{Values: []string{value}, Result: study.Result{Rows: []study.Row{{Method: "m", Fit: "f", HOverE: unknownMeasures}}}})
	}
	var b bytes.Buffer
	if err := WriteGrid(&b, []string{"key"}, points); err != nil {
		t.Fatal(err)
	}
	records, err := csv.NewReader(bytes.NewReader(b.Bytes())).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for i, value := range nasty {
		cell := records[i+1][0]
		if got := run.Original(cell); got != value {
			t.Errorf("%q is read back as %q", value, got)
		}
		if strings.ContainsAny(cell[:1], "=+@\t") || cell[0] == '-' && cell != "-0.5" {
			t.Errorf("%q stands as %q", value, cell)
		}
		line := strings.Split(b.String(), "\r\n")[i+1]
		if strings.ContainsAny(value, ",;") && !strings.HasPrefix(line, `"`) {
			t.Errorf("%q is not in quotes: %s", value, line)
		}
	}
}
