package analysis_test

import (
	"encoding/csv"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stopvolt/analysis"
	"stopvolt/instrument/run/reader"
	"stopvolt/physics"
)

var updateRecord = flag.Bool("record", false, "write the record on real runs anew")

// realRuns are folders of testdata; their READMEs say where they come from.
var realRuns = []string{"real", "real2"}

// tried works out the record of all methods on a run.
func tried(t *testing.T, folder string) [][]string {
	t.Helper()
	paths, err := filepath.Glob("../testdata/" + folder + "/*.csv")
	if err != nil || len(paths) < 5 {
		t.Fatalf("%s has %d curves (%v)", folder, len(paths), err)
	}
	r, _, err := reader.ReadFiles(paths, nil, reader.Options{})
	if err != nil {
		t.Fatal(err)
	}
	methods := analysis.Methods()
	x := analysis.Extract(r, methods)
	reasons := make(map[string]string)
	settings := make(map[string]int)
	answer := analysis.Choice{}.Answer(x)
	for _, s := range append(answer.Usable, answer.Unusable...) {
		reasons[s.Method], settings[s.Method] = s.Reason, s.Settings
	}
	var rows [][]string
	for _, l := range x.Lines {
		if l.Fit != (analysis.Weighted{}).Name() && l.Fit != analysis.JointLine {
			continue
		}
		row := []string{folder, l.Method, fmt.Sprintf("%d of %d", settings[l.Method], len(r.Curves)), "", "", reasons[l.Method]}
		if l.Status == analysis.OK {
			row[3] = fmt.Sprintf("%+.1f", 100*(l.Line.Slope/physics.HOverE-1))
			row[4] = fmt.Sprintf("%.1f", 100*l.Line.USlope/physics.HOverE)
		}
		rows = append(rows, row)
	}
	return rows
}

// The record on real runs is made from the data, and stands in the package and,
// for people, beside the data. `go test ./analysis -run Record -record` writes
// both anew when a method has changed.
func TestRecordOnRealRuns(t *testing.T) {
	rows := [][]string{{"run", "method", "settings", "deviation_percent", "u_percent", "reason"}}
	for _, folder := range realRuns {
		rows = append(rows, tried(t, folder)...)
	}
	var table strings.Builder
	w := csv.NewWriter(&table)
	if err := w.WriteAll(rows); err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]string{"record.csv": table.String(), "../testdata/real/scoreboard.md": scoreboard(rows[1:])} {
		if *updateRecord {
			if err := os.WriteFile(path, []byte(want), 0o666); err != nil {
				t.Fatal(err)
			}
		}
		got, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(string(got), want); diff != "" {
			t.Errorf("%s is not what the methods make of the data; look at the change, then run with -record (-file +now):\n%s", path, diff)
		}
	}
}

// scoreboard lays the record out for people.
func scoreboard(rows [][]string) string {
	var b strings.Builder
	b.WriteString(`# How the methods do on real runs

Off by is h/e by the weighted line against the exact value, with the standard
uncertainty by the scatter of the cutoffs. Nobody recorded the collector's work
function of either cell, so that nothing is said about the intercept. Two runs
prove no method right, and none was tuned to them. The table is made by a test
from the data in this folder and in ../real2, and changes only with the code.

| method | run | settings | off by / % | of use |
|---|---|---|---|---|
`)
	for _, r := range rows {
		off := "no line"
		if r[3] != "" {
			off = r[3] + " ± " + r[4]
		}
		use := "yes"
		if r[5] != "" {
			use = "no: " + r[5]
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s |\n", r[1], r[0], r[2], off, use)
	}
	return b.String()
}

// Every method has its record on every run, and reads it back.
func TestEveryMethodHasARecord(t *testing.T) {
	for _, m := range analysis.Methods() {
		got := analysis.OnRealRuns(m.Name())
		if len(got) != len(realRuns) {
			t.Errorf("%s: %d runs, want %d", m.Name(), len(got), len(realRuns))
			continue
		}
		for i, one := range got {
			if one.Run != realRuns[i] || !strings.Contains(one.Settings, " of ") || one.Deviation == "" && one.Reason == "" {
				t.Errorf("%s: %+v", m.Name(), one)
			}
		}
	}
}
