package main

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"

	"stopvolt/analysis"
	"stopvolt/instrument/run/reader"
	"stopvolt/physics"
)

// answer fills in the table of answers of a set as a class would, from nothing
// but what is in the folder of the students: answer DIR METHOD... goes through
// the methods student by student. Every fifth student takes eV for J, and the
// last one hands nothing in.
func answer(ts *testscript.TestScript, negate bool, words []string) {
	if negate || len(words) < 2 {
		ts.Fatalf("usage: answer DIR METHOD...")
	}
	dir := ts.MkAbs(words[0])
	name := filepath.Join(dir, answersFile)
	file, err := os.ReadFile(name)
	ts.Check(err)
	comma := strings.HasPrefix(string(file), "student_id;")
	in := csv.NewReader(strings.NewReader(string(file)))
	if comma {
		in.Comma = ';'
	}
	rows, err := in.ReadAll()
	ts.Check(err)
	for i, row := range rows[1 : len(rows)-1] {
		method := words[1+i%(len(words)-1)]
		for column, value := range answersBy(ts, filepath.Join(dir, studentsFolder, row[0]+".csv"), method, i%5 == 4) {
			if comma {
				value = strings.Replace(value, ".", ",", 1)
			}
			if at := slices.Index(rows[0], column); at >= 0 {
				row[at] = value
			}
		}
	}
	out, err := os.Create(name)
	ts.Check(err)
	table := csv.NewWriter(out)
	table.Comma = in.Comma
	ts.Check(table.WriteAll(rows))
	ts.Check(out.Close())
}

// answersBy returns the cells that a student fills in who reads by a method.
func answersBy(ts *testscript.TestScript, file, method string, joules bool) map[string]string {
	r, _, err := reader.ReadFiles([]string{file}, nil, reader.Options{})
	ts.Check(err)
	m, err := analysis.ByName(method)
	ts.Check(err)
	lit, _ := analysis.WithoutDark(r)
	x := analysis.Extract(lit, []analysis.Method{m})
	cells := map[string]string{"method": method}
	for _, s := range x.Settings {
		if v := s.Cutoffs[0].Stopping; !math.IsNaN(v) {
			cells["stopping_"+s.Name+"_V"] = fmt.Sprintf("%.2f", v)
		}
	}
	l := x.Lines[0].Line
	h := l.Slope
	if joules {
		h *= physics.ElementaryCharge
	}
	cells["slope_Vs"], cells["intercept_V"] = fmt.Sprintf("%.3g", l.Slope), fmt.Sprintf("%.2f", l.Intercept)
	cells["h_over_e_Vs"], cells["u_h_over_e_Vs"] = fmt.Sprintf("%.3g", h), fmt.Sprintf("%.2g", 0.1*l.Slope)
	cells["collector_work_function_eV"] = fmt.Sprintf("%.2f", -l.Intercept)
	return cells
}
