package figure

import (
	"math"
	"testing"
)

func ExampleClass() {
	show(Class{
		Title: "Answers of an invented class", Axis: "deviation of h/e from the truth / %",
		Alt:  "Six answers with their stated uncertainties.",
		Mark: "answer", Bar: "stated standard uncertainty",
		Headings: []string{"deviation / %", "method", "points"},
		Rows: []ClassRow{
			{Name: "a01", Deviation: -0.163, U: 0.03, Cells: []string{"−16.3", "tangent", "9 of 10"}},
			{Name: "a02", Deviation: 0.012, U: 0.02, Cells: []string{"1.2", "square-root", "10 of 10"}},
			{Name: "a03", Deviation: -0.08, U: 0.1, Cells: []string{"−8.0", "null-reading", "10 of 10"}},
			{Name: "a04", Deviation: math.NaN(), U: math.NaN(), Cells: []string{"–", "–", "0 of 10"}},
			{Name: "a05", Deviation: 41, U: 2, Cells: []string{"4100", "tangent", "7.5 of 10"}},
			{Name: "a06", Deviation: -0.11, U: math.NaN(), Cells: []string{"−11.0", "zero-crossing", "8 of 10"}},
		},
	}.Picture())
}

func TestClassLooksAsBefore(t *testing.T) { matches(t, ExampleClass, "class") }

func TestClassWithoutAnswersIsAnError(t *testing.T) {
	for _, f := range []Class{{}, {Rows: []ClassRow{{Name: "a", Cells: []string{"1"}}}}, {Rows: []ClassRow{{Deviation: math.Inf(1)}}}} {
		if _, err := f.Picture(); err == nil {
			t.Errorf("%+v is drawn", f)
		}
	}
}
