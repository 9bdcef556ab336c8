package main

import (
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"time"

	"stopvolt/analysis"
	"stopvolt/analysis/study"
	"stopvolt/cmd/stopvolt/internal/figure"
	"stopvolt/scenarios"
)

// outcome says where the results of a study go.
type outcome struct {
	// out is the folder, empty for none, and json says how to print.
	out  string
	json bool
	// progress is the file to take away when all is written, and report that of
	// the page; empty for none.
	progress, report string
}

// finishStudy writes the results of a study and prints them.
func finishStudy(ctx context.Context, c console, file studyFile, s study.Study, t *study.Tally, o outcome) error {
	scenario, _, err := file.study()
	if err != nil {
		return err
	}
	r := s.Result(t)
	best, err := s.Recommend(ctx, t, r)
	if err != nil {
		return err
	}
	report := newStudyReport(file, s, r, best)
	if o.report != "" {
		if err := writeStudyReport(ctx, o.report, scenario, s, r, best); err != nil {
			return err
		}
	}
	if o.out != "" {
		if err := writeStudy(o.out, file, scenario, s, r, best, report); err != nil {
			return err
		}
		if o.progress != "" {
			if err := removeIfThere(o.progress); err != nil {
				return err
			}
		}
	}
	if o.json {
		return writeJSON(c.out, report)
	}
	printStudy(c.out, titled(scenario), r, best)
	return nil
}

// writeStudy writes the files of a study into a folder: what was asked, the
// results, and the figures. Only run.json tells time and command.
func writeStudy(dir string, file studyFile, scenario scenarios.Scenario, s study.Study, r study.Result, best study.Recommendation, report studyReport) error {
	file.Tally = nil
	steps := []struct {
		name  string
		write func(io.Writer) error
	}{
		{"scenario.toml", func(w io.Writer) error { _, err := w.Write(scenario.Text); return err }},
		{"results.json", func(w io.Writer) error { return writeJSON(w, report) }},
		{"results.csv", func(w io.Writer) error { return writeRows(w, nil, []gridPoint{{result: r}}) }},
		{"run.json", func(w io.Writer) error {
			return writeJSON(w, struct {
				Build   string    `json:"build"`
				Command []string  `json:"command"`
				Time    time.Time `json:"time"`
				studyFile
			}{version(), os.Args, time.Now().UTC(), file})
		}},
	}
	for _, step := range steps {
		if err := writeFile(filepath.Join(dir, step.name), step.write); err != nil {
			return err
		}
	}
	return writeStudyFigures(dir, s, r, best)
}

// writeRows writes a tidy CSV file: a row for each point of a grid, method and
// line fit. Relative measures are fractions.
func writeRows(w io.Writer, keys []string, points []gridPoint) error {
	out := csv.NewWriter(w)
	header := append(append([]string{}, keys...), "method", "fit", "replicates", "failures",
		"relative_bias", "relative_bias_mcse", "median_bias", "empirical_se", "empirical_se_mcse",
		"rmse", "rmse_mcse", "mean_u", "mean_u_mcse", "coverage", "coverage_mcse",
		"coverage_failures_as_misses", "coverage_bias_eliminated")
	if err := out.Write(header); err != nil {
		return err
	}
	for _, p := range points {
		for _, row := range p.result.Rows {
			m := row.HOverE
			record := append(append([]string{}, p.values...), row.Method, row.Fit,
				strconv.Itoa(m.Replicates), strconv.Itoa(m.Failures))
			for _, x := range []float64{m.Bias.Value, m.Bias.Error, m.MedianBias.Value,
				m.EmpiricalSE.Value, m.EmpiricalSE.Error, m.RMSE.Value, m.RMSE.Error,
				m.MeanU.Value, m.MeanU.Error, m.Coverage.Value, m.Coverage.Error,
				m.CoverageOfAll.Value, m.CoverageOfMean.Value} {
				record = append(record, cell(x))
			}
			if err := out.Write(record); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}

// cell writes a number for CSV, an empty cell where there is none.
func cell(x float64) string {
	if x-x != 0 {
		return ""
	}
	return strconv.FormatFloat(x, 'g', -1, 64)
}

// picture is a figure that can be laid out.
type picture interface {
	Picture() (figure.Picture, error)
}

// writeFigure writes a figure as PNG and as SVG.
func writeFigure(dir, name string, p picture) error {
	laid, err := p.Picture()
	if err != nil {
		return fmt.Errorf("figure %s: %w", name, err)
	}
	for _, format := range []string{figure.PNG, figure.SVG} {
		err := writeFile(filepath.Join(dir, name+"."+format), func(w io.Writer) error { return laid.Save(w, format) })
		if err != nil {
			return err
		}
	}
	return nil
}

// writeStudyFigures draws one experiment of the study with its cutoffs and
// lines, and the biases.
func writeStudyFigures(dir string, s study.Study, r study.Result, best study.Recommendation) error {
	e, err := exampleOf(s)
	if err != nil {
		return err
	}
	curves := e.curves(s.Methods, "One of the experiments, with the cutoffs that each method reads", r.Truth.Stopping)
	if err := writeFigure(dir, "curves", curves); err != nil {
		return err
	}
	if err := writeFigure(dir, "line", stoppingLine(s, r, best, e.extraction)); err != nil {
		return err
	}
	return writeFigure(dir, "bias", biases(r))
}

// stoppingLine shows the lines of the recommended methods and of that with the
// largest bias.
func stoppingLine(s study.Study, r study.Result, best study.Recommendation, x analysis.Extraction) figure.StoppingLine {
	f := figure.StoppingLine{
		Title: "Stopping voltage against frequency in one of the experiments",
		Truth: &figure.TrueLine{Slope: r.Truth.HOverE, Intercept: -r.Truth.CollectorWorkFunction},
	}
	shown := make(map[string]bool)
	for _, row := range []int{best.ByComputer.Row, best.ByHand.Row, mostBiased(r)} {
		if row < 0 || shown[r.Rows[row].Method] {
			continue
		}
		shown[r.Rows[row].Method] = true
		series := figure.LineSeries{Method: r.Rows[row].Method}
		m := slices.IndexFunc(s.Methods, func(m analysis.Method) bool { return m.Name() == series.Method })
		for _, setting := range x.Settings {
			if c := setting.Cutoffs[m]; c.Status == analysis.OK {
				series.Points = append(series.Points, analysis.Point{
					Setting: setting.Name, Frequency: setting.Frequency, Stopping: c.Stopping, UStopping: c.U,
				})
			}
		}
		if line := x.Lines[row]; line.Status == analysis.OK {
			series.Line = &line.Line
		}
		if len(series.Points) > 0 {
			f.Series = append(f.Series, series)
		}
	}
	return f
}

// mostBiased returns the row with the largest bias, -1 for none.
func mostBiased(r study.Result) int {
	worst, largest := -1, 0.0
	for i, row := range r.Rows {
		if b := max(row.HOverE.Bias.Value, -row.HOverE.Bias.Value); b > largest {
			worst, largest = i, b
		}
	}
	return worst
}

// biases shows the biases of all rows.
func biases(r study.Result) figure.Bias {
	f := figure.Bias{Title: "How far each method puts h/e from the truth"}
	for _, row := range r.Rows {
		m := row.HOverE
		f.Rows = append(f.Rows, figure.BiasRow{
			Method: row.Method + ", " + row.Fit,
			Bias:   m.Bias.Value, BiasError: m.Bias.Error, Spread: m.EmpiricalSE.Value,
			Failed: m.Failures, Replicates: m.Replicates,
		})
	}
	return f
}
