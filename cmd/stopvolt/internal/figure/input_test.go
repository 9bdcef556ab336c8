package figure

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"stopvolt/analysis"
	"stopvolt/instrument/run"
)

// What cannot be drawn is an error that says where it is wrong.
func TestWhatCannotBeDrawnIsAnError(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	good := benchRun().Curves[0]
	bad := run.Curve{Setting: "violet", Readings: []run.Reading{{Current: 1}, {Retarding: 1, Current: nan}}}
	single := run.Curve{Setting: "violet", Readings: []run.Reading{{Retarding: 1, Current: 1}, {Retarding: 1, Current: 2}}}
	ok := analysis.Cutoff{Stopping: nan}
	pt := analysis.Point{Frequency: 6e14, Stopping: 1}
	for _, c := range []struct {
		name string
		from drawing
		says string
	}{
		{"no curve", Curves{}, "none"},
		{"a current is not a number", Curves{Run: run.Run{Curves: []run.Curve{bad}}}, `"violet", reading 2`},
		{"one voltage", Curves{Run: run.Run{Curves: []run.Curve{single}}}, "one voltage"},
		{"a cutoff too few", Curves{Run: run.Run{Curves: []run.Curve{good}}, Methods: []MethodCutoffs{{Method: "tangent"}}}, `"tangent" has 0 cutoffs for 1`},
		{"a good cutoff is not a number", Curves{Run: run.Run{Curves: []run.Curve{good}},
			Methods: []MethodCutoffs{{Method: "tangent", Cutoffs: []analysis.Cutoff{ok}}}}, `"tangent"`},
		{"a truth too many", Curves{Run: run.Run{Curves: []run.Curve{good}}, Truth: []float64{1, 2}}, "2 true cutoffs"},
		{"a construction of no cutoff", Construction{Curve: good, Method: "tangent", Cutoff: ok}, `"tangent"`},
		{"a stroke of unlike lengths", Construction{Curve: good, Cutoff: analysis.Cutoff{Stopping: 1},
			Strokes: []analysis.Stroke{{Role: "steep part", V: []float64{1}}}}, `"steep part"`},
		{"a stroke that is not finite", Construction{Curve: good, Cutoff: analysis.Cutoff{Stopping: 1},
			Strokes: []analysis.Stroke{{Role: "steep part", V: []float64{inf}, I: []float64{1}}}}, `"steep part"`},
		{"no line", StoppingLine{}, "none"},
		{"a line without points", StoppingLine{Series: []LineSeries{{Method: "tangent"}}}, `"tangent"`},
		{"a slope that is not a number", StoppingLine{Series: []LineSeries{{Method: "tangent", Points: []analysis.Point{pt},
			Line: &analysis.Line{Slope: nan}}}}, `"tangent"`},
		{"no bias", Bias{}, "none"},
		{"an infinite bias", Bias{Rows: []BiasRow{{Method: "tangent", Bias: inf}}}, `"tangent"`},
		{"no coverage", Coverage{Nominal: 0.95}, "none"},
		{"a coverage in per cent", Coverage{Nominal: 0.95, Rows: []CoverageRow{{Method: "tangent", Coverage: 95}}}, `"tangent"`},
		{"a claim in per cent", Coverage{Nominal: 95, Rows: []CoverageRow{{}}}, "between 0 and 1"},
		{"no effect", Budget{Methods: []BudgetColumn{{}}}, "0 effects"},
		{"a shift too few", Budget{Effects: []string{"heat"}, Methods: []BudgetColumn{{Method: "tangent"}}}, `"tangent"`},
		{"values that fall", Grid{Parameter: "stray light / %", Values: []float64{2, 1}, Series: []GridSeries{{}}}, "value 2"},
		{"zero on a logarithmic axis", Grid{Values: []float64{0, 1}, Logarithmic: true, Series: []GridSeries{{}}}, "value 1"},
		{"no intensity", Intensities{}, "none"},
		{"no emitter", TwoEmitters{}, "0 emitters"},
		{"no response", Threshold{Frequency: 5e14}, "none"},
		{"a threshold at zero", Threshold{Responses: []Response{{}}}, "threshold"},
		{"a scale of no length", Deflection{Rows: []DeflectionRow{{}}}, "full scale"},
		{"no step", Steps{}, "none"},
		{"an edge too few", Steps{Steps: []Step{{Cause: "heat", V: []float64{0, 1}, I: []float64{1, 0},
			Energies: &Energies{Edges: []float64{0, 1}, Counts: []float64{1, 2}}}}}, `"heat"`},
		{"a slide beyond the last", slideShow{Steps{}}, "none"},
	} {
		_, err := c.from.Picture()
		if err == nil {
			t.Errorf("%s: no error", c.name)
		} else if !strings.Contains(err.Error(), c.says) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %q; one line with %q was expected", c.name, err, c.says)
		}
	}
}

// anyNumber draws a value of any size, and now and then one that is none.
func anyNumber() *rapid.Generator[float64] {
	return rapid.Custom(func(t *rapid.T) float64 {
		switch kind := rapid.IntRange(0, 39).Draw(t, "kind"); {
		case kind == 39:
			return rapid.SampledFrom([]float64{0, math.NaN(), math.Inf(1), math.Inf(-1)}).Draw(t, "special")
		case kind >= 20:
			return rapid.Float64Range(-1, 1).Draw(t, "mantissa") * math.Pow(10, float64(rapid.IntRange(-15, 15).Draw(t, "exponent")))
		}
		return rapid.Float64Range(-3, 3).Draw(t, "plain")
	})
}

// Whatever the numbers, a figure is an error or a picture whose labels keep
// their places.
func TestAnyNumbersGiveAnErrorOrATidyPicture(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "n")
		numbers := func(name string) []float64 { return rapid.SliceOfN(anyNumber(), n+1, n+1).Draw(t, name) }
		a, b, u := numbers("a"), numbers("b"), numbers("u")
		curve := run.Curve{Setting: "green"}
		bias, line := Bias{}, LineSeries{Method: "tangent", Line: &analysis.Line{Slope: a[0], Intercept: b[0], USlope: u[0]}}
		budget := Budget{Methods: []BudgetColumn{{Method: "tangent", Shifts: a, Errors: u}, {Method: "two-tangent", Shifts: b, Errors: u}}}
		grid := Grid{Parameter: "stray light / %", Values: slices.Clone(a), Series: []GridSeries{{Method: "tangent", Bias: b, Error: u}}}
		slices.Sort(grid.Values)
		grid.Logarithmic = rapid.Bool().Draw(t, "logarithmic")
		deflection := Deflection{FullScale: 100}
		for i := range a {
			curve.Readings = append(curve.Readings, run.Reading{Retarding: a[i], Current: b[i], Uncertainty: math.Abs(u[i])})
			bias.Rows = append(bias.Rows, BiasRow{Method: "tangent", Bias: a[i], BiasError: b[i], Spread: u[i]})
			line.Points = append(line.Points, analysis.Point{Frequency: 1e14 * a[i], Stopping: b[i], UStopping: math.Abs(u[i])})
			budget.Effects = append(budget.Effects, "heat")
			deflection.Rows = append(deflection.Rows, DeflectionRow{Setting: "green", Current: a[i], Divisions: b[i], U: math.Abs(u[i])})
		}
		cutoff := analysis.Cutoff{Stopping: a[0], U: u[0], Status: analysis.Status(rapid.IntRange(0, 1).Draw(t, "status"))}
		truth := b[0]
		for _, d := range []drawing{
			Curves{Run: run.Run{Curves: []run.Curve{curve}}, Truth: []float64{truth},
				Methods: []MethodCutoffs{{Method: "tangent", Cutoffs: []analysis.Cutoff{cutoff}}}},
			Construction{Curve: curve, Method: "tangent", Cutoff: cutoff, Strokes: []analysis.Stroke{{Role: "steep part", V: a, I: b}}, Truth: &truth},
			Intensities{Curves: []IntensityCurve{{Name: "full", Curve: curve, Cutoff: &cutoff}}, Truth: &truth},
			StoppingLine{Series: []LineSeries{line}},
			bias, budget, grid, deflection,
			Threshold{Frequency: 5e14, Responses: []Response{{Frequency: a, Current: b}}},
			Steps{Truth: truth, Limit: u[0], Steps: []Step{{Cause: "heat", V: a, I: b, Readings: curve.Readings}, {Cause: "noise", V: a, I: u}}},
		} {
			if p, err := d.Picture(); err == nil {
				t.Logf("%T", d)
				checkLayout(t, p)
			}
		}
	})
}
