package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"stopvolt/analysis"
	"stopvolt/instrument/run"
	"stopvolt/instrument/run/reader"
	"stopvolt/physics"
	"stopvolt/sim"
)

// extractFlags are those of the command extract.
type extractFlags struct {
	data        dataFlags
	methods     []string
	fits        []string
	uWavelength float64
	temperature float64
	bootstrap   int
	seed        uint64
	out         string
	report      string
	json        bool
}

// extractCommand runs the methods on curves.
func extractCommand() command {
	return command{
		name:      "extract",
		arguments: "DATA...",
		summary:   "read the cutoffs of measured or synthetic curves by every method, then the line",
		examples: `  stopvolt extract 365.csv 405.csv 436.csv 546.csv 577.csv
  stopvolt sweep | stopvolt extract -
  stopvolt extract run.csv --report curves.html     # one page to show and to print
  stopvolt extract table.csv --methods zero-crossing,fowler-fit --json
  stopvolt extract photocell.txt --decimal comma --current-unit nA --temperature 300
`,
		prepare: func(flags *pflag.FlagSet) action {
			f := new(extractFlags)
			flags.StringSliceVar(&f.methods, "methods", nil, "methods to use, `a,b`; all by default")
			flags.StringSliceVar(&f.fits, "fits", nil, "how the line is put through the cutoffs, `a,b`; by default all but york, which needs --u-wavelength")
			flags.Float64Var(&f.uWavelength, "u-wavelength", 0, "standard uncertainty of the nominal wavelengths in nm")
			flags.Float64Var(&f.temperature, "temperature", 0, "temperature of the emitter in K; the file's, or room temperature, by default")
			flags.IntVar(&f.bootstrap, "bootstrap", 0, "uncertainties also by drawing the readings anew `N` times")
			flags.Uint64Var(&f.seed, "seed", 1, "seed of the draws of --bootstrap")
			flags.StringVar(&f.out, "out", "", "write a figure for each setting and method, and the line, to the folder `DIR`")
			flags.StringVar(&f.report, "report", "", "write a page to show and to print to `FILE.html`")
			flags.BoolVar(&f.json, "json", false, "print JSON instead of tables")
			f.data.addCurrents(flags)
			return f.run
		},
	}
}

func (f *extractFlags) run(_ context.Context, c console, words []string) error {
	methods, err := methodsNamed(f.methods)
	if err != nil {
		return err
	}
	fits, err := f.lineFits()
	if err != nil {
		return err
	}
	if f.bootstrap != 0 && (f.bootstrap < 2 || f.bootstrap > mostDraws) {
		return wrongUsef("--bootstrap is %d; it must be from 2 to %d", f.bootstrap, mostDraws)
	}
	if err := checkReport(f.report); err != nil {
		return err
	}
	r, remarks, err := f.read(c, words)
	if err != nil {
		return err
	}
	extractor := analysis.Extractor{Methods: methods, Fits: fits, UWavelength: f.uWavelength}
	x := extractor.Extract(r)
	if !anyCutoff(x) {
		return wrongUsef("no method found a cutoff on any curve: %s", firstReason(x))
	}
	if f.out != "" {
		if err := writeExtractFigures(f.out, r, x, methods); err != nil {
			return err
		}
	}
	if f.report != "" {
		page := extractPage{files: words, remarks: remarks, methods: methods, example: example{r, x}}
		if err := page.write(f.report); err != nil {
			return err
		}
	}
	drawn := f.draw(r, methods, fits)
	if f.json {
		return writeJSON(c.out, newExtractReport(x, methods, drawn))
	}
	printCutoffs(c.out, x, methods)
	printLines(c.out, x.Lines)
	fmt.Fprint(c.out, "\n", fold("Off by: against the exact h/e, 4.135667696...e-15 V s. The uncertainty of a line is that of the "+
		"points' scatter about it. Which method to believe is a question for a simulated bench like yours: stopvolt study.", 96, ""), "\n")
	if drawn != nil {
		printDrawn(c.out, x, methods, *drawn)
	}
	printReasons(c.out, x, methods)
	return nil
}

// mostDraws keeps a slip in --bootstrap from running for years.
const mostDraws = 1_000_000

// draw does the bootstrap that the flags ask for, nil for none.
func (f *extractFlags) draw(r run.Run, methods []analysis.Method, fits []analysis.LineFit) *analysis.Bootstrapped {
	if f.bootstrap == 0 {
		return nil
	}
	// Another extractor, since this one's next result takes the memory of its
	// last.
	x := analysis.Extractor{Methods: methods, Fits: fits, UWavelength: f.uWavelength}
	drawn := x.Bootstrap(r, f.bootstrap, sim.NewStream(sim.StreamName{Seed: f.seed, Purpose: "bootstrap"}))
	return &drawn
}

// lineFits returns the ways of putting the line. Without an uncertainty of the
// wavelengths York's line is the weighted one, and is left out.
func (f *extractFlags) lineFits() ([]analysis.LineFit, error) {
	if !(f.uWavelength >= 0 && f.uWavelength < 100) {
		return nil, wrongUsef("--u-wavelength is %g; it must be from 0 to 100 nm", f.uWavelength)
	}
	if f.fits != nil {
		return fitsNamed(f.fits)
	}
	return slices.DeleteFunc(analysis.LineFits(), func(fit analysis.LineFit) bool {
		return f.uWavelength == 0 && fit.Name() == "york"
	}), nil
}

// read reads the files that the words name, and returns what was guessed and
// done on the way.
func (f *extractFlags) read(c console, words []string) (run.Run, []string, error) {
	if len(words) == 0 {
		return run.Run{}, nil, wrongUsef("name the files to read; - is standard input")
	}
	if !(f.temperature >= 0 && f.temperature <= 1500) {
		return run.Run{}, nil, wrongUsef("--temperature is %g; it must be from 0 to 1500 K", f.temperature)
	}
	options, err := f.data.parsed()
	if err != nil {
		return run.Run{}, nil, err
	}
	r, guesses, err := reader.ReadFiles(words, c.in, options)
	if err != nil {
		return run.Run{}, nil, wrongUse{err}
	}
	remarks := remarksOn(guesses)
	r, dark := analysis.WithoutDark(r)
	if dark {
		remarks = append(remarks, "the current of the dark curve, as a straight line, is taken off the others")
	}
	tell(c.err, remarks)
	if len(r.Curves) == 0 {
		return run.Run{}, nil, wrongUsef("there are only dark curves; at least one with light is needed")
	}
	if f.temperature > 0 {
		r.Facts.Temperature = f.temperature
	}
	return r, remarks, nil
}

// anyCutoff reports whether a method found a cutoff.
func anyCutoff(x analysis.Extraction) bool {
	for _, s := range x.Settings {
		for _, c := range s.Cutoffs {
			if c.Status == analysis.OK {
				return true
			}
		}
	}
	return false
}

// firstReason says why the first method has no answer on the first curve.
func firstReason(x analysis.Extraction) string {
	for _, s := range x.Settings {
		for _, c := range s.Cutoffs {
			return fmt.Sprintf("%s, %s", s.Name, c.Reason)
		}
	}
	return "there are no curves"
}

// printCutoffs prints the stopping voltages, a row a method and a column a
// setting.
func printCutoffs(w io.Writer, x analysis.Extraction, methods []analysis.Method) {
	fmt.Fprintf(w, "Stopping voltages in V, with the standard uncertainty of the last digits\n\n%-18s", "method")
	for _, s := range x.Settings {
		fmt.Fprintf(w, " %14s", clipped(s.Name, 14))
	}
	fmt.Fprintln(w)
	for m, method := range methods {
		fmt.Fprintf(w, "%-18s", method.Name())
		for _, s := range x.Settings {
			text := "-"
			if c := s.Cutoffs[m]; c.Status == analysis.OK {
				text = analysis.Concise(c.Stopping, c.U, "")
			}
			fmt.Fprintf(w, " %14s", text)
		}
		fmt.Fprintln(w)
	}
}

// clipped cuts a text to a number of characters.
func clipped(text string, most int) string {
	if r := []rune(text); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return text
}

// printLines prints the lines through the stopping voltages.
func printLines(w io.Writer, lines []analysis.MethodLine) {
	fmt.Fprintf(w, "\n%-18s %-9s %20s %12s %16s  %s\n", "method", "line", "h/e", "off by", "collector in eV", "left out")
	for _, l := range lines {
		if l.Status != analysis.OK {
			fmt.Fprintf(w, "%-18s %-9s %20s %12s %16s  %s\n", l.Method, l.Fit, "-", "-", "-", l.Reason)
			continue
		}
		phi, u := l.Line.WorkFunction()
		fmt.Fprintf(w, "%-18s %-9s %20s %12s %16s  %s\n", l.Method, l.Fit, analysis.Concise(l.Line.Slope, l.Line.USlope, "V s"),
			fmt.Sprintf("%+.2f %%", 100*deviation(l.Line)), analysis.Concise(phi, u, ""), strings.Join(l.LeftOut, ", "))
	}
}

// deviation returns how far the line's h/e is from the exact value, relative to
// it.
func deviation(l analysis.Line) float64 { return l.Slope/physics.HOverE - 1 }

// printReasons says for each missing cutoff why it is missing.
func printReasons(w io.Writer, x analysis.Extraction, methods []analysis.Method) {
	heading := "\nWithout an answer:\n"
	for m, method := range methods {
		for _, s := range x.Settings {
			if c := s.Cutoffs[m]; c.Status != analysis.OK {
				fmt.Fprintf(w, "%s  %s, %s: %s\n", heading, method.Name(), s.Name, c.Reason)
				heading = ""
			}
		}
	}
	printRemarks(w, x, methods)
	printDisorder(w, x, methods)
}

// printDisorder names cutoffs that do not rise with the frequency by more than
// their uncertainties allow: at least one of a pair was read from noise, or
// belongs to another setting.
func printDisorder(w io.Writer, x analysis.Extraction, methods []analysis.Method) {
	heading := "\nNot in the order of the frequencies:\n"
	for m, method := range methods {
		for _, low := range x.Settings {
			for _, high := range x.Settings {
				a, b := low.Cutoffs[m], high.Cutoffs[m]
				if a.Status != analysis.OK || b.Status != analysis.OK || !(low.Frequency < high.Frequency) ||
					a.Stopping-b.Stopping <= 2*math.Hypot(a.U, b.U) {
					continue
				}
				fmt.Fprintf(w, "%s  %s: %s stops at %s V, above %s at %s V; one of them is no cutoff\n", heading, method.Name(),
					low.Name, analysis.Concise(a.Stopping, a.U, ""), high.Name, analysis.Concise(b.Stopping, b.U, ""))
				heading = ""
			}
		}
	}
}

// printRemarks prints each remark once for a method, with the settings that it
// is about.
func printRemarks(w io.Writer, x analysis.Extraction, methods []analysis.Method) {
	heading := "\nTo be taken with care:\n"
	for m, method := range methods {
		var order []string
		about := make(map[string][]string)
		for _, s := range x.Settings {
			remark := s.Cutoffs[m].Remark
			if remark == "" {
				continue
			}
			if about[remark] == nil {
				order = append(order, remark)
			}
			about[remark] = append(about[remark], s.Name)
		}
		for _, remark := range order {
			fmt.Fprintf(w, "%s  %s, %s: %s\n", heading, method.Name(), strings.Join(about[remark], ", "), remark)
			heading = ""
		}
	}
}

// printDrawn prints what the bootstrap made of the uncertainties.
func printDrawn(w io.Writer, x analysis.Extraction, methods []analysis.Method, drawn analysis.Bootstrapped) {
	fmt.Fprintf(w, "\nStandard uncertainties by the bootstrap: cutoffs in V\n\n%-18s", "method")
	for _, s := range x.Settings {
		fmt.Fprintf(w, " %14s", clipped(s.Name, 14))
	}
	fmt.Fprintln(w)
	for m, method := range methods {
		fmt.Fprintf(w, "%-18s", method.Name())
		for i := range x.Settings {
			fmt.Fprintf(w, " %14s", spread(drawn.Cutoffs[i][m]))
		}
		fmt.Fprintln(w)
	}
	fmt.Fprintf(w, "\n%-18s %-9s %20s %16s\n", "method", "line", "h/e in V s", "collector in eV")
	for i, l := range x.Lines {
		fmt.Fprintf(w, "%-18s %-9s %20s %16s\n", l.Method, l.Fit, spread(drawn.Slopes[i]), spread(drawn.WorkFunctions[i]))
	}
}

// spread prints a standard deviation.
func spread(s analysis.Spread) string {
	if s.N < 2 {
		return "-"
	}
	return fmt.Sprintf("%.2g", s.Deviation)
}
