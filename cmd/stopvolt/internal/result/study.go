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
	"stopvolt/instrument/population"
)

// A Study is what a study found, ready to be told.
type Study struct {
	// Scenario is the name and Title the title with what was assigned.
	Scenario, Title string
	Seed            uint64
	// Population are the benches.
	Population population.Population
	// Verdict has the result and what it comes to.
	Verdict words.Verdict
	// AllRows asks for a line of the terminal's table for each way of putting
	// the line, instead of the best of each method.
	AllRows bool
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
	withError("relative_bias", "mean", signedPercent, bias).onPages(),
	measure("median_bias", "", "", signedPercent, func(m measures) estimate { return m.MedianBias }),
	measure("median_relative_error", "", "median", signedPercent, func(m measures) estimate { return m.MedianBias }),
	measure("median_absolute_error", "", "", percent, func(m measures) estimate { return m.MedianAbsolute }),
	measure("empirical_se", "", "spread", percent, func(m measures) estimate { return m.EmpiricalSE }).onPages(),
	measure("sd_between_benches", "", "", percent, func(m measures) estimate { return m.Between }),
	measure("sd_within_bench", "", "", percent, func(m measures) estimate { return m.Within }),
	measure("rmse", "", "rms error", percent, func(m measures) estimate { return m.RMSE }).onPages(),
	measure("mean_u", "", "stated u", percent, func(m measures) estimate { return m.MeanU }).onPages(),
	measure("u_error", "", "", percent, func(m measures) estimate { return m.UError }),
	measure("coverage", "", "coverage", wholePercent, func(m measures) estimate { return m.Coverage }),
	measure("coverage_failures_as_misses", "", "", wholePercent, func(m measures) estimate { return m.CoverageOfAll }),
	measure("coverage_bias_eliminated", "", "", wholePercent, func(m measures) estimate { return m.CoverageOfMean }),
	measure("answers", "", "answers", wholePercent, func(m measures) estimate { return m.Answers }),
	count("failures", "", func(m measures) int { return m.Failures }),
	errorOf("failures", "", func(m measures) estimate { return m.FailureCount }),
)

func bias(m measures) estimate { return m.Bias }

// The scales of a correction.
var (
	factorScale = scale{"", 1, "%.3f"}
	figures     = scale{"%", 0.01, "%.2g"}
)

// factorColumns are those of a factor.
var factorColumns = slices.Concat(
	number("factor", "factor", factorScale, func(f study.Factor) float64 { return f.Median }),
	number("factor_low", "95 % from", factorScale, func(f study.Factor) float64 { return f.Low }),
	number("factor_high", "to", factorScale, func(f study.Factor) float64 { return f.High }),
	number("factor_two_thirds_low", "two thirds from", factorScale, func(f study.Factor) float64 { return f.LikelyLow }).onPages(),
	number("factor_two_thirds_high", "to ", factorScale, func(f study.Factor) float64 { return f.LikelyHigh }).onPages(),
	count("factor_benches", "", func(f study.Factor) int { return f.Benches }),
)

// correctionColumns are those of a correction.
var correctionColumns = slices.Concat(
	of(factorColumns, func(c study.Correction) study.Factor { return c.Factor }),
	measure("corrected_median_absolute_error", "", "error left", figures, func(c study.Correction) estimate { return c.Loss }),
	measure("corrected_coverage", "", "holds", figures, func(c study.Correction) estimate { return c.Coverage }).onPages(),
	number("corrected_half_width", "half width", figures, func(c study.Correction) float64 { return c.Factor.HalfWidth() }).onPages(),
)

// rowColumns are those of a row of a study: a method with a line. The
// experiments that were done are the same for all rows of JSON, which tells
// them once.
var rowColumns = slices.Concat(
	text("method", "method", func(r study.Row) string { return r.Method }),
	text("fit", "line", func(r study.Row) string { return r.Fit }),
	fact("by_hand", "", func(r study.Row) any { return r.ByHand }),
	count("replicates", "", func(r study.Row) int { return r.HOverE.Replicates }).only(CSV),
	count("benches", "", func(r study.Row) int { return r.HOverE.Benches }).only(CSV),
	of(measureColumns, func(r study.Row) measures { return r.HOverE }),
	of(correctionColumns, func(r study.Row) study.Correction { return r.Correction }),
	fact("qualifies", "", func(r study.Row) any { return r.Qualifies }),
	fact("reasons", "", func(r study.Row) any {
		reasons := []string{}
		for _, reason := range r.Reasons {
			reasons = append(reasons, reason.String())
		}
		return reasons
	}),
)

// stratumColumns are those of a part of the population.
var stratumColumns = slices.Concat(
	text("by", "by", func(s study.Stratum) string { return s.By }),
	text("name", "part", func(s study.Stratum) string { return s.Name }),
	count("benches", "benches", func(s study.Stratum) int { return s.Benches }),
	withError("corrected_coverage", "holds", figures, func(s study.Stratum) estimate { return s.Coverage }),
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

// A rankRow is a place in the ranking by the error that is left after
// correction.
type rankRow struct {
	row study.Row
	study.Rank
}

var rankColumns = slices.Concat(
	text("method", "", func(r rankRow) string { return r.row.Method }),
	text("fit", "", func(r rankRow) string { return r.row.Fit }),
	number("corrected_median_absolute_error", "", scale{}, func(r rankRow) float64 { return r.row.Correction.Loss.Value }),
	measure("gap", "", "", scale{}, func(r rankRow) estimate { return r.Gap }),
	number("p_of_gap", "", scale{}, func(r rankRow) float64 { return r.P }),
	count("benches_of_gap", "", func(r rankRow) int { return r.N }),
	fact("significant_gap", "", func(r rankRow) any { return r.Significant }),
)

// A choiceRow is a recommended method.
type choiceRow struct {
	row study.Row
	study.Choice
	told Study
}

var choiceColumns = slices.Concat(
	text("method", "", func(c choiceRow) string { return c.row.Method }),
	text("fit", "", func(c choiceRow) string { return c.row.Fit }),
	fact("qualifies", "", func(c choiceRow) any { return c.row.Qualifies }),
	of(correctionColumns, func(c choiceRow) study.Correction { return c.row.Correction }),
	number("relative_bias", "", scale{}, func(c choiceRow) float64 { return c.row.HOverE.Bias.Value }),
	number("rmse", "", scale{}, func(c choiceRow) float64 { return c.row.HOverE.RMSE.Value }),
	fact("within", "", func(c choiceRow) any { return c.row.Correction.Factor.HalfWidth() <= c.told.Verdict.Within }),
	fact("depends_on_population", "", func(c choiceRow) any {
		return slices.ContainsFunc(c.told.Verdict.Elsewhere, func(e study.Elsewhere) bool { return !e.Keeps(c.Row) })
	}),
	fact("not_told_apart", "", func(c choiceRow) any {
		equals := []Object{}
		for _, i := range c.Equals {
			equals = append(equals, c.told.named(i))
		}
		return equals
	}),
	fact("far_tail", "", func(c choiceRow) any {
		t, ok := c.told.Verdict.Tails[c.Row]
		if !ok {
			return nil
		}
		return tailColumns.object(t)
	}),
)

// tailColumns are those of what makes the far ends of a range.
var tailColumns = slices.Concat(
	text("key", "", func(t study.Tail) string { return t.Variable.Key }),
	text("limit", "", func(t study.Tail) string { return t.Variable.Word(t.Limit) }),
	fact("without_is_above", "", func(t study.Tail) any { return t.Above }),
	number("share_without", "", scale{}, func(t study.Tail) float64 { return t.Share }),
	of(factorColumns, func(t study.Tail) study.Factor { return t.Kept }),
)

// named names a row.
func (s Study) named(row int) Object {
	r := s.Verdict.Result.Rows[row]
	return Object{{"method", r.Method}, {"fit", r.Fit}}
}

// choice returns null where no method can be recommended.
func (s Study) choice(c study.Choice) any {
	if c.Row < 0 {
		return nil
	}
	return choiceColumns.object(choiceRow{s.Verdict.Result.Rows[c.Row], c, s})
}

// laws tells what differs from bench to bench.
func (s Study) laws() []Object {
	laws := []Object{}
	for _, v := range s.Population.Variables() {
		laws = append(laws, Object{{"key", v.Key}, {"law", v.String()}})
	}
	return laws
}

// elsewhere tells the studies in little of other populations.
func (s Study) elsewhere() []Object {
	all := []Object{}
	for _, e := range s.Verdict.Elsewhere {
		other := Study{Verdict: words.Verdict{Result: e.Result, Within: s.Verdict.Within}}
		all = append(all, Object{{"patches_and_coatings_times", e.Scale}, {"benches", e.Result.Benches},
			{"by_hand", other.choice(e.Result.ByHand)}, {"by_computer", other.choice(e.Result.ByComputer)}})
	}
	return all
}

// Object returns the study as JSON.
func (s Study) Object() Object {
	r := s.Verdict.Result
	var settings, methods, ranking []Object
	for i, v := range r.Truth.Stopping {
		settings = append(settings, Object{{"name", s.Population.Median().Lights[i].Name}, {"stopping_V", v}})
	}
	for _, row := range r.Rows {
		methods = append(methods, append(rowColumns.object(row),
			Member{"corrected_coverage_of_parts", stratumColumns.objects(row.Correction.Strata)},
			Member{"collector_work_function", measureColumns.object(row.WorkFunction)},
			Member{"settings", nullable(settingColumns.objects(row.Settings))}))
	}
	for _, rank := range r.Ranking {
		ranking = append(ranking, rankColumns.object(rankRow{r.Rows[rank.Row], rank}))
	}
	return Object{
		{"schema", StudySchema}, {"scenario", s.Scenario}, {"population", s.Scenario}, {"population_identity", s.Population.Identity()},
		{"population_laws", s.laws()}, {"benches", r.Benches},
		{"replicates", r.Replicates}, {"seed", s.Seed}, {"within", s.Verdict.Within},
		{"truth", Object{
			{"h_over_e_Vs", r.Truth.HOverE}, {"collector_work_function_eV", r.Truth.CollectorWorkFunction}, {"settings", settings},
		}},
		{"recommended", Object{{"by_hand", s.choice(r.ByHand)}, {"by_computer", s.choice(r.ByComputer)}}},
		{"half_and_double_patches", s.elsewhere()},
		{"ranking", ranking}, {"methods", methods},
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
func (s Study) WriteCSV(w io.Writer) error { return rowColumns.write(w, s.Verdict.Result.Rows) }

// Table returns the table of a page.
func (s Study) Table() Table { return markedColumns.table(Page, s.shown()) }

// Parts returns the table of how often the corrected interval of a row holds the
// truth on the parts of the population.
func (s Study) Parts(row int) Table {
	return stratumColumns.table(Page, s.Verdict.Result.Rows[row].Correction.Strata)
}

// A markedRow is a row that may be recommended.
type markedRow struct {
	mark string
	// byHand says whether a person can do the method.
	byHand string
	row    study.Row
}

// markedColumns are those of the tables of a study: which row is recommended, and
// the row.
var markedColumns = slices.Concat(
	text("recommended", "take", func(m markedRow) string { return m.mark }),
	text("can_be_done_by_hand", "by hand", func(m markedRow) string { return m.byHand }),
	of(rowColumns, func(m markedRow) study.Row { return m.row }),
)

// shown returns the rows of the table: of each method the best line, and what a
// person reads where that is recommended; or all rows.
func (s Study) shown() []markedRow {
	r := s.Verdict.Result
	var rows []markedRow
	for i, row := range r.Rows {
		best := r.BestOf(row.Method, func(other study.Row) bool { return !other.ByHand })
		if !s.AllRows && i != best && i != r.ByHand.Row && i != r.ByComputer.Row {
			continue
		}
		mark := ""
		switch i {
		case r.ByHand.Row:
			mark = "by hand"
		case r.ByComputer.Row:
			mark = "computer"
		}
		byHand := "no"
		if slices.ContainsFunc(r.Rows, func(other study.Row) bool { return other.Method == row.Method && other.ByHand }) {
			byHand = "yes"
		}
		rows = append(rows, markedRow{mark, byHand, row})
	}
	return rows
}

// Print prints the verdict and the table.
func (s Study) Print(w io.Writer) error {
	r := s.Verdict.Result
	if s.Population.Fixed() {
		fmt.Fprintf(w, "%s\n%d simulated experiments at one bench, h/e = %.6ge-15 V s, collector %.3f eV\n\n",
			s.Title, r.Replicates, r.Truth.HOverE*1e15, r.Truth.CollectorWorkFunction)
	} else {
		fmt.Fprintf(w, "%s\n%d simulated experiments at %d benches, of which no two are alike\n\n", s.Title, r.Replicates, r.Benches)
	}
	for _, line := range s.Verdict.Paragraphs() {
		indent := "  "
		if strings.HasPrefix(line, "By ") {
			indent = ""
		}
		fmt.Fprintln(w, console.Fold(line, 96, indent))
	}
	fmt.Fprintln(w)
	if err := markedColumns.table(Terminal, s.shown()).Print(w, ""); err != nil {
		return err
	}
	fmt.Fprint(w, "\n", console.Fold("Median: of the error of h/e as read. Coverage: how often the interval that the line states holds the truth. Answers: in how many of all experiments. "+
		"Factor: what to multiply the h/e that was read by, with the range for 95 % of the benches. Error left: the median size of the error after that.", 96, ""), "\n")
	for _, remarks := range s.Verdict.PassedOver() {
		fmt.Fprintf(w, "\n%s\n", remarks.Heading)
		for _, line := range remarks.Lines {
			fmt.Fprintln(w, console.Fold(line, 96, "  "))
		}
	}
	fmt.Fprint(w, "\n", console.Fold(s.Verdict.Rules(), 96, ""), "\n")
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

// GridTable is the table of a grid on a page.
func GridTable(keys []string, points []GridPoint) Table {
	return gridColumns(keys).table(Page, gridRows(points))
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

// Extreme returns the row with the least or the largest root mean square error of a
// grid and the place of its point; nil for none.
func Extreme(points []GridPoint, largest bool) (at int, row *study.Row) {
	for i, p := range points {
		for k, r := range p.Result.Rows {
			e := r.HOverE.RMSE.Value
			if e > 0 && (row == nil || largest == (e > row.HOverE.RMSE.Value)) {
				at, row = i, &points[i].Result.Rows[k]
			}
		}
	}
	return at, row
}
