package practice_test

import (
	"bytes"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"stopvolt/analysis/practice"
	"stopvolt/analysis/practice/practicetest"
	"stopvolt/instrument/run/reader"
)

// marked marks a class in a way of its own.
func (c *classroom) marked(t testing.TB, what practice.Marking) []practice.Mark {
	t.Helper()
	k, err := practice.OpenKey(bytes.NewReader(c.key), cheap)
	if err != nil {
		t.Fatal(err)
	}
	marks, err := practice.MarkClass(k, what)
	if err != nil {
		t.Fatal(err)
	}
	return marks
}

// Of two submissions the better one counts, whichever it is.
func TestTheBetterOfTwoSubmissionsCounts(t *testing.T) {
	c := newClassroom(t, recipe(t, "ordinary"), 3)
	good := func(i int) practice.Answer { return c.reads(i, "tangent").Answer }
	bad := func(i int) practice.Answer {
		a := good(i)
		a.HOverE = practicetest.To(a.HOverE.Value*0.8, 3)
		return a
	}
	marks := c.marked(t, practice.Marking{
		Answers: []practice.Answer{good(0), bad(1)},
		Second:  []practice.Answer{bad(0), good(1), good(2)},
	})
	for i, want := range []int{1, 2, 2} {
		m := marks[i]
		points, of := m.Proposed()
		if m.Submission != want || points != of || i < 2 && m.Other != of-1 {
			t.Errorf("student %d: submission %d with %g of %g, the other with %g", i, m.Submission, points, of, m.Other)
		}
	}
}

// A scheme says what steps and slips are worth.
func TestASchemeSaysWhatThereArePointsFor(t *testing.T) {
	c := newClassroom(t, recipe(t, "ordinary"), 2)
	scheme, err := practice.ReadScheme("s.toml", []byte("[points]\nvoltages = 10\n[costs]\nvoltage-sign = 3\n[tolerances]\nvoltage_steps = 0.1\nvoltage_u = 0\n"))
	if err != nil {
		t.Fatal(err)
	}
	a := c.reads(0, "tangent")
	for k := range a.Stopping {
		a.Stopping[k].Value *= -1
	}
	a.Conclude()
	far := c.reads(1, "tangent")
	far.Stopping[0].Value += 0.03
	far.Conclude()
	marks := c.marked(t, practice.Marking{Answers: []practice.Answer{a.Answer, far.Answer}, Scheme: &scheme})
	if _, of := marks[0].Proposed(); of != 16 || points(marks[0], practice.Voltages) != 7 {
		t.Errorf("%g points of %g: %+v", points(marks[0], practice.Voltages), of, marks[0].Steps)
	}
	if got := points(marks[1], practice.Voltages); got >= 10 {
		t.Errorf("a voltage 30 mV off earns %g where 5 mV are allowed", got)
	}
	for text, want := range map[string]string{
		"[points]\nvoltage = 3\n":          "s.toml:2:1: points.voltage is no key",
		"[points]\nvoltages = -1\n":        "s.toml: points.voltages is -1",
		"[costs]\nhandwriting = 1\n":       `s.toml: costs has "handwriting"`,
		"intercept = \"mine\"\n":           `s.toml: intercept is "mine"`,
		"[tolerances]\nslope = nan\n":      "s.toml: tolerances.slope is NaN",
		"[points]\nvoltages = \"four\"\n":  "s.toml:2:12: ",
		"[points\n":                        "s.toml:1:",
		"[costs]\nvoltage-sign = 1e400\n":  "s.toml:2:",
		"[points]\nline = 1\nline = 2\n":   "s.toml:3:",
		"[costs]\nvoltage-sign = -0.5\n":   "s.toml: costs.voltage-sign is -0.5",
		"[points]\nuncertainty = 100000\n": "s.toml: points.uncertainty is 100000",
	} {
		if _, err := practice.ReadScheme("s.toml", []byte(text)); err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
}

// Where the handout calls the intercept the photocathode's, that costs nothing, and
// the student is told all the same.
func TestTheInterceptMayBeCalledEither(t *testing.T) {
	c := newClassroom(t, recipe(t, "ordinary"), 2)
	a := c.reads(0, "tangent")
	a.EmitterWorkFunction, a.CollectorWorkFunction = a.CollectorWorkFunction, practicetest.Nothing
	either := practice.DefaultScheme()
	either.Intercept = practice.Either
	for _, test := range []struct {
		scheme *practice.Scheme
		want   float64
	}{{nil, 1.5}, {&either, 2}} {
		m := c.marked(t, practice.Marking{Answers: []practice.Answer{a.Answer}, Scheme: test.scheme})[0]
		if got := points(m, practice.Results); got != test.want || !slices.Contains(found(m), "intercept-of-emitter") {
			t.Errorf("%g points, want %g; found %v", got, test.want, found(m))
		}
	}
}

// Extra time is a student's own.
func TestExtraTimeMovesTheEnd(t *testing.T) {
	c := newClassroom(t, recipe(t, "ordinary"), 3)
	extra, err := practice.ReadExtraTime(reader.Source{Name: "e.csv", Reader: strings.NewReader("student_id,minutes\n" + c.records[1].Student.ID + ",30\n")}, reader.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var answers []practice.Answer
	for i := range c.records {
		a := c.reads(i, "tangent")
		a.Time = practicetest.Due.Add(20 * time.Minute)
		answers = append(answers, a.Answer)
	}
	answers[2].Time = time.Time{}
	for i, m := range c.marked(t, practice.Marking{Answers: answers, Deadline: practice.Deadline{Due: practicetest.Due, Extra: extra}}) {
		if late := slices.Contains(found(m), "late"); late != (i == 0) {
			t.Errorf("student %d is late: %t", i, late)
		}
		if got, of := m.Proposed(); got != of {
			t.Errorf("student %d: being late costs %g points, which is the instructor's to say", i, of-got)
		}
	}
	for text, want := range map[string]string{
		"student_id,minutes\na,-1\n":      "e.csv:2:3: extra time",
		"student_id,minutes\na,1\na,2\n":  "e.csv:3:1: student_id",
		"student_id,minutes\na,a while\n": "e.csv:2:3: ",
	} {
		if _, err := practice.ReadExtraTime(reader.Source{Name: "e.csv", Reader: strings.NewReader(text)}, reader.Options{}); err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%q: %v", text, err)
		}
	}
}

// A sample for a second marker goes from the lowest mark to the highest.
func TestASampleSpansTheMarks(t *testing.T) {
	marks := make([]practice.Mark, 40)
	for i := range marks {
		marks[i] = practice.Mark{HandedIn: i != 7, Steps: []practice.Step{{Points: float64((i * 17) % 40), Of: 40}}}
	}
	sample := practice.Sample(marks, 5)
	if len(sample) != 5 || marks[sample[0]].Points() != 0 || marks[sample[4]].Points() != 38 || slices.Contains(sample, 7) {
		t.Errorf("the sample is %v", sample)
	}
	if got := practice.Sample(marks[:3], 10); len(got) != 3 {
		t.Errorf("of three marks %d are in the sample", len(got))
	}
	if got := practice.Sample(marks, 0); len(got) != 0 {
		t.Errorf("a sample of none has %d", len(got))
	}
}

// mad are cells that somebody may have typed.
var mad = []string{"1e308", "-1e308", strings.Repeat("9", 300), "word", "1e-308", "0", "-0", "1,2,3", "∞", "NaN", "inf", "=1+1", "1e21", "1e19", "-5"}

// One student's mad cell never stops the class: it is a finding that names file and
// line, all points stay numbers, and the others get what they got before.
func TestMadCellsNeverStopTheClass(t *testing.T) {
	c := newClassroom(t, recipe(t, "ordinary"), 2)
	other := c.reads(1, "tangent").Answer
	columns := []string{"slope_Vs", "intercept_V", "h_over_e_Vs", "u_h_over_e_Vs", "coverage_factor", "collector_work_function_eV", "emitter_work_function_eV"}
	for _, s := range c.public.Settings {
		columns = append(columns, "stopping_"+s+"_V")
	}
	honest := c.reads(0, "tangent")
	for _, column := range columns {
		for _, cell := range mad {
			text := "student_id,method," + column + "\n" + honest.Student.ID + ",tangent,\"" + cell + "\"\n"
			answers, err := practice.ReadAnswers(reader.Source{Name: "a.csv", Reader: strings.NewReader(text)}, reader.Options{}, c.public.Settings)
			if err != nil {
				t.Fatalf("%s = %q: %v", column, cell, err)
			}
			// The rest of the answer is in order.
			a, whole := answers[0], honest.Answer
			whole.Unreadable = a.Unreadable
			for _, q := range []struct{ from, into *practice.Quantity }{
				{&a.Slope, &whole.Slope}, {&a.Intercept, &whole.Intercept}, {&a.HOverE, &whole.HOverE}, {&a.U, &whole.U}, {&a.CoverageFactor, &whole.CoverageFactor},
				{&a.CollectorWorkFunction, &whole.CollectorWorkFunction}, {&a.EmitterWorkFunction, &whole.EmitterWorkFunction},
			} {
				if q.from.Given() {
					*q.into = *q.from
				}
			}
			whole.Stopping = slices.Clone(whole.Stopping)
			for k, q := range a.Stopping {
				if q.Given() {
					whole.Stopping[k] = q
				}
			}
			if never := slices.Contains([]string{"1e308", "-1e308", strings.Repeat("9", 300), "word", "1,2,3", "1e21"}, cell); never && len(a.Unreadable) != 1 {
				t.Errorf("%s = %q is taken for a number: %+v", column, cell, a)
			}
			for _, u := range a.Unreadable {
				if !strings.HasPrefix(u.Message, "a.csv:2:") {
					t.Errorf("%s = %q: %s", column, cell, u.Message)
				}
			}
			marks := []practice.Mark{c.mark(0, whole), c.mark(1, other)}
			if got, of := marks[1].Proposed(); got != of {
				t.Errorf("%s = %q: another student has %g of %g points", column, cell, got, of)
			}
			if got, _ := marks[0].Proposed(); math.IsNaN(got) || got < 0 {
				t.Errorf("%s = %q: %g points", column, cell, got)
			}
		}
	}
}

// Letters that look alike are one student, and a column stands once.
func TestIdentitiesAreComparedInNormalForm(t *testing.T) {
	const composed, apart = "Zo\u00eb", "Zoe\u0308"
	class := "student_id,name\n" + composed + ",A\n" + apart + ",B\n"
	if _, err := practice.ReadClass(reader.Source{Name: "l.csv", Reader: strings.NewReader(class)}, reader.Options{}); err == nil || !strings.HasPrefix(err.Error(), "l.csv:3:1:") {
		t.Errorf("two students whose files have one name: %v", err)
	}
	read := func(text string) ([]practice.Answer, error) {
		return practice.ReadAnswers(reader.Source{Name: "a.csv", Reader: strings.NewReader(text)}, reader.Options{}, []string{"blue"})
	}
	if got, err := read("student_id,method\n" + apart + ",tangent\n"); err != nil || got[0].Student.ID != composed {
		t.Errorf("%+v, %v", got, err)
	}
	for _, text := range []string{"student_id,slope_Vs,slope_Vs\na,1,2\n", "student_id,slope_Vs,SLOPE_vs\na,1,2\n"} {
		if _, err := read(text); err == nil || !strings.HasPrefix(err.Error(), "a.csv:1") {
			t.Errorf("%q: %v", text, err)
		}
	}
}

// Whatever a table of answers holds, marking it ends with points that are numbers.
func FuzzAnswers(f *testing.F) {
	c := newClassroom(f, recipe(f, "clean"), 1)
	head := "student_id,method,slope_Vs,intercept_V,h_over_e_Vs,u_h_over_e_Vs,coverage_factor,collector_work_function_eV,emitter_work_function_eV,left_out,handed_in"
	for _, s := range c.public.Settings {
		head += ",stopping_" + s + "_V"
	}
	id := c.records[0].Student.ID
	for _, row := range []string{",tangent,4.1e-15,-1.6,4.1e-15,1e-16,2,1.6,1.5,red,2026-11-25 12:00,1.2,0.9,0.7,0.1,0", ",x,1e308,0,0,0,0,0,0,,,-1,-1,-1,-1,-1", ""} {
		f.Add(head + "\n" + id + row + "\n")
	}
	f.Fuzz(func(t *testing.T, text string) {
		answers, err := practice.ReadAnswers(reader.Source{Name: "a.csv", Reader: strings.NewReader(text)}, reader.Options{}, c.public.Settings)
		if err != nil {
			return
		}
		for _, a := range answers {
			m := c.mark(0, a)
			points, of := m.Proposed()
			if !(points >= 0 && points <= of) {
				t.Errorf("%q: %g points of %g", text, points, of)
			}
		}
	})
}
