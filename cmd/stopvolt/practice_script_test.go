package main

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"

	"stopvolt/analysis/practice"
	"stopvolt/analysis/practice/practicetest"
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

// answersBy returns the cells that a student fills in who reads by a method, and does
// not know the contact potential.
func answersBy(ts *testscript.TestScript, file, method string, joules bool) map[string]string {
	r, _, err := reader.ReadFiles([]string{file}, nil, reader.Options{})
	ts.Check(err)
	const digit = 1e-13 // A
	a := practicetest.Sit(practice.Handout{Public: practice.Public{Resolution: digit}, Run: r}).Reads(method, false)
	a.U, a.EmitterWorkFunction = practicetest.To(0.1*a.Slope.Value, 2), practicetest.Nothing
	if joules {
		a.HOverE = practicetest.To(a.HOverE.Value*physics.ElementaryCharge, 3)
	}
	return a.Cells()
}
