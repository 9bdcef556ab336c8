package main

import (
	"encoding/csv"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// Tables are written in one place, run.Table, whose cells no spreadsheet runs.
func TestTheLibrarysWriterOfTablesIsUsedNowhere(t *testing.T) {
	files := 0
	err := filepath.WalkDir("../..", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
			return err
		}
		files++
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			return err
		}
		ast.Inspect(f, func(n ast.Node) bool {
			s, ok := n.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			if of, ok := s.X.(*ast.Ident); ok && of.Name == "csv" && (s.Sel.Name == "NewWriter" || s.Sel.Name == "Writer") {
				t.Errorf("%s writes a table by csv.%s; use run.NewTable", name, s.Sel.Name)
			}
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if files < 100 {
		t.Errorf("only %d files were looked at", files)
	}
}

// plainNumber is what may begin with a sign.
var plainNumber = regexp.MustCompile(`^[-+]?[0-9]+(\.[0-9]+)?([eE][-+]?[0-9]+)?$`)

// Names that would be formulas in a spreadsheet go in, and no cell of any table
// that comes out is one.
func TestNoCellOfAnyTableIsAFormula(t *testing.T) {
	name := program(t)
	dir := t.TempDir()
	run := func(words ...string) {
		t.Helper()
		command := exec.Command(name, words...)
		command.Dir = dir
		out, err := command.CombinedOutput()
		if err != nil && command.ProcessState.ExitCode() != 1 {
			t.Fatalf("stopvolt %s: %v\n%s", strings.Join(words, " "), err, out)
		}
	}
	write := func(file, text string) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(dir, file), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	scenario, err := exec.Command(name, "scenarios", "lanternfell").Output()
	if err != nil {
		t.Fatal(err)
	}
	formula := strings.NewReplacer(`name = "ultraviolet"`, `name = "=1+1"`, `name = "violet"`, `name = "@violet"`, `name = "blue"`, `name = "-blue;+x"`)
	write("cell.toml", formula.Replace(string(scenario)))
	write("class.csv", "student_id,name\n-1a,=cmd()\n'b,@me\n")
	write("passphrase", "four words of straw\n")
	write("term.csv", "group,bench,file\n'=g1,+bench,run.csv\n@g2,+bench,again.csv\n")
	run("sweep", "cell.toml", "--out", "run.csv")
	run("sweep", "cell.toml", "--seed", "2", "--out", "again.csv")
	run("sweep", "cell.toml", "--out", "package")
	run("extract", "run.csv", "--methods", "tangent", "--out", "extracted")
	run("check", "run.csv", "--bench", "=bench", "--note", "@said", "--ledger", "benches.csv")
	run("groups", "term.csv", "--names", "--out", "term")
	run("floating", "cell.toml", "--out", "floating.csv")
	run("knee", "cell.toml", "--setting", "=1+1", "--electrons", "1000", "--out", "knee")
	run("study", "cell.toml", "--quiet", "--replicates", "4", "--methods", "tangent", "--out", "study")
	run("practice", "make", "--class", "class.csv", "--passphrase-file", "passphrase", "--out", "set")
	run("practice", "mark", "--key", "set/set.key", "--passphrase-file", "passphrase", "set/answers.csv", "--sample", "1", "--out", "marked")
	tables := 0
	err = filepath.WalkDir(dir, func(file string, entry fs.DirEntry, err error) error {
		switch filepath.Base(file) {
		case "class.csv", "term.csv":
			return err
		}
		if err != nil || !strings.HasSuffix(file, ".csv") {
			return err
		}
		tables++
		f, err := os.Open(file)
		if err != nil {
			return err
		}
		defer f.Close()
		in := csv.NewReader(f)
		in.FieldsPerRecord = -1
		rows, err := in.ReadAll()
		if err != nil {
			return err
		}
		for i, row := range rows {
			for _, cell := range row {
				if cell != "" && strings.ContainsAny(strings.TrimLeft(cell, " ")[:1], "=+-@\t\r") && !plainNumber.MatchString(cell) {
					t.Errorf("%s, row %d has the cell %q", strings.TrimPrefix(file, dir), i+1, cell)
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if tables < 12 {
		t.Errorf("only %d tables were written", tables)
	}
}
