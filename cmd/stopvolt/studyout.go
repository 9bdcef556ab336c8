package main

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"time"

	"stopvolt/analysis"
	"stopvolt/analysis/study"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/draw"
	"stopvolt/cmd/stopvolt/internal/files"
	"stopvolt/cmd/stopvolt/internal/page"
	"stopvolt/cmd/stopvolt/internal/result"
	"stopvolt/cmd/stopvolt/internal/words"
	"stopvolt/scenarios"
)

// outcome says where the results of a study go, and how they are told.
type outcome struct {
	// out is the folder, empty for none, and json says how to print.
	out  string
	json bool
	// progress is the file to take away when all is written, and report that of
	// the page, in full or not; empty for none.
	progress, report string
	fullReport       bool
	// chart is the file of the chart for the preparation room, empty for none,
	// and chartRows the number of its rows.
	chart     string
	chartRows int
	// within is the relative error that is asked for, and allRows asks for every
	// line of the table.
	within  float64
	allRows bool
}

// finishStudy writes the results of a study and prints them.
func finishStudy(ctx context.Context, c console.Console, file studyFile, s study.Study, t *study.Tally, o outcome) error {
	scenario, _, err := file.study()
	if err != nil {
		return err
	}
	v, err := verdictOf(ctx, scenario, s, t)
	if err != nil {
		return err
	}
	v.Within = o.within
	told := result.Study{Scenario: scenario.Name, Title: titled(scenario), Seed: s.Seed, Population: s.Population, Verdict: v, AllRows: o.allRows}
	if o.report != "" {
		p := page.Study{Origin: origin(s.Seed), Scenario: scenario, Study: s, Told: told, Full: o.fullReport}
		if err := writePage(o.report, func() (page.Page, error) { return p.Page(ctx) }); err != nil {
			return err
		}
	}
	if o.chart != "" {
		if err := writeChart(ctx, scenario, s, v.Result, o); err != nil {
			return err
		}
	}
	if o.out != "" {
		if err := writeStudy(o.out, file, scenario, s, told); err != nil {
			return err
		}
		if o.progress != "" {
			if err := files.RemoveIfThere(o.progress); err != nil {
				return err
			}
		}
	}
	if o.json {
		return result.WriteJSON(c.Data, told.Object())
	}
	return told.Print(c.Out)
}

// writeChart works the chart of the recommended method out, of that by hand if
// there is one, and writes its page.
func writeChart(ctx context.Context, scenario scenarios.Scenario, s study.Study, r study.Result, o outcome) error {
	row := r.ByHand.Row
	if row < 0 {
		row = r.ByComputer.Row
	}
	if row < 0 {
		return errors.New("there is no chart, since no method is recommended")
	}
	methods, err := methodsNamed([]string{r.Rows[row].Method})
	if err != nil {
		return err
	}
	// What a person at the bench reads anyway.
	partners := []analysis.Method{analysis.NullReading{}, analysis.Tangent{}}
	c, err := s.Chart(ctx, methods[0], r.Rows[row].Fit, partners, o.chartRows)
	if err != nil {
		return err
	}
	p := page.Chart{Origin: origin(s.Seed), Scenario: scenario, Study: s, Chart: c}
	return writePage(o.chart, p.Page)
}

// verdictOf returns what a study comes to, for which it does a study in little of
// other populations.
func verdictOf(ctx context.Context, scenario scenarios.Scenario, s study.Study, t *study.Tally) (words.Verdict, error) {
	v := words.Verdict{Population: scenario.Name, One: s.Population.Fixed(), Result: s.Result(t)}
	var rows []int
	for _, row := range []int{v.Result.ByHand.Row, v.Result.ByComputer.Row} {
		if row >= 0 {
			rows = append(rows, row)
		}
	}
	v.Tails = s.Tails(t, rows...)
	var err error
	v.Elsewhere, err = s.Elsewhere(ctx)
	return v, err
}

// writeStudy writes the files of a study into a folder: what was asked, the
// results, and the figures. Only run.json tells time and command.
func writeStudy(dir string, file studyFile, scenario scenarios.Scenario, s study.Study, told result.Study) error {
	file.Tally = nil
	steps := []struct {
		name  string
		write func(io.Writer) error
	}{
		{"scenario.toml", func(w io.Writer) error { _, err := w.Write(scenario.Text); return err }},
		{"results.json", func(w io.Writer) error { return result.WriteJSON(w, told.Object()) }},
		{"results.csv", told.WriteCSV},
		{"run.json", func(w io.Writer) error {
			return result.WriteJSON(w, struct {
				Schema  int       `json:"schema"`
				Build   string    `json:"build"`
				Command []string  `json:"command"`
				Time    time.Time `json:"time"`
				studyFile
			}{result.StudySchema, version(), os.Args, time.Now().UTC(), file})
		}},
	}
	for _, step := range steps {
		if err := files.Write(filepath.Join(dir, step.name), step.write); err != nil {
			return err
		}
	}
	return draw.WriteStudy(dir, s, told.Verdict.Result)
}
