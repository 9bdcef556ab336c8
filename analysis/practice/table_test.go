package practice_test

import (
	"bytes"
	"encoding/csv"
	"math"
	"slices"
	"strings"
	"testing"

	"stopvolt/analysis/practice"
	"stopvolt/instrument/run/reader"
)

func TestGradesAreHarmlessAndInTheReadersConventions(t *testing.T) {
	c := newClassroom(t, recipe(t, "clean"), 2)
	answers := []practice.Answer{c.reads(0, "tangent").Answer}
	answers[0].Method = "=HYPERLINK(1)"
	marks := c.marks(t, answers)
	marks[0].Override = &practice.Override{Points: 7.5, Reason: "=1+1"}
	marks[1].Student.Name = "@Bo"
	var b bytes.Buffer
	if err := practice.WriteGrades(&b, practice.Presentation{DecimalComma: true}, marks); err != nil {
		t.Fatal(err)
	}
	in := csv.NewReader(&b)
	in.Comma = ';'
	rows, err := in.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if rows[1][2] != "7,5" || rows[1][5] != "'=1+1" || rows[1][6] != "'=HYPERLINK(1)" || rows[2][1] != "'@Bo" {
		t.Errorf("the rows are %q", rows)
	}
}

func TestRunsInTheReadersConventionsAreReadBack(t *testing.T) {
	x := made(t, recipe(t, "awkward"), 1)[0]
	var b bytes.Buffer
	if err := (practice.Presentation{DecimalComma: true}).WriteRun(&b, x.Run); err != nil {
		t.Fatal(err)
	}
	back, _, err := reader.Read([]reader.Source{{Name: "sheet.csv", Reader: &b}}, reader.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i, c := range back.Curves {
		for k, r := range c.Readings {
			if want := x.Run.Curves[i].Readings[k]; math.Abs(r.Retarding-want.Retarding) > 1e-9 || math.Abs(r.Current-want.Current) > 1e-11*math.Abs(want.Current) ||
				math.Abs(r.Uncertainty-want.Uncertainty) > 0.0051*want.Uncertainty || math.Abs(r.Time-want.Time) > 1e-9 || r.Flags != want.Flags {
				t.Fatalf("setting %s, reading %d: %+v, want %+v", c.Setting, k, r, want)
			}
		}
	}
}

func TestNamesMayHoldAnyLetters(t *testing.T) {
	class, err := practice.ReadClass(reader.Source{Name: "list.csv", Reader: strings.NewReader(
		"name;student_id\nСофия;a\nRamesh s/o Kumar;b\n\u202eنور;c\n\"O'Neil; Zoë\";-d\n李;é\n")}, reader.Options{})
	if err != nil || len(class) != 5 || class[3].Name != "O'Neil; Zoë" || class[4].ID != "é" {
		t.Errorf("%+v, %v", class, err)
	}
}

func TestNoStudentLeavesTheFolder(t *testing.T) {
	for _, id := range []string{"..", ".", "../a", "a/b", `a\b`, "/a", "a:b", "con", "LPT1.txt", "a.", strings.Repeat("a", 121)} {
		_, err := practice.ReadClass(reader.Source{Name: "list.csv", Reader: strings.NewReader("student_id,name\n\"" + id + "\",Ada\n")}, reader.Options{})
		if err == nil || !strings.HasPrefix(err.Error(), "list.csv:2:1: student_id ") {
			t.Errorf("%q: error %v", id, err)
		}
	}
}

func TestDecisionsNeedAReason(t *testing.T) {
	read := func(text string) (map[string]practice.Override, error) {
		return practice.ReadOverrides(reader.Source{Name: "d.csv", Reader: strings.NewReader(text)}, reader.Options{})
	}
	got, err := read("student_id;points;reason\na;8,5;late, but right\n")
	if err != nil || got["a"] != (practice.Override{Points: 8.5, Reason: "late, but right", Line: 2}) {
		t.Errorf("%v, %v", got, err)
	}
	for text, want := range map[string]string{
		"student_id,points,reason\na,8,\n":         "d.csv:2:5: a decision needs its reason",
		"student_id,points,reason\na,,x\n":         "d.csv:2:3: a decision needs points",
		"student_id,points,reason\na,-1,x\n":       "d.csv:2:3: a decision needs points",
		"student_id,points\na,1\n":                 "d.csv:1:1: there is no column reason",
		"student_id,points,reason\na,1,x\na,2,y\n": `d.csv:3:1: student_id "a" has a decision already`,
	} {
		if _, err := read(text); err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%q: error %v, want %s", text, err, want)
		}
	}
}

// One student's slip must not stop the marking of a class; a table without the
// right columns is no table of answers.
func TestTextForANumberIsAFindingAndABrokenHeaderAnError(t *testing.T) {
	read := func(text string) ([]practice.Answer, error) {
		return practice.ReadAnswers(reader.Source{Name: "a.csv", Reader: strings.NewReader(text)}, reader.Options{}, []string{"blue", "red"})
	}
	answers, err := read("student_id,stopping_blue_V,stopping_red_V,slope_Vs\na,about 1 V,0.42,steep\nb,1.02,0.4,4.1e-15\n")
	if err != nil || len(answers) != 2 {
		t.Fatalf("%+v, %v", answers, err)
	}
	a, b := answers[0], answers[1]
	want := []string{"a.csv:2:3: stopping_blue_V", "a.csv:2:18: slope_Vs"}
	named := slices.EqualFunc(a.Unreadable, want, func(u practice.Unreadable, begin string) bool { return strings.HasPrefix(u.Message, begin) })
	if !named || a.Unreadable[1].Text != "steep" || a.Stopping[0].Given() || a.Slope.Given() || a.Stopping[1].Value != 0.42 {
		t.Errorf("the first answer is %+v", a)
	}
	if len(b.Unreadable) != 0 || b.Slope.Value != 4.1e-15 {
		t.Errorf("the second answer is %+v", b)
	}
	if _, err := read("student_id,stopping_green_V\na,1\n"); err == nil {
		t.Error("a column of no setting is taken")
	}
	if _, err := read("id,stopping_blue_V\na,1\n"); err == nil {
		t.Error("a table without student_id is taken")
	}
}
