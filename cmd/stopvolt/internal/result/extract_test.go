package result

import (
	"bytes"
	"reflect"
	"strings"
	"testing"

	"stopvolt/analysis"
	"stopvolt/analysis/practice"
	"stopvolt/physics"
)

// told is an extraction of one setting by one method, each of whose fields has a
// value of its own.
func told() Extraction {
	x := Extraction{Methods: []analysis.Method{analysis.Tangent{}}}
	x.Settings = []analysis.Setting{{Name: "red", Wavelength: 650, Cutoffs: []analysis.Cutoff{
		{Stopping: 0.511, U: 0.012, Status: analysis.OK, Reason: "a reason", Remark: "a remark"},
	}}}
	x.Lines = []analysis.MethodLine{{
		Method: "tangent", Fit: "weighted", Status: analysis.OK, Reason: "another reason", LeftOut: []string{"blue"},
		Line: analysis.Line{Slope: 4.02e-15, Intercept: -1.53, USlope: 0.07e-15, UIntercept: 0.04, Covariance: -1e-18, DegreesOfFreedom: 3},
	}}
	x.Bootstrap = &analysis.Bootstrapped{
		Cutoffs:       [][]analysis.Spread{{{N: 9, Mean: 0.5, Deviation: 0.013}}},
		Slopes:        []analysis.Spread{{N: 9, Mean: 4e-15, Deviation: 0.08e-15}},
		WorkFunctions: []analysis.Spread{{N: 9, Mean: 1.5, Deviation: 0.05}},
	}
	return x
}

// Every number of an extraction is in JSON under its own key.
func TestEveryNumberOfAnExtractionIsUnderItsOwnKey(t *testing.T) {
	x := told()
	all := read(t, x.Object())
	setting := all["settings"].([]any)[0].(map[string]any)
	phi, u := x.Lines[0].Line.WorkFunction()
	for name, part := range map[string]struct{ got, want map[string]any }{
		"setting": {setting, map[string]any{"name": "red", "wavelength_nm": 650.0}},
		"cutoff": {setting["cutoffs"].([]any)[0].(map[string]any), map[string]any{
			"method": "tangent", "stopping_V": 0.511, "u_V": 0.012, "status": "ok", "reason": "a reason", "remark": "a remark", "bootstrap_u_V": 0.013,
		}},
		"line": {all["lines"].([]any)[0].(map[string]any), map[string]any{
			"method": "tangent", "fit": "weighted", "h_over_e_Vs": 4.02e-15, "u_Vs": 0.07e-15,
			"relative_deviation": x.Lines[0].Line.Slope/physics.HOverE - 1, "collector_work_function_eV": phi, "u_collector_work_function_eV": u,
			"degrees_of_freedom": 3.0, "status": "ok", "reason": "another reason", "bootstrap_u_Vs": 0.08e-15,
		}},
	} {
		for key, want := range part.want {
			if got := part.got[key]; got != want {
				t.Errorf("%s: %s is %v, not %v", name, key, got, want)
			}
		}
	}
	golden(t, Schema, "extract", x.Object())
}

// The tables of an extraction show each number in its own column.
func TestTheTablesOfAnExtractionShowEachNumberInItsColumn(t *testing.T) {
	x := told()
	lines := LineTable(x.lines())
	want := []string{"tangent", "weighted", "4.02(7)", "-2.80", "1.53(4)", "blue"}
	if !reflect.DeepEqual(lines.Rows[0], want) {
		t.Errorf("under %q stands %q, not %q", lines.Headings, lines.Rows[0], want)
	}
	headings := []string{"method", "line", "h/e / 1e-15 V s", "off by / %", "collector's work function / eV", "left out"}
	if !reflect.DeepEqual(lines.Headings, headings) {
		t.Errorf("the headings are %q", lines.Headings)
	}
	cutoffs := x.Cutoffs([]float64{0.61})
	if got := cutoffs.Rows; !reflect.DeepEqual(got, [][]string{{"tangent", "0.511(12)"}, {"truth", "0.6100"}}) {
		t.Errorf("the cutoffs are %q", got)
	}
	var text bytes.Buffer
	if err := x.printBootstrap(&text); err != nil {
		t.Fatal(err)
	}
	for _, number := range []string{"0.013", "0.08", "0.05"} {
		if !strings.Contains(text.String(), number) {
			t.Errorf("%s is not in %s", number, text.String())
		}
	}
}

// A line that there is not has no numbers, and says why.
func TestALineThatThereIsNotSaysWhy(t *testing.T) {
	x := told()
	x.Lines[0].Status, x.Bootstrap = analysis.TooFewReadings, nil
	line := read(t, x.Object())["lines"].([]any)[0].(map[string]any)
	for _, key := range []string{"h_over_e_Vs", "u_Vs", "relative_deviation", "collector_work_function_eV", "u_collector_work_function_eV"} {
		if got, there := line[key]; got != nil || !there {
			t.Errorf("%s is %v", key, got)
		}
	}
	if _, there := line["bootstrap_u_Vs"]; there {
		t.Error("a bootstrap that was not done has a key")
	}
	want := []string{"tangent", "weighted", "-", "-", "-", "another reason"}
	if got := LineTable(x.lines()).Rows[0]; !reflect.DeepEqual(got, want) {
		t.Errorf("the table shows %q", got)
	}
}

// Every number of a mark is in JSON under its own key.
func TestEveryNumberOfAMarkIsUnderItsOwnKey(t *testing.T) {
	m := practice.Mark{
		Case: &practice.Case{
			Student:    practice.Student{ID: "s01", Name: "Ada"},
			Truth:      practice.Truth{HOverE: 4.5e-15, CollectorWorkFunction: 2.1, EmitterWorkFunction: 1.7, Fault: "a fault"},
			References: []practice.Reference{{Method: "tangent", Stopping: []float64{0.41, 0.52}, HOverE: 4.05e-15}},
		},
		HandedIn: true,
		Steps:    []practice.Step{{Group: "voltages", Points: 1.5, Of: 4, Given: true}},
		Findings: []practice.Finding{{
			Check:    practice.Check{Name: "n", Group: "line", Looks: "l"},
			Evidence: practice.Evidence{Settings: []string{"red"}, Given: 1.25, Expected: 2.25, Unit: "V", Text: "typed", Other: "s02"},
		}},
		Override: &practice.Override{Points: 2.75, Reason: "because"},
	}
	m.Answer.Method = "by eye"
	p := Practice{Public: practice.Public{Level: "ordinary", Blind: true}, Marks: []practice.Mark{m}}
	student := read(t, p.Object())["students"].([]any)[0].(map[string]any)
	relative, _ := m.Deviation()
	for name, part := range map[string]struct {
		got  any
		want map[string]any
	}{
		"student": {student, map[string]any{"student_id": "s01", "name": "Ada", "handed_in": true, "points": 2.75, "of": 4.0, "proposed_points": 1.5, "reason": "because", "method": "by eye", "h_over_e_Vs": m.HOverE(), "relative_deviation": relative}},
		"truth":   {student["truth"], map[string]any{"h_over_e_Vs": 4.5e-15, "collector_work_function_eV": 2.1, "emitter_work_function_eV": 1.7, "fault": "a fault"}},
		"step":    {student["steps"].([]any)[0], map[string]any{"step": "voltages", "points": 1.5, "of": 4.0, "given": true, "follows": false}},
		"finding": {student["findings"].([]any)[0], map[string]any{"name": "n", "step": "line", "looks": "l", "given": 1.25, "expected": 2.25, "unit": "V", "text": "typed", "other_student_id": "s02"}},
		"method":  {student["methods"].([]any)[0], map[string]any{"method": "tangent", "h_over_e_Vs": 4.05e-15, "relative_deviation": m.References[0].HOverE/m.Truth.HOverE - 1}},
	} {
		for key, want := range part.want {
			if got := part.got.(map[string]any)[key]; got != want {
				t.Errorf("%s: %s is %v, not %v", name, key, got, want)
			}
		}
	}
	golden(t, Schema, "practice", p.Object())
	var text bytes.Buffer
	if err := p.Print(&text); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(text.String(), "2.75/4") || !strings.Contains(text.String(), "n (decision: because)") {
		t.Error(text.String())
	}
}
