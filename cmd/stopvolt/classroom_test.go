package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"html"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"stopvolt/analysis"
	"stopvolt/analysis/practice"
	"stopvolt/analysis/practice/practicetest"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/files"
	"stopvolt/instrument/population"
	"stopvolt/instrument/run/reader"
	"stopvolt/scenarios"
)

// A simulated class is a set on the disk with its students, who know what lies in the
// folder for them.
type simulatedClass struct {
	dir  string
	room practicetest.Room
}

// newSimulatedClass makes a set by the command line, from a key whose secret is that of
// every run of the test, and seats a student at each sheet.
func newSimulatedClass(t *testing.T, level string, students int) simulatedClass {
	t.Helper()
	t.Setenv(passphraseVariable, "five grey herons")
	dir := t.TempDir()
	first, key := filepath.Join(dir, "first"), filepath.Join(dir, "fixed.key")
	typed(t, "practice", "make", "--count", strconv.Itoa(students), "--blind", "--level", level, "--out", first)
	reseal(t, filepath.Join(first, keyFile), key, level)
	c := simulatedClass{dir: filepath.Join(dir, "set")}
	typed(t, "practice", "make", "--again", key, "--out", c.dir)
	for _, row := range c.table(t)[1:] {
		c.room = append(c.room, practicetest.Sit(c.handout(t, row[0])))
	}
	return c
}

// reseal writes the key of a set that another secret gives for the same class.
func reseal(t *testing.T, name, other, level string) {
	t.Helper()
	lock := practice.Lock{Passphrase: []byte("five grey herons"), Work: practice.Work}
	old, file, err := openKey(name, lock.Passphrase)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	var class []practice.Student
	for {
		r, err := old.Next()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		class = append(class, r.Student)
	}
	s, err := scenarios.Load(scenarios.Practice, nil)
	if err != nil {
		t.Fatal(err)
	}
	at := slices.IndexFunc(s.Practice, func(v population.Variation) bool { return v.Name == level })
	recipe := practice.Recipe{Apparatus: s.Apparatus, Variation: s.Practice[at], Blind: old.Public.Blind}
	err = files.WritePrivate(other, func(w io.Writer) error {
		key, err := practice.NewKeyWriter(w, lock, old.Public, fixedSecret)
		if err != nil {
			return err
		}
		if err := practice.Make(recipe, fixedSecret, class, key.Write); err != nil {
			return err
		}
		return key.Close()
	})
	if err != nil {
		t.Fatal(err)
	}
}

// fixedSecret is that of the simulated classes.
var fixedSecret = practice.Secret{0x20, 0x26, 0x11, 0x25}

// onSheet finds numbers in the words of a sheet.
var (
	contactOnSheet = regexp.MustCompile(`was measured apart: (−?[0-9.]+) V\.`)
	digitOnSheet   = regexp.MustCompile(`its last digit is ([0-9.]+) pA\.`)
	kelvinOnSheet  = regexp.MustCompile(`The emitter is at ([0-9.]+) K\.`)
)

// handout reads what a student gets: the readings, and what the sheet says.
func (c simulatedClass) handout(t *testing.T, id string) practice.Handout {
	t.Helper()
	base := filepath.Join(c.dir, studentsFolder, id)
	r, _, err := reader.ReadFiles([]string{base + ".csv"}, nil, reader.Options{})
	if err != nil {
		t.Fatal(err)
	}
	file, err := os.ReadFile(base + ".html")
	if err != nil {
		t.Fatal(err)
	}
	sheet := html.UnescapeString(string(file))
	number := func(pattern *regexp.Regexp) float64 {
		found := pattern.FindStringSubmatch(sheet)
		if found == nil {
			t.Fatalf("%s.html: nothing on it is like %s", base, pattern)
		}
		x, err := strconv.ParseFloat(strings.ReplaceAll(found[1], "−", "-"), 64)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	r.Facts.Temperature = number(kelvinOnSheet)
	return practice.Handout{Public: practice.Public{Resolution: 1e-12 * number(digitOnSheet)}, Student: practice.Student{ID: id}, Run: r, ContactPotential: number(contactOnSheet)}
}

// table returns the rows of the table of answers that is to be filled in.
func (c simulatedClass) table(t *testing.T) [][]string {
	t.Helper()
	file, err := os.Open(filepath.Join(c.dir, answersFile))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// A markedStudent is what the command says of one.
type markedStudent struct {
	ID       string  `json:"student_id"`
	Points   float64 `json:"points"`
	Of       float64 `json:"of"`
	Findings []struct {
		Name string `json:"name"`
	} `json:"findings"`
}

// found returns the names of the findings.
func (m markedStudent) found() []string {
	var names []string
	for _, f := range m.Findings {
		names = append(names, f.Name)
	}
	return names
}

// marked fills the answers in, marks them by the command line, and returns what it
// says of each student.
func (c simulatedClass) marked(t *testing.T, answers []practicetest.Work) []markedStudent {
	t.Helper()
	rows := c.table(t)
	// A column that is asked for where answers are collected with their time.
	rows[0] = append(rows[0], "handed_in")
	for i, a := range answers {
		row := append(rows[1+i], "")
		for column, text := range a.Cells() {
			at := slices.Index(rows[0], column)
			if at < 0 {
				t.Fatalf("the table of answers has no column %s", column)
			}
			row[at] = text
		}
		rows[1+i] = row
	}
	var filled bytes.Buffer
	if err := csv.NewWriter(&filled).WriteAll(rows); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "answers.csv")
	if err := os.WriteFile(name, filled.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	var out, errors bytes.Buffer
	words := []string{"practice", "mark", "--key", filepath.Join(c.dir, keyFile), name, "--json", "--due", practicetest.Due.Format("2006-01-02 15:04")}
	if code := execute(context.Background(), console.New(strings.NewReader(""), &out, &errors), words); code != console.Done {
		t.Fatalf("practice mark: exit code %d: %s", code, errors.String())
	}
	var told struct {
		Students []markedStudent `json:"students"`
	}
	if err := json.Unmarshal(out.Bytes(), &told); err != nil {
		t.Fatal(err)
	}
	if len(told.Students) != len(answers) {
		t.Fatalf("%d students are marked, of %d", len(told.Students), len(answers))
	}
	return told.Students
}

// tally counts how many have how many points.
type tally map[float64]int

// String writes the distribution from the most points down.
func (d tally) String() string {
	var out []string
	for points := 10.; points >= 0; points -= 0.5 {
		if n := d[points]; n > 0 {
			out = append(out, fmt.Sprintf("%d with %g", n, points))
		}
	}
	return strings.Join(out, ", ")
}

// honestWork is that of a class whose students read by all methods in turn, and state
// the uncertainty in all ways in turn. A method without a line is passed over: a student
// who finds none takes another.
func honestWork(room practicetest.Room) []practicetest.Work {
	methods := analysis.Methods()
	var answers []practicetest.Work
	for i, desk := range room {
		for k := range methods {
			a := desk.Reads(methods[(i+k)%len(methods)].Name(), i%2 == 1)
			if !a.Slope.Given() {
				continue
			}
			said := a.Statements()
			a.U = practicetest.To(said[(i/len(methods)+i)%len(said)].U, 2)
			answers = append(answers, a)
			break
		}
	}
	return answers
}

// A class of thirty goes through the command line: its sheets are made, filled in from
// each student's own files, and marked. Honest work by any method gets all points,
// whoever else in the class makes slips; each slip is found and leaves half of the points
// or more, but for voltages that were made up. Over six secrets 5 slips of some 370 were
// taken for something else, so that more than four of the some thirty of a level come by
// chance less than once in a thousand secrets.
func TestAClassOfThirtyGoesThroughTheCommandLine(t *testing.T) {
	const students, mayMiss = 30, 4
	for _, level := range []string{"ordinary", "awkward"} {
		c := newSimulatedClass(t, level, students)
		honest := honestWork(c.room)
		if len(honest) != students {
			t.Fatalf("%s: %d students of %d have a line", level, len(honest), students)
		}
		distribution := tally{}
		for i, m := range c.marked(t, honest) {
			if distribution[m.Points]++; m.Points != m.Of {
				t.Errorf("%s, student %s: %g of %g points for honest work by %s: %v, %v", level, m.ID, m.Points, m.Of, honest[i].Method, m.found(), honest[i].Cells())
			}
		}
		t.Logf("%s, honest: %v", level, distribution)
		slips := slices.DeleteFunc(practicetest.Slips(), func(s practicetest.Slip) bool { return s.Level != "" && s.Level != level })
		distribution = tally{}
		missed := 0
		for len(slips) > 0 {
			round := slips[:min(len(slips), students/2)]
			slips = slips[len(round):]
			answers := slices.Clone(honest)
			for k, s := range round {
				// The neighbour at the left is honest, and may be copied from.
				i := 2*k + 1
				answers[i-1] = c.room[i-1].Reads(s.Method, false)
				answers[i] = c.room[i].Reads(s.Method, false)
				s.Make(c.room, i, &answers[i])
			}
			for i, m := range c.marked(t, answers) {
				if i%2 == 0 || i/2 >= len(round) {
					// Whose numbers were copied is asked as well, and loses nothing.
					if m.Points != m.Of && answers[i].Slope.Given() {
						t.Errorf("%s, student %s: %g of %g points for honest work by %s: %v, %v", level, m.ID, m.Points, m.Of, answers[i].Method, m.found(), answers[i].Cells())
					}
					continue
				}
				s := round[i/2]
				distribution[m.Points]++
				if m.Points < m.Of/2 && s.Costs == 0 {
					t.Errorf("%s, student %s, %s: %g of %g points for one slip: %v", level, m.ID, s.Check, m.Points, m.Of, m.found())
				}
				if s.Least == 0 && !slices.Contains(m.found(), s.Check) {
					missed++
					t.Logf("%s, student %s: %s is taken for %v", level, m.ID, s.Check, m.found())
				}
			}
		}
		t.Logf("%s, with a slip each: %v", level, distribution)
		if missed > mayMiss {
			t.Errorf("%s: %d slips are taken for something else", level, missed)
		}
	}
}
