package result

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"flag"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stopvolt/analysis/study"
	"stopvolt/cmd/stopvolt/internal/words"
	"stopvolt/instrument"
	"stopvolt/instrument/population"
)

var update = flag.Bool("update", false, "write the golden lists of keys anew")

// fill gives every number of a struct its own distinct value, a multiple of a
// ten-thousandth from start on, and every text its own word. It returns the next
// multiple.
func fill(v reflect.Value, next int) int {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Field(i).CanSet() {
				next = fill(v.Field(i), next)
			}
		}
		return next
	case reflect.Float64:
		v.SetFloat(float64(next) / 10_000)
	case reflect.Int, reflect.Int64:
		v.SetInt(int64(next))
	case reflect.String:
		v.SetString("word-" + strconv.Itoa(next))
	case reflect.Bool:
		v.SetBool(true)
	default:
		return next
	}
	return next + 1
}

// distinct returns a row of a study each of whose fields has a value of its own.
func distinct() study.Row {
	row := study.Row{Settings: make([]study.SettingRow, 1)}
	next := fill(reflect.ValueOf(&row).Elem(), 101)
	fill(reflect.ValueOf(&row.Settings[0]).Elem(), next)
	// There are more experiments than failures.
	row.HOverE.Replicates, row.WorkFunction.Replicates = 5001, 5002
	return row
}

// expected tells under which key each field of the measures is to be found. It
// is written out a second time, field by field, so that the list of columns is
// held to it.
func expected(m study.Measures) map[string]float64 {
	return map[string]float64{
		"relative_bias": m.Bias.Value, "relative_bias_mcse": m.Bias.Error,
		"median_bias": m.MedianBias.Value, "median_bias_mcse": m.MedianBias.Error,
		"empirical_se": m.EmpiricalSE.Value, "empirical_se_mcse": m.EmpiricalSE.Error,
		"rmse": m.RMSE.Value, "rmse_mcse": m.RMSE.Error,
		"mean_u": m.MeanU.Value, "mean_u_mcse": m.MeanU.Error,
		"u_error": m.UError.Value, "u_error_mcse": m.UError.Error,
		"coverage": m.Coverage.Value, "coverage_mcse": m.Coverage.Error,
		"coverage_failures_as_misses": m.CoverageOfAll.Value, "coverage_failures_as_misses_mcse": m.CoverageOfAll.Error,
		"coverage_bias_eliminated": m.CoverageOfMean.Value, "coverage_bias_eliminated_mcse": m.CoverageOfMean.Error,
		"median_relative_error": m.MedianBias.Value, "median_relative_error_mcse": m.MedianBias.Error,
		"median_absolute_error": m.MedianAbsolute.Value, "median_absolute_error_mcse": m.MedianAbsolute.Error,
		"sd_between_benches": m.Between.Value, "sd_between_benches_mcse": m.Between.Error,
		"sd_within_bench": m.Within.Value, "sd_within_bench_mcse": m.Within.Error,
		"answers": m.Answers.Value, "answers_mcse": m.Answers.Error,
		"failures": float64(m.Failures), "failures_mcse": m.FailureCount.Error,
	}
}

// expectedOfCorrection does the same for a correction.
func expectedOfCorrection(c study.Correction) map[string]float64 {
	f := c.Factor
	return map[string]float64{
		"factor": f.Median, "factor_low": f.Low, "factor_high": f.High,
		"factor_two_thirds_low": f.LikelyLow, "factor_two_thirds_high": f.LikelyHigh, "factor_benches": float64(f.Benches),
		"corrected_median_absolute_error": c.Loss.Value, "corrected_median_absolute_error_mcse": c.Loss.Error,
		"corrected_coverage": c.Coverage.Value, "corrected_coverage_mcse": c.Coverage.Error,
		"corrected_half_width": (f.High - f.Low) / (2 * f.Median),
	}
}

// read returns the members of a value as JSON.
func read(t *testing.T, value any) map[string]any {
	t.Helper()
	var b bytes.Buffer
	if err := WriteJSON(&b, value); err != nil {
		t.Fatal(err)
	}
	var members map[string]any
	if err := json.Unmarshal(b.Bytes(), &members); err != nil {
		t.Fatalf("%v in %s", err, b.String())
	}
	return members
}

// toldOf is a study of one row, which is not recommended.
func toldOf(row study.Row) Study {
	return Study{Verdict: words.Verdict{Result: study.Result{
		Rows: []study.Row{row}, ByHand: study.Choice{Row: -1}, ByComputer: study.Choice{Row: -1},
	}}}
}

// Every measure is in JSON under its own key, for h/e and for the collector's
// work function.
func TestEveryMeasureIsUnderItsOwnKeyInJSON(t *testing.T) {
	row := distinct()
	told := toldOf(row)
	method := read(t, told.Object())["methods"].([]any)[0].(map[string]any)
	of := map[string]any{}
	for key, x := range method {
		of[key] = x
	}
	for name, part := range map[string]struct {
		got  map[string]any
		want map[string]float64
	}{
		"h/e":           {of, expected(row.HOverE)},
		"correction":    {of, expectedOfCorrection(row.Correction)},
		"work function": {method["collector_work_function"].(map[string]any), expected(row.WorkFunction)},
	} {
		for key, want := range part.want {
			if got := part.got[key]; got != want {
				t.Errorf("%s: %s is %v, not %v", name, key, got, want)
			}
		}
	}
	if method["method"] != row.Method || method["fit"] != row.Fit {
		t.Errorf("method and fit are %v and %v", method["method"], method["fit"])
	}
	s, m := method["settings"].([]any)[0].(map[string]any), row.Settings[0].Stopping
	for key, want := range map[string]any{
		"name":   row.Settings[0].Name,
		"bias_V": m.Bias.Value, "bias_mcse_V": m.Bias.Error, "median_bias_V": m.MedianBias.Value,
		"empirical_se_V": m.EmpiricalSE.Value, "empirical_se_mcse_V": m.EmpiricalSE.Error,
		"rmse_V": m.RMSE.Value, "rmse_mcse_V": m.RMSE.Error, "mean_u_V": m.MeanU.Value, "mean_u_mcse_V": m.MeanU.Error,
		"coverage": m.Coverage.Value, "coverage_mcse": m.Coverage.Error, "dropouts": float64(m.Failures),
	} {
		if got := s[key]; got != want {
			t.Errorf("setting: %s is %v, not %v", key, got, want)
		}
	}
}

// Every measure is in CSV under its own key.
func TestEveryMeasureIsUnderItsOwnKeyInCSV(t *testing.T) {
	row := distinct()
	var b bytes.Buffer
	if err := toldOf(row).WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	records, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := expected(row.HOverE)
	maps.Copy(want, expectedOfCorrection(row.Correction))
	want["replicates"], want["benches"] = float64(row.HOverE.Replicates), float64(row.HOverE.Benches)
	found := 0
	for i, key := range records[0] {
		x, ok := want[key]
		if !ok {
			continue
		}
		found++
		if got, err := strconv.ParseFloat(records[1][i], 64); err != nil || math.Abs(got-x) > 1e-11*math.Abs(x) {
			t.Errorf("%s is %q, not %v", key, records[1][i], x)
		}
	}
	if found != len(want) {
		t.Errorf("%d of %d measures are there: %q", found, len(want), records[0])
	}
	if records[1][0] != row.Method || records[1][1] != row.Fit {
		t.Errorf("the row begins with %q", records[1][:2])
	}
}

// Each column of the tables shows its own measure, in per cent.
func TestEveryColumnOfTheTablesShowsItsOwnMeasure(t *testing.T) {
	row := distinct()
	m, c := row.HOverE, row.Correction
	want := map[string]string{
		"method": row.Method, "line": row.Fit,
		"mean / %":        fmt.Sprintf("%+.2f ± %.2f", 100*m.Bias.Value, 100*m.Bias.Error),
		"median / %":      fmt.Sprintf("%+.2f", 100*m.MedianBias.Value),
		"spread / %":      fmt.Sprintf("%.2f", 100*m.EmpiricalSE.Value),
		"rms error / %":   fmt.Sprintf("%.2f", 100*m.RMSE.Value),
		"stated u / %":    fmt.Sprintf("%.2f", 100*m.MeanU.Value),
		"coverage / %":    fmt.Sprintf("%.0f", 100*m.Coverage.Value),
		"answers / %":     fmt.Sprintf("%.0f", 100*m.Answers.Value),
		"factor":          fmt.Sprintf("%.3f", c.Factor.Median),
		"95 % from":       fmt.Sprintf("%.3f", c.Factor.Low),
		"to":              fmt.Sprintf("%.3f", c.Factor.High),
		"two thirds from": fmt.Sprintf("%.3f", c.Factor.LikelyLow),
		"to ":             fmt.Sprintf("%.3f", c.Factor.LikelyHigh),
		"error left / %":  fmt.Sprintf("%.2g", 100*c.Loss.Value),
		"holds / %":       fmt.Sprintf("%.2g", 100*c.Coverage.Value),
		"half width / %":  fmt.Sprintf("%.2g", 100*c.Factor.HalfWidth()),
	}
	page := rowColumns.table(Page, []study.Row{row})
	terminal := rowColumns.table(Terminal, []study.Row{row})
	for form, table := range map[string]Table{"page": page, "terminal": terminal} {
		for i, heading := range table.Headings {
			if got := table.Rows[0][i]; got != want[heading] {
				t.Errorf("%s: %s shows %q, not %q", form, heading, got, want[heading])
			}
		}
	}
	if len(page.Headings) != len(want) || len(terminal.Headings) != len(want)-8 {
		t.Errorf("a page has the columns %q, and the terminal %q", page.Headings, terminal.Headings)
	}
}

// What has no value is null, an empty cell, or a dash; never NaN.
func TestWhatHasNoValueIsNeverANumber(t *testing.T) {
	row := study.Row{Method: "m", Fit: "f", HOverE: unknownMeasures, WorkFunction: unknownMeasures}
	row.Correction = study.Correction{Factor: study.Calibrate(nil), Loss: unknown, Coverage: unknown}
	told := toldOf(row)
	var text bytes.Buffer
	for _, write := range []func() error{
		func() error { return WriteJSON(&text, told.Object()) },
		func() error { return told.WriteCSV(&text) },
		func() error { return told.Table().Print(&text, "") },
	} {
		if err := write(); err != nil {
			t.Fatal(err)
		}
	}
	if strings.Contains(text.String(), "NaN") {
		t.Error(text.String())
	}
	if got := read(t, told.Object())["methods"].([]any)[0].(map[string]any)["rmse"]; got != nil {
		t.Errorf("rmse is %v", got)
	}
}

var unknownMeasures = study.Measures{
	Bias: unknown, MedianBias: unknown, EmpiricalSE: unknown, RMSE: unknown, MeanU: unknown,
	UError: unknown, Coverage: unknown, CoverageOfAll: unknown, CoverageOfMean: unknown,
	MedianAbsolute: unknown, Between: unknown, Within: unknown, Answers: unknown, FailureCount: unknown,
}

// The row that is off by most is the most biased, whichever way it errs, and not
// the one that is off by least.
func TestTheMostBiasedRowIsFarthestFromTheTruth(t *testing.T) {
	rows := func(biases ...float64) study.Result {
		var r study.Result
		for _, b := range biases {
			r.Rows = append(r.Rows, study.Row{HOverE: study.Measures{Bias: study.Measure{Value: b}}})
		}
		return r
	}
	for _, c := range []struct {
		biases []float64
		want   int
	}{
		{[]float64{0.01, -0.05, 0.02}, 1},
		{[]float64{0.04, -0.03, 0.0}, 0},
		{[]float64{-0.01, 0.02, 0.03}, 2},
		{nil, -1},
		{[]float64{unknown.Value, -0.01}, 1},
	} {
		if got := MostBiased(rows(c.biases...)); got != c.want {
			t.Errorf("of %v the most biased is %d, not %d", c.biases, got, c.want)
		}
	}
}

// keys gathers the paths of all keys of a value in JSON.
func keys(value any, path string, into map[string]bool) {
	switch v := value.(type) {
	case map[string]any:
		for key, member := range v {
			p := strings.TrimPrefix(path+"."+key, ".")
			into[p] = true
			keys(member, p, into)
		}
	case []any:
		for _, member := range v {
			keys(member, path+"[]", into)
		}
	}
}

// golden compares the keys of a result with the list of the present schema. A key
// that goes takes the list out of date, and the schema must rise; a key that is
// new is added to the list by -update.
func golden(t *testing.T, schema int, name string, value any) {
	t.Helper()
	found := make(map[string]bool)
	keys(any(read(t, value)), "", found)
	var got []string
	for key := range found {
		got = append(got, key)
	}
	slices.Sort(got)
	hold(t, schema, name+"-json", got)
}

// hold compares keys with the golden list of a name.
func hold(t *testing.T, schema int, name string, got []string) {
	t.Helper()
	file := filepath.Join("testdata", fmt.Sprintf("schema-%d", schema), name+".txt")
	if *update {
		if err := os.MkdirAll(filepath.Dir(file), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(strings.Join(got, "\n")+"\n"), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatalf("%v; -update writes the list of a new schema", err)
	}
	want := strings.Fields(string(text))
	for _, key := range want {
		if !slices.Contains(got, key) {
			t.Errorf("the key %s is gone: the schema, %d, must rise", key, schema)
		}
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("keys (-golden +got); -update takes new ones in:\n%s", diff)
	}
}

func TestKeysOfAStudyAreThoseOfItsSchema(t *testing.T) {
	row := distinct()
	row.Correction.Strata = make([]study.Stratum, 1)
	r := study.Result{Rows: []study.Row{row}, Ranking: make([]study.Rank, 1)}
	r.Truth.Stopping = []float64{1}
	r.ByHand.Equals = []int{0}
	law, err := population.NewUniform(0, 1)
	if err != nil {
		t.Fatal(err)
	}
	variable := population.Variable{Key: "u", Law: law}
	p, err := population.New("", []population.Variable{variable}, nil, func([]float64) (instrument.Apparatus, error) {
		return instrument.Apparatus{Lights: []instrument.Light{{Name: "red"}}}, nil
	})
	if err != nil {
		t.Fatal(err)
	}
	golden(t, StudySchema, "study", Study{Population: p, Verdict: words.Verdict{
		Result: r, Elsewhere: []study.Elsewhere{{Scale: 2, Result: r}}, Tails: map[int]study.Tail{0: {Variable: variable}},
	}}.Object())
	hold(t, StudySchema, "study-csv", rowColumns.Keys(CSV))
}
