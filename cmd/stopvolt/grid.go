package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"stopvolt/analysis/study"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/draw"
	"stopvolt/cmd/stopvolt/internal/files"
	"stopvolt/cmd/stopvolt/internal/page"
	"stopvolt/cmd/stopvolt/internal/result"
	"stopvolt/scenarios"
)

// mostPoints keeps a slip in a step from running for years, and the results of
// all points in memory.
const mostPoints = 1000

// parseAxis reads KEY=a,b,c or KEY=start:stop:step.
func parseAxis(text string) (draw.Axis, error) {
	key, list, ok := strings.Cut(text, "=")
	if key = strings.TrimSpace(key); !ok || key == "" || list == "" {
		return draw.Axis{}, console.WrongUsef("--vary is %q; it must be KEY=a,b,c or KEY=start:stop:step", text)
	}
	if !strings.Contains(list, ":") {
		a := draw.Axis{Key: key}
		for _, value := range strings.Split(list, ",") {
			a.Values = append(a.Values, strings.TrimSpace(value))
		}
		return a, nil
	}
	var ends [3]float64
	parts := strings.Split(list, ":")
	for i, part := range parts {
		x, err := strconv.ParseFloat(strings.TrimSpace(part), 64)
		if err != nil || len(parts) != 3 || math.IsNaN(x) || math.IsInf(x, 0) {
			return draw.Axis{}, console.WrongUsef("--vary is %q; a range is start:stop:step in numbers, such as 0.02:0.1:0.02", text)
		}
		ends[i] = x
	}
	start, stop, step := ends[0], ends[1], ends[2]
	if !(step > 0) || stop < start || (stop-start)/step > mostPoints {
		return draw.Axis{}, console.WrongUsef("--vary is %q; the step must be above 0 and the stop not below the start, with at most %d values", text, mostPoints)
	}
	a := draw.Axis{Key: key}
	// A hundredth of a step makes up for steps that no float64 holds.
	for i := 0; float64(i) <= (stop-start)/step+0.01; i++ {
		a.Values = append(a.Values, strconv.FormatFloat(start+float64(i)*step, 'g', 12, 64))
	}
	return a, nil
}

// product returns all combinations of the axes' values, the last axis varying
// fastest.
func product(axes []draw.Axis) [][]string {
	points := [][]string{nil}
	for _, a := range axes {
		var longer [][]string
		for _, p := range points {
			for _, v := range a.Values {
				longer = append(longer, append(append([]string{}, p...), v))
			}
		}
		points = longer
	}
	return points
}

// grid does the study at each point and writes one table.
func (f *studyFlags) grid(ctx context.Context, c console.Console, words []string, s study.Study) error {
	var axes []draw.Axis
	var keys []string
	total := 1
	for _, text := range f.vary {
		a, err := parseAxis(text)
		if err != nil {
			return err
		}
		if slices.Contains(keys, a.Key) {
			return console.WrongUsef("--vary names %s twice; give all its values at once", a.Key)
		}
		axes, keys = append(axes, a), append(keys, a.Key)
		if total *= len(a.Values); total > mostPoints {
			return console.WrongUsef("the grid has more than %d points; vary fewer keys or values", mostPoints)
		}
	}
	// All points are checked before the first is done.
	var points []result.GridPoint
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
		points, there = append(points, result.GridPoint{Values: values}), append(there, scenario)
	}
	for i, scenario := range there {
		s.Population = scenario.Population
		if !f.quiet {
			fmt.Fprintf(c.Err, "stopvolt: point %d of %d: %s\n", i+1, len(points), strings.Join(points[i].Values, ", "))
		}
		tally, err := f.do(ctx, c, s)
		if err != nil {
			return err
		}
		points[i].Result = s.Result(tally)
	}
	if f.report != "" {
		title, err := f.scenario.load(words)
		if err != nil {
			return err
		}
		p := page.Grid{Origin: origin(s.Seed), Title: titled(title), Axes: axes, Points: points, Replicates: s.Replicates}
		if err := writePage(f.report, p.Page); err != nil {
			return err
		}
	}
	if f.out == "" {
		return result.PrintGrid(c.Out, keys, points)
	}
	table := func(w io.Writer) error { return result.WriteGrid(w, keys, points) }
	if err := files.Write(filepath.Join(f.out, "grid.csv"), table); err != nil {
		return err
	}
	for _, figure := range draw.Grids(axes, points) {
		if err := draw.Write(f.out, figure.Name, figure.Picture); err != nil {
			return err
		}
	}
	return nil
}
