package groups

import (
	"bytes"
	"encoding/csv"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

func TestALedgerComesBackAsItWasWritten(t *testing.T) {
	lines := []Line{
		{Entry: Entry{Date: time.Date(2024, 10, 7, 0, 0, 0, 0, time.UTC), Bench: "window, left",
			Sensitivity:  map[float64]float64{365: 1.25e-9, 404.7: 3e-10},
			PlateauRatio: 0.012, Leakage: 2e-12, Shift: -1.587}, LampHours: 120, Humidity: 45, Note: `said "damp"; dried`},
		{Entry: Entry{Date: time.Date(2025, 3, 1, 0, 0, 0, 0, time.UTC), Bench: "=1+1",
			Sensitivity:  map[float64]float64{578: 5e-11},
			PlateauRatio: math.NaN(), Leakage: math.NaN(), Shift: math.NaN(), Repair: true}, LampHours: math.NaN(), Humidity: math.NaN()},
	}
	var text bytes.Buffer
	if err := WriteLedger(&text, lines); err != nil {
		t.Fatal(err)
	}
	got, err := ReadLedger(&text, "ledger.csv")
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(lines, got, cmpopts.EquateNaNs()); d != "" {
		t.Error(d)
	}
}

// A spreadsheet runs no cell of a ledger, and what a person wrote comes back as it
// was, what begins with an apostrophe too.
func TestALedgersCellsAreNoFormulas(t *testing.T) {
	for _, said := range []string{"=1+1", "+cmd", "-2 or so", "@me", "\uff1dSUM(A1)", "'quoted'", "''", "5", "-5", `a;"b"`, "'=1"} {
		line := Line{Entry: Entry{Date: time.Date(2025, 3, 1, 0, 0, 0, 0, time.UTC), Bench: said, Sensitivity: map[float64]float64{},
			PlateauRatio: -0.5, Leakage: math.NaN(), Shift: math.NaN()}, LampHours: math.NaN(), Humidity: math.NaN(), Note: said}
		var text bytes.Buffer
		if err := WriteLedger(&text, []Line{line}); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(bytes.NewReader(text.Bytes())).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		for _, cell := range rows[1] {
			if strings.ContainsAny(cell[:min(1, len(cell))], "=+-@\t\r\uff1d") && cell != "-5" && cell != "-0.5" {
				t.Errorf("%q is written as %q", said, cell)
			}
		}
		got, err := ReadLedger(&text, "ledger.csv")
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff([]Line{line}, got, cmpopts.EquateNaNs()); d != "" {
			t.Errorf("%q: %s", said, d)
		}
	}
}

func TestWhatIsWrongInALedgerIsNamedByPlace(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"", "l.csv:1:1: the file is empty"},
		{"date,bench,humid\n", `column 3 is "humid"`},
		{"date,bench,date\n", "column 3 is a second date"},
		{"date,bench,current_365nm_A,current_365.0nm_A\n", "column 4 is a second current_365nm_A"},
		{"date\n", "no column bench"},
		{"date,bench,lamp_hours\n2025-01-02,a,3\n2025-01-03,a,three\n", `l.csv:3:14: lamp_hours is "three"`},
		{"date,bench,lamp_hours\n2025-01-02,a,-3\n", "from 0 on"},
		{"date,bench\n1/2/2025,a\n", "a day is written 2026-03-31"},
		{"date,bench\n2025-01-02,\n", "each line names its bench"},
		{"date,bench,repair\n2025-01-02,a,perhaps\n", "write yes"},
		{"date,bench\n2025-01-02,a,b\n", "l.csv:2:1: the row has another number of cells"},
		{"date,bench\n2025-01-02,a\"b\n", "a quote is out of place"},
		{"date,bench,current_365nm_A\n2025-01-02,a,NaN\n", "a number with a decimal point"},
		{"date,bench,current_xnm_A\n", `"current_xnm_A"`},
	} {
		_, err := ReadLedger(strings.NewReader(c.text), "l.csv")
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want %q", c.text, err, c.want)
		}
	}
}

// Whatever a file holds, reading it ends with lines or with words.
func FuzzLedger(f *testing.F) {
	f.Add("date,bench,current_365nm_A,repair,note\n2025-01-02,a,1e-9,yes,\"x,y\"\n")
	f.Add("note,bench,date,cutoff_shift_V,plateau_ratio,leakage_S,lamp_hours,humidity_percent\r\n'=1,''a,2025-01-02,-1.5,0.01,1e-12,12,55\r\n\"a\"\"b\",'5,2025-01-03,,,,,\r\n")
	f.Fuzz(func(t *testing.T, text string) {
		lines, err := ReadLedger(strings.NewReader(text), "l.csv")
		if err != nil {
			return
		}
		var again bytes.Buffer
		if err := WriteLedger(&again, lines); err != nil {
			t.Fatal(err)
		}
		if back, err := ReadLedger(&again, "again.csv"); err != nil || len(back) != len(lines) {
			t.Fatalf("%d lines come back as %d: %v", len(lines), len(back), err)
		}
	})
}
