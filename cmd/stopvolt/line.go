package main

import (
	"context"
	"fmt"
	"slices"
	"strconv"

	"github.com/spf13/pflag"

	"stopvolt/analysis"
	"stopvolt/analysis/match"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/draw"
	"stopvolt/cmd/stopvolt/internal/page"
	"stopvolt/cmd/stopvolt/internal/result"
	"stopvolt/instrument/run/reader"
	"stopvolt/physics"
	"stopvolt/scenarios"
)

// lineFlags are those of the command line.
type lineFlags struct {
	data   dataFlags
	fits   []string
	json   bool
	out    string
	report string
	// explains asks for what may stand behind the error, known says what is known
	// of the bench, and population names benches like it.
	explains   bool
	known      []string
	population string
}

// lineCommand puts a line through a table of stopping voltages.
func lineCommand() command {
	return command{
		name:      "line",
		arguments: "TABLE.csv",
		summary:   "put a straight line through a table of wavelengths and stopping voltages",
		examples: `  stopvolt line table.csv                  # columns wavelength_nm, stopping_V and, if known, u_stopping_V
  stopvolt line table.csv --explain --known reverse=0.02,step=0.1
  stopvolt line table.csv --report line.html --out pictures   # beside Millikan's line of 1916
  printf 'wavelength_nm,stopping_V\n433.9,0.55\n404.7,0.73\n365.0,1.09\n312.5,1.67\n253.5,2.57\n' | stopvolt line -
`,
		prepare: func(flags *pflag.FlagSet) action {
			f := new(lineFlags)
			flags.StringSliceVar(&f.fits, "fits", nil, "how the line is put through the points, `a,b`; by default weighted where the table has uncertainties, else ordinary")
			flags.StringVar(&f.out, "out", "", "draw the points with their line, beside published ones, into the folder `DIR`")
			flags.StringVar(&f.report, "report", "", "write a page to show and to print to `FILE.html`")
			flags.BoolVar(&f.json, "json", false, "print JSON instead of a table")
			flags.BoolVar(&f.explains, "explain", false, "say what may stand behind the error of the slope, and what would settle it")
			flags.StringSliceVar(&f.known, "known", nil, "what is known of the bench, for --explain: reverse, coating, ratio, step, as `reverse=0.02,step=0.1`")
			flags.StringVar(&f.population, "population", scenarios.DefaultPopulation, "benches to compare with, for --explain: an embedded scenario or a `FILE.toml`")
			f.data.add(flags)
			return f.run
		},
	}
}

func (f *lineFlags) run(ctx context.Context, c console.Console, words []string) error {
	if len(words) != 1 {
		return console.WrongUsef("name one table of stopping voltages; - is standard input")
	}
	if err := checkReport(f.report); err != nil {
		return err
	}
	known, err := f.knowing()
	if err != nil {
		return err
	}
	options, err := f.data.parsed()
	if err != nil {
		return err
	}
	rows, guesses, err := reader.ReadTableFile(words[0], c.In, options)
	if err != nil {
		return console.WrongUse{Err: err}
	}
	c.Tell(remarksOn(guesses)...)
	points, leftOut := pointsOf(rows)
	fits, err := f.chosen(points)
	if err != nil {
		return err
	}
	var put []analysis.MethodLine
	for _, fit := range fits {
		l := analysis.MethodLine{Method: tableMethod, Fit: fit.Name(), LeftOut: leftOut}
		if l.Line, err = fit.Fit(points); err != nil {
			return console.WrongUsef("%s: %w", words[0], err)
		}
		put = append(put, l)
	}
	lines := result.Lines(put, physics.HOverE)
	table := draw.Table{Points: points, Line: put[0].Line, Published: analysis.PublishedLines()}
	if f.out != "" {
		if err := draw.Write(f.out, "line", table); err != nil {
			return err
		}
	}
	if f.report != "" {
		if err := writePage(f.report, page.Line{Origin: origin(0), Table: table, Lines: lines, LeftOut: leftOut}.Page); err != nil {
			return err
		}
	}
	var explanation match.Explanation
	if f.explains {
		if explanation, err = f.explain(ctx, points, known); err != nil {
			return err
		}
	}
	if f.json {
		object := result.Object{{Key: "schema", Value: result.Schema}, {Key: "lines", Value: result.LineObjects(lines)}}
		if f.explains {
			object = append(object, result.Member{Key: "explanation", Value: explanationObject(explanation)})
		}
		return result.WriteJSON(c.Data, object)
	}
	if err := result.PrintLines(c.Out, lines); err != nil {
		return err
	}
	for _, l := range put {
		if stated := l.Line.StatedU(); l.Fit == "weighted" && stated > 0 {
			fmt.Fprint(c.Out, "\n", console.Fold(fmt.Sprintf("Chi-square of the weighted line is %.3g with %s. The uncertainty of h/e above is that of the points' "+
				"scatter about the line; their stated uncertainties alone make %s V s. Where these differ much, the larger one is the honest one.",
				l.Line.ChiSquare, result.Freedom(l.Line.DegreesOfFreedom), strconv.FormatFloat(stated, 'g', 2, 64)), 96, ""), "\n")
		}
	}
	if f.explains {
		tellExplanation(c.Out, explanation)
	}
	return nil
}

// chosen returns the fits that the flags name. By default the weights are those
// of the table, if each stopping voltage has its uncertainty.
func (f *lineFlags) chosen(points []analysis.Point) ([]analysis.LineFit, error) {
	switch {
	case f.fits != nil:
		return fitsNamed(f.fits)
	case slices.ContainsFunc(points, func(p analysis.Point) bool { return p.UStopping == 0 }):
		return fitsNamed([]string{"ordinary"})
	}
	return fitsNamed([]string{"weighted"})
}

// tableMethod stands for the method of stopping voltages that came as a table.
const tableMethod = "table"

// pointsOf returns the points of a table, and the names of the rows that are no
// part of the line.
func pointsOf(rows []reader.StoppingVoltage) (points []analysis.Point, leftOut []string) {
	for _, r := range rows {
		p := analysis.Point{
			Setting:   r.Setting,
			Frequency: r.Frequency, UFrequency: r.UFrequency,
			Stopping: r.Stopping, UStopping: r.UStopping,
		}
		if r.Frequency == 0 {
			p.Frequency = physics.Frequency(r.Wavelength)
			p.UFrequency = p.Frequency * r.UWavelength / r.Wavelength
		}
		if r.BelowThreshold {
			leftOut = append(leftOut, fmt.Sprintf("line %d (no electrons)", r.Line))
			continue
		}
		points = append(points, p)
	}
	return points, leftOut
}
