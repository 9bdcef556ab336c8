package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strconv"
	"strings"

	"stopvolt/analysis/study"
	"stopvolt/cmd/stopvolt/internal/figure"
	"stopvolt/scenarios"
)

// axis is one key of a grid with its values.
type axis struct {
	key    string
	values []string
}

// gridPoint is one point of a grid: a value for each axis, and what a study
// found there.
type gridPoint struct {
	values []string
	result study.Result
}

// mostPoints keeps a slip in a step from running for years.
const mostPoints = 10_000

// parseAxis reads KEY=a,b,c or KEY=start:stop:step.
func parseAxis(text string) (axis, error) {
	key, list, ok := strings.Cut(text, "=")
	if key = strings.TrimSpace(key); !ok || key == "" || list == "" {
		return axis{}, wrongUsef("--vary is %q; it must be KEY=a,b,c or KEY=start:stop:step", text)
	}
	if !strings.Contains(list, ":") {
		a := axis{key: key}
		for _, value := range strings.Split(list, ",") {
			a.values = append(a.values, strings.TrimSpace(value))
		}
		return a, nil
	}
	var ends [3]float64
	parts := strings.Split(list, ":")
	for i, part := range parts {
		x, err := strconv.ParseFloat(strings.TrimSpace(part), 64)
		if err != nil || len(parts) != 3 || math.IsNaN(x) || math.IsInf(x, 0) {
			return axis{}, wrongUsef("--vary is %q; a range is start:stop:step in numbers, such as 0.02:0.1:0.02", text)
		}
		ends[i] = x
	}
	start, stop, step := ends[0], ends[1], ends[2]
	if !(step > 0) || stop < start || (stop-start)/step > mostPoints {
		return axis{}, wrongUsef("--vary is %q; the step must be above 0 and the stop not below the start, with at most %d values", text, mostPoints)
	}
	a := axis{key: key}
	// A hundredth of a step makes up for steps that no float64 holds.
	for i := 0; float64(i) <= (stop-start)/step+0.01; i++ {
		a.values = append(a.values, strconv.FormatFloat(start+float64(i)*step, 'g', 12, 64))
	}
	return a, nil
}

// product returns all combinations of the axes' values, the last axis varying
// fastest.
func product(axes []axis) [][]string {
	points := [][]string{nil}
	for _, a := range axes {
		var longer [][]string
		for _, p := range points {
			for _, v := range a.values {
				longer = append(longer, append(append([]string{}, p...), v))
			}
		}
		points = longer
	}
	return points
}

// grid does the study at each point and writes one table.
func (f *studyFlags) grid(ctx context.Context, c console, words []string, s study.Study) error {
	var axes []axis
	var keys []string
	total := 1
	for _, text := range f.vary {
		a, err := parseAxis(text)
		if err != nil {
			return err
		}
		axes, keys = append(axes, a), append(keys, a.key)
		if total *= len(a.values); total > mostPoints {
			return wrongUsef("the grid has more than %d points; vary fewer keys or values", mostPoints)
		}
	}
	// All points are checked before the first is done.
	var points []gridPoint
	var there []scenarios.Scenario
	for _, values := range product(axes) {
		flags := f.scenario
		flags.set = append([]string{}, f.scenario.set...)
		for i, v := range values {
			flags.set = append(flags.set, keys[i]+"="+v)
		}
		scenario, err := flags.load(words)
		if err != nil {
			return err
		}
		points, there = append(points, gridPoint{values: values}), append(there, scenario)
	}
	for i, scenario := range there {
		s.Apparatus = scenario.Apparatus
		if !f.quiet {
			fmt.Fprintf(c.err, "stopvolt: point %d of %d: %s\n", i+1, len(points), strings.Join(points[i].values, ", "))
		}
		tally, err := f.do(ctx, c, s)
		if err != nil {
			return err
		}
		points[i].result = s.Result(tally)
	}
	table := func(w io.Writer) error { return writeRows(w, keys, points) }
	if f.out == "" {
		return table(c.out)
	}
	if err := writeFile(filepath.Join(f.out, "grid.csv"), table); err != nil {
		return err
	}
	return writeGridFigures(f.out, axes, points)
}

// writeGridFigures draws the biases against the values of the last axis, a
// figure for each method and, where there are more axes, for each combination of
// their values. Words instead of numbers have no axis.
func writeGridFigures(dir string, axes []axis, points []gridPoint) error {
	last := axes[len(axes)-1]
	values := make([]float64, len(last.values))
	for i, text := range last.values {
		x, err := strconv.ParseFloat(text, 64)
		if err != nil || i > 0 && x <= values[i-1] {
			return nil
		}
		values[i] = x
	}
	if len(values) < 2 {
		return nil
	}
	for start := 0; start < len(points); start += len(values) {
		line := points[start : start+len(values)]
		others := strings.Join(line[0].values[:len(axes)-1], ", ")
		for m, first := range line[0].result.Rows {
			if m > 0 && line[0].result.Rows[m-1].Method == first.Method {
				continue
			}
			f := figure.Grid{Title: gridTitle(first.Method, axes, line[0].values), Parameter: last.key, Values: values}
			for i := m; i < len(line[0].result.Rows) && line[0].result.Rows[i].Method == first.Method; i++ {
				s := figure.GridSeries{Method: line[0].result.Rows[i].Fit + " line"}
				for _, p := range line {
					bias := p.result.Rows[i].HOverE.Bias
					s.Bias, s.Error = append(s.Bias, bias.Value), append(s.Error, bias.Error)
				}
				f.Series = append(f.Series, s)
			}
			name := "grid-" + first.Method
			if others != "" {
				name = fileName(start/len(values), others) + "-" + first.Method
			}
			if err := writeFigure(dir, name, f); err != nil {
				return err
			}
		}
	}
	return nil
}

// gridTitle names a method and the values of all axes but the last.
func gridTitle(method string, axes []axis, values []string) string {
	title := "Bias of h/e by " + method
	for i, a := range axes[:len(axes)-1] {
		title += fmt.Sprintf(", %s = %s", a.key, values[i])
	}
	return title
}
