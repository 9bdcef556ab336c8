package run_test

import (
	"bytes"
	"encoding/csv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"stopvolt/instrument/run"
	"stopvolt/instrument/run/reader"
)

// A cell that begins with one of these is run as a formula by spreadsheets
// (common practice, no source).
func TestNoCellRunsAsAFormula(t *testing.T) {
	for _, text := range []string{"=1+1", "+1+1", "-1-A1", "-", "@SUM(A1)", "\t=1", "\r=1", "＝1", "  =1", "'=1", "-5+cmd|' /C calc'!A0"} {
		if got := run.Harmless(text); !strings.HasPrefix(got, "'") {
			t.Errorf("%q becomes %q", text, got)
		}
	}
	for _, text := range []string{"", "Ada", "a-b", "1", "Ünal", "-1.5", "+1", "-1,5", "-1e-9"} {
		if got := run.Harmless(text); got != text {
			t.Errorf("%q becomes %q", text, got)
		}
	}
}

// troubling generates texts of all that a spreadsheet can trip over.
var troubling = rapid.StringMatching(`[ '"=+\-@,;.a1\t]{0,6}`)

func TestHarmlessTextsAreReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := troubling.Draw(t, "text")
		if got := run.Original(run.Harmless(text)); got != text {
			t.Errorf("%q comes back as %q", text, got)
		}
	})
}

// A spreadsheet that goes by the other delimiter must not find a formula in
// the middle of a text.
func TestNoTextIsCutByTheOtherDelimiter(t *testing.T) {
	for _, delimiter := range []rune{',', ';'} {
		var b bytes.Buffer
		table := run.NewTable(&b, delimiter)
		if err := table.Write([]string{"a,=1+1", "a;=1+1", "-1.5", "2,5", "=1"}); err != nil {
			t.Fatal(err)
		}
		if err := table.Flush(); err != nil {
			t.Fatal(err)
		}
		want := `"a,=1+1";"a;=1+1";-1.5;2,5;"'=1"` + "\r\n"
		if delimiter == ',' {
			want = `"a,=1+1","a;=1+1",-1.5,"2,5","'=1"` + "\r\n"
		}
		if got := b.String(); got != want {
			t.Errorf("got  %s\nwant %s", got, want)
		}
	}
}

func TestTablesAreReadBackAsTheyWere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		delimiter := rapid.SampledFrom([]rune{',', ';'}).Draw(t, "delimiter")
		want := rapid.SliceOfN(rapid.SliceOfN(troubling, 3, 3), 1, 4).Draw(t, "rows")
		var b bytes.Buffer
		table := run.NewTable(&b, delimiter)
		if err := table.Write([]string{"a", "b", "c"}); err != nil {
			t.Fatal(err)
		}
		for _, row := range want {
			if err := table.Write(row); err != nil {
				t.Fatal(err)
			}
		}
		if err := table.Flush(); err != nil {
			t.Fatal(err)
		}
		text := b.String()
		// The reader of the standard library finds the same cells, disarmed.
		plain := csv.NewReader(strings.NewReader(text))
		plain.Comma = delimiter
		rows, err := plain.ReadAll()
		if err != nil {
			t.Fatalf("%v in\n%s", err, text)
		}
		for i, row := range rows[1:] {
			for k, cell := range row {
				if run.Original(cell) != want[i][k] {
					t.Fatalf("%q is written as %q", want[i][k], cell)
				}
			}
		}
		// Ours takes the apostrophes away, the blanks around a cell, and control
		// characters.
		records, err := reader.ReadRecords(reader.Source{Name: "t.csv", Reader: strings.NewReader(text)}, reader.Options{})
		if err != nil {
			t.Fatal(err)
		}
		var got, filled [][]string
		for i := range records.Len() {
			got = append(got, []string{records.Text(i, 0), records.Text(i, 1), records.Text(i, 2)})
		}
		for _, row := range want {
			var trimmed []string
			for _, c := range row {
				trimmed = append(trimmed, strings.TrimSpace(strings.ReplaceAll(c, "\t", " ")))
			}
			if strings.Join(trimmed, "") != "" { // empty rows are left out
				filled = append(filled, trimmed)
			}
		}
		if diff := cmp.Diff(filled, got); diff != "" {
			t.Fatalf("rows (-written +read):\n%s\n%s", diff, text)
		}
	})
}
