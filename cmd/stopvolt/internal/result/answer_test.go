package result

import (
	"bytes"
	"encoding/csv"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"stopvolt/analysis"
)

// extracted is an extraction of one setting each of whose fields has a value of
// its own.
func extracted() Extraction {
	var x Extraction
	x.Settings = []analysis.Setting{{Cutoffs: make([]analysis.Cutoff, 2)}}
	next := fill(reflect.ValueOf(&x.Settings[0]).Elem(), 101)
	for m := range x.Settings[0].Cutoffs {
		next = fill(reflect.ValueOf(&x.Settings[0].Cutoffs[m]).Elem(), next)
		x.Settings[0].Cutoffs[m].Status = analysis.OK
	}
	x.Lines = make([]analysis.MethodLine, 2)
	for i := range x.Lines {
		next = fill(reflect.ValueOf(&x.Lines[i]).Elem(), next)
		x.Lines[i].Status = analysis.OK
	}
	x.Methods = []analysis.Method{analysis.Tangent{}, analysis.FowlerFit{}}
	x.Lines[0].Method, x.Lines[1].Method = "tangent", "fowler-fit"
	x.Fit = x.Lines[0].Fit
	next = fill(reflect.ValueOf(&x.Answer).Elem(), next)
	x.Answer.Status = analysis.OK
	x.Answer.Remarks = []string{"remark"}
	x.Answer.Usable, x.Answer.Unusable = make([]analysis.Standing, 1), make([]analysis.Standing, 1)
	next = fill(reflect.ValueOf(&x.Answer.Usable[0]).Elem(), next)
	fill(reflect.ValueOf(&x.Answer.Unusable[0]).Elem(), next)
	x.Answer.Usable[0].Method, x.Answer.Unusable[0].Method = "tangent", "fowler-fit"
	return x
}

// The answer, each standing and each cutoff are in JSON under their own keys,
// written out a second time here.
func TestEveryPartOfAnAnswerIsUnderItsOwnKey(t *testing.T) {
	x := extracted()
	told := read(t, x.Object())
	standing := func(s analysis.Standing) map[string]any {
		return map[string]any{"method": s.Method, "settings": float64(s.Settings), "h_over_e_Vs": s.HOverE, "u_Vs": s.U,
			"collector_work_function_eV": s.WorkFunction, "reason": s.Reason}
	}
	a, c := x.Answer, x.Settings[0].Cutoffs[1]
	answer := told["answer"].(map[string]any)
	for name, part := range map[string]struct {
		got  map[string]any
		want map[string]any
	}{
		"answer": {answer, map[string]any{
			"status": "ok", "reason": a.Reason, "method": a.Method, "fit": a.Fit, "h_over_e_Vs": a.HOverE, "u_Vs": a.U,
			"u_scatter_Vs": a.UScatter, "u_wavelength_Vs": a.UWavelength, "u_spread_Vs": a.USpread,
			"collector_work_function_eV": a.WorkFunction, "u_collector_work_function_eV": a.UWorkFunction,
			"settings": float64(a.Settings), "degrees_of_freedom": float64(a.DegreesOfFreedom),
		}},
		"usable":   {answer["usable"].([]any)[0].(map[string]any), standing(a.Usable[0])},
		"unusable": {answer["unusable"].([]any)[0].(map[string]any), standing(a.Unusable[0])},
		"cutoff": {told["settings"].([]any)[0].(map[string]any)["cutoffs"].([]any)[1].(map[string]any), map[string]any{
			"method": "fowler-fit", "stopping_V": c.Stopping, "u_V": c.U, "status": "ok", "reason": c.Reason, "remark": c.Remark, "level_A": c.Level,
		}},
	} {
		for key, want := range part.want {
			if got := part.got[key]; got != want {
				t.Errorf("%s: %s is %v, not %v", name, key, got, want)
			}
		}
	}
	golden(t, Schema, "answer", AnswerObject(x.Answer))
}

// An answer that is none is null, beside its status and its reason.
func TestNoAnswerIsNull(t *testing.T) {
	x := extracted()
	x.Answer = analysis.Answer{Status: analysis.NoCutoff, Reason: "none", HOverE: math.NaN(), U: math.NaN()}
	answer := read(t, x.Object())["answer"].(map[string]any)
	if answer["h_over_e_Vs"] != nil || answer["status"] != "no-cutoff" || answer["reason"] != "none" || len(answer["usable"].([]any)) > 0 {
		t.Errorf("answer %v", answer)
	}
}

// By default tables have one row a method, the useful ones first; all rows have
// all.
func TestOneRowAMethodUnlessAllAreAskedFor(t *testing.T) {
	x := extracted()
	other := x.Lines[0]
	other.Fit = "another"
	x.Lines[1].Fit = x.Fit
	x.Lines = []analysis.MethodLine{x.Lines[1], other, x.Lines[0]}
	var methods []string
	for _, row := range x.LineTable().Rows {
		methods = append(methods, row[0]+" "+row[len(row)-1])
	}
	if len(methods) != 2 || !strings.HasPrefix(methods[0], "tangent") || methods[1] != "fowler-fit of no use here" {
		t.Errorf("the rows are %q", methods)
	}
	x.AllRows = true
	if n := len(x.LineTable().Rows); n != 3 {
		t.Errorf("all rows are %d, want 3", n)
	}
}

// Three settings leave one to doubt a line by, which its row says.
func TestALineOnThreeSettingsSaysSo(t *testing.T) {
	x := extracted()
	for left, want := range map[string]string{"": "rests on three settings", "green": "green; rests on three settings"} {
		l := Line{MethodLine: x.Lines[0]}
		l.LeftOut, l.Line.DegreesOfFreedom = nil, 1
		if left != "" {
			l.LeftOut = []string{left}
		}
		row := LineTable([]Line{l}).Rows[0]
		if got := row[len(row)-1]; got != want {
			t.Errorf("it says %q, not %q", got, want)
		}
	}
}

// The table of cutoffs has a row a setting and method.
func TestCutoffsAsCSV(t *testing.T) {
	x := extracted()
	var b bytes.Buffer
	if err := x.WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 3 || rows[2][0] != x.Settings[0].Name || rows[2][2] != "fowler-fit" || rows[2][3] != Cell(x.Settings[0].Cutoffs[1].Stopping) {
		t.Errorf("rows %q", rows)
	}
	hold(t, Schema, "cutoffs-csv", slices.Clone(rows[0]))
}

// Numbers are written as a person would: no digits that binary fractions leave
// behind, and three figures of an uncertainty.
func TestNumbersInCSVAreThoseThatAPersonWouldWrite(t *testing.T) {
	third := 0.1 + 0.2
	x := extracted()
	x.Settings[0].Cutoffs[1].Stopping, x.Settings[0].Cutoffs[1].U = third, 0.03817164798233434
	var b bytes.Buffer
	if err := x.WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), ",fowler-fit,0.3,0.0382,ok,") {
		t.Error(b.String())
	}
}
