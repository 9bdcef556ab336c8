package result

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"stopvolt/analysis/study"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/words"
)

// A Study is what a study found, ready to be told.
type Study struct {
	// Scenario is the name and Title the title with what was assigned.
	Scenario, Title string
	Seed            uint64
	// Lights are the names of the settings.
	Lights []string
	Result study.Result
	Best   study.Recommendation
}

// measure returns two columns: a measure, and under the key with _mcse its Monte
// Carlo standard error. The unit ends both keys, as in bias_V and bias_mcse_V.
func measure[R any](key, unit, heading string, s scale, get func(R) study.Measure) Columns[R] {
	value := number(key+unit, heading, s, func(r R) float64 { return get(r).Value })
	return append(value, errorOf(key, unit, get)...)
}

// errorOf returns the column of a measure's Monte Carlo standard error.
func errorOf[R any](key, unit string, get func(R) study.Measure) Columns[R] {
	return number(key+"_mcse"+unit, "", scale{}, func(r R) float64 { return get(r).Error })
}

// withError shows in a measure's column its Monte Carlo standard error too.
func withError[R any](key, heading string, s scale, get func(R) study.Measure) Columns[R] {
	cs := measure(key, "", heading, s, get)
	cs[0].Text = func(r R) string {
		m := get(r)
		if math.IsNaN(m.Value) || math.IsNaN(m.Error) {
			return s.write(m.Value)
		}
		return s.write(m.Value) + " ± " + strings.TrimPrefix(s.write(m.Error), "+")
	}
	return cs
}

type (
	measures = study.Measures
	estimate = study.Measure
)

// The columns of the measures of a relative error. A measure whose column has a
// heading is in the tables; to add one, add its line here.
var measureColumns = slices.Concat(
	withError("relative_bias", "bias", signedPercent, bias),
	measure("median_bias", "", "median", signedPercent, func(m measures) estimate { return m.MedianBias }).onPages(),
	measure("empirical_se", "", "spread", percent, func(m measures) estimate { return m.EmpiricalSE }),
	measure("rmse", "", "rms error", percent, func(m measures) estimate { return m.RMSE }),
	measure("mean_u", "", "stated u", percent, func(m measures) estimate { return m.MeanU }),
	measure("u_error", "", "", percent, func(m measures) estimate { return m.UError }),
	measure("coverage", "", "coverage", wholePercent, func(m measures) estimate { return m.Coverage }),
	measure("coverage_failures_as_misses", "", "", wholePercent, func(m measures) estimate { return m.CoverageOfAll }),
	measure("coverage_bias_eliminated", "", "", wholePercent, func(m measures) estimate { return m.CoverageOfMean }),
	count("failures", "failed", func(m measures) int { return m.Failures }),
	errorOf("failures", "", measures.FailureCount),
)

func bias(m measures) estimate { return m.Bias }

// rowColumns are those of a row of a study: a method with a line. The
// experiments that were done are the same for all rows of JSON, which tells
// them once.
var rowColumns = slices.Concat(
	text("method", "method", func(r study.Row) string { return r.Method }),
	text("fit", "line", func(r study.Row) string { return r.Fit }),
	count("replicates", "", func(r study.Row) int { return r.HOverE.Replicates }).only(CSV),
	of(measureColumns, func(r study.Row) measures { return r.HOverE }),
)

// settingColumns are those of a method's stopping voltages of one setting.
var settingColumns = slices.Concat(
	text("name", "setting", func(s study.SettingRow) string { return s.Name }),
	of(stoppingColumns, func(s study.SettingRow) measures { return s.Stopping }),
)

var stoppingColumns = slices.Concat(
	measure("bias", "_V", "", scale{}, bias),
	number("median_bias_V", "", scale{}, func(m measures) float64 { return m.MedianBias.Value }),
	measure("empirical_se", "_V", "", scale{}, func(m measures) estimate { return m.EmpiricalSE }),
	measure("rmse", "_V", "", scale{}, func(m measures) estimate { return m.RMSE }),
	measure("mean_u", "_V", "", scale{}, func(m measures) estimate { return m.MeanU }),
	measure("coverage", "", "", scale{}, func(m measures) estimate { return m.Coverage }),
	count("dropouts", "", func(m measures) int { return m.Failures }),
)

// A cellRow is how a row did on one of the cells that the recommendation rests
// on.
type cellRow struct {
	row    study.Row
	HOverE measures
}

var cellColumns = slices.Concat(
	text("method", "", func(r cellRow) string { return r.row.Method }),
	text("fit", "", func(r cellRow) string { return r.row.Fit }),
	number("relative_bias", "", scale{}, func(r cellRow) float64 { return r.HOverE.Bias.Value }),
	measure("rmse", "", "", scale{}, func(r cellRow) estimate { return r.HOverE.RMSE }),
	count("replicates", "", func(r cellRow) int { return r.HOverE.Replicates }),
	count("failures", "", func(r cellRow) int { return r.HOverE.Failures }),
)

// A rankRow is a place in the ranking by root mean square error.
type rankRow struct {
	row study.Row
	study.Rank
}

var rankColumns = slices.Concat(
	text("method", "", func(r rankRow) string { return r.row.Method }),
	text("fit", "", func(r rankRow) string { return r.row.Fit }),
	number("rmse", "", scale{}, func(r rankRow) float64 { return r.row.HOverE.RMSE.Value }),
	measure("squared_error_gap", "", "", scale{}, func(r rankRow) estimate { return r.Gap }),
	number("p_of_gap", "", scale{}, func(r rankRow) float64 { return r.P }),
	count("n_of_gap", "", func(r rankRow) int { return int(r.N) }),
	fact("significant_gap", "", func(r rankRow) any { return r.Significant }),
)

// A choiceRow is a recommended method, with its errors on replicates that had no
// part in the choice.
type choiceRow struct {
	row study.Row
	study.Choice
	rows []study.Row
}

var choiceColumns = slices.Concat(
	text("method", "", func(c choiceRow) string { return c.row.Method }),
	text("fit", "", func(c choiceRow) string { return c.row.Fit }),
	number("relative_bias", "", scale{}, func(c choiceRow) float64 { return c.HOverE.Bias.Value }),
	number("rmse", "", scale{}, func(c choiceRow) float64 { return c.HOverE.RMSE.Value }),
	text("worst_cell", "", func(c choiceRow) string { return c.WorstCell }),
	number("worst_rmse", "", scale{}, func(c choiceRow) float64 { return c.Worst.RMSE.Value }),
	fact("not_told_apart", "", func(c choiceRow) any {
		equals := []Object{}
		for _, i := range c.Equals {
			equals = append(equals, Object{{"method", c.rows[i].Method}, {"fit", c.rows[i].Fit}})
		}
		return equals
	}),
)

// choice returns null where no method can be recommended.
func (s Study) choice(c study.Choice) any {
	if c.Row < 0 {
		return nil
	}
	return choiceColumns.object(choiceRow{s.Result.Rows[c.Row], c, s.Result.Rows})
}

// Object returns the study as JSON.
func (s Study) Object() Object {
	r := s.Result
	var settings, methods, cells, ranking []Object
	for i, v := range r.Truth.Stopping {
		settings = append(settings, Object{{"name", s.Lights[i]}, {"stopping_V", v}})
	}
	for _, row := range r.Rows {
		methods = append(methods, append(rowColumns.object(row),
			Member{"collector_work_function", measureColumns.object(row.WorkFunction)},
			Member{"settings", nullable(settingColumns.objects(row.Settings))}))
	}
	for _, c := range s.Best.Cells {
		var rows []cellRow
		for i, m := range c.HOverE {
			rows = append(rows, cellRow{r.Rows[i], m})
		}
		cells = append(cells, Object{{"name", c.Name}, {"methods", nullable(cellColumns.objects(rows))}})
	}
	for _, rank := range r.Ranking {
		ranking = append(ranking, rankColumns.object(rankRow{r.Rows[rank.Row], rank}))
	}
	return Object{
		{"schema", Schema}, {"scenario", s.Scenario}, {"replicates", r.Replicates}, {"seed", s.Seed},
		{"truth", Object{
			{"h_over_e_Vs", r.Truth.HOverE}, {"collector_work_function_eV", r.Truth.CollectorWorkFunction}, {"settings", settings},
		}},
		{"recommended", Object{{"by_hand", s.choice(s.Best.ByHand)}, {"by_computer", s.choice(s.Best.ByComputer)}}},
		{"cells", cells}, {"ranking", ranking}, {"methods", methods},
	}
}

// nullable makes an empty list null.
func nullable(objects []Object) []Object {
	if len(objects) == 0 {
		return nil
	}
	return objects
}

// WriteCSV writes a row for each method and line.
func (s Study) WriteCSV(w io.Writer) error { return rowColumns.write(w, s.Result.Rows) }

// Table returns the table of a page.
func (s Study) Table() Table { return rowColumns.table(Page, s.Result.Rows) }

// Print prints the verdict and the table.
func (s Study) Print(w io.Writer) error {
	r := s.Result
	fmt.Fprintf(w, "%s\n%d simulated experiments, h/e = %.6ge-15 V s, collector %.3f eV\n\n",
		s.Title, r.Replicates, r.Truth.HOverE*1e15, r.Truth.CollectorWorkFunction)
	for _, line := range words.Verdict(r, s.Best) {
		fmt.Fprintln(w, console.Fold(line, 96, ""))
	}
	fmt.Fprintln(w)
	if err := rowColumns.table(Terminal, r.Rows).Print(w, ""); err != nil {
		return err
	}
	fmt.Fprint(w, "\n", console.Fold("Bias is the mean error of h/e with its Monte Carlo standard error; spread is the standard "+
		"deviation from experiment to experiment; rms error is both together; stated u is what the line fit "+
		"claims; coverage is how often its 95 % interval holds the truth. All in per cent of h/e.", 96, ""), "\n")
	var cells []string
	for _, cell := range s.Best.Cells {
		cells = append(cells, cell.Name)
	}
	fmt.Fprint(w, "\n", console.Fold("Recommended is which of the methods compared errs least on the worst of these cells, since a fit "+
		"that knows the simulated cell's own law would win on that cell: "+strings.Join(cells, ", ")+". (Escape factor: "+
		"faster electrons leave the metal more easily. Patches: the work functions vary over the electrodes.)", 96, ""), "\n")
	for _, line := range words.Dropouts(r) {
		fmt.Fprint(w, "\n", console.Fold(line, 96, ""), "\n")
	}
	return nil
}

// A GridPoint is one point of a grid: a value for each key, and what a study
// found there.
type GridPoint struct {
	Values []string
	Result study.Result
}

// A gridRow is a row of one point.
type gridRow struct {
	values []string
	row    study.Row
}

// gridColumns are the keys that vary, and those of a row.
func gridColumns(keys []string) Columns[gridRow] {
	var cs Columns[gridRow]
	for i, key := range keys {
		cs = append(cs, text(key, key, func(g gridRow) string { return g.values[i] })...)
	}
	return append(cs, of(rowColumns, func(g gridRow) study.Row { return g.row })...)
}

// gridRows returns the rows of all points.
func gridRows(points []GridPoint) []gridRow {
	var rows []gridRow
	for _, p := range points {
		for _, row := range p.Result.Rows {
			rows = append(rows, gridRow{p.Values, row})
		}
	}
	return rows
}

// WriteGrid writes a tidy CSV file: a row for each point of a grid, method and
// line.
func WriteGrid(w io.Writer, keys []string, points []GridPoint) error {
	return gridColumns(keys).write(w, gridRows(points))
}

// PrintGrid prints the rows of a grid for people.
func PrintGrid(w io.Writer, keys []string, points []GridPoint) error {
	return gridColumns(keys).table(Terminal, gridRows(points)).Print(w, "")
}

// MostBiased returns the row with the largest bias, -1 for none.
func MostBiased(r study.Result) int {
	worst, largest := -1, 0.0
	for i, row := range r.Rows {
		if b := math.Abs(row.HOverE.Bias.Value); b > largest {
			worst, largest = i, b
		}
	}
	return worst
}
