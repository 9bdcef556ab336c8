package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"stopvolt/analysis"
	"stopvolt/analysis/check"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/draw"
	"stopvolt/cmd/stopvolt/internal/files"
	"stopvolt/cmd/stopvolt/internal/page"
	"stopvolt/cmd/stopvolt/internal/result"
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
	allRows     bool
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
			flags.StringVar(&f.out, "out", "", "write the table of all cutoffs and lines, a sheet for each method, the curves and the line to the folder `DIR`")
			flags.StringVar(&f.report, "report", "", "write a page to show and to print to `FILE.html`")
			flags.BoolVar(&f.allRows, "all-rows", false, "print every line of every method, and why each cutoff is missing")
			flags.BoolVar(&f.json, "json", false, "print JSON instead of tables")
			f.data.addCurrents(flags)
			return f.run
		},
	}
}

func (f *extractFlags) run(_ context.Context, c console.Console, words []string) error {
	methods, err := methodsNamed(f.methods)
	if err != nil {
		return err
	}
	fits, err := f.lineFits()
	if err != nil {
		return err
	}
	if f.bootstrap != 0 && (f.bootstrap < 2 || f.bootstrap > mostDraws) {
		return console.WrongUsef("--bootstrap is %d; it must be from 2 to %d", f.bootstrap, mostDraws)
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
	choice := analysis.Choice{Fit: preferredFit(fits), UWavelength: f.uWavelength}
	if !anyCutoff(x) {
		return console.WrongUsef("no method found a cutoff on any curve: %s", firstReason(x))
	}
	answer := choice.Answer(x)
	answer.Remarks = append(doubtUnits(answer, r), answer.Remarks...)
	for i, l := range x.Lines {
		x.Lines[i].Line = l.Line.Whole() // as the answer has it
	}
	told := result.Extraction{
		Extraction: x, Slips: slipsOf(r), Methods: methods, Bootstrap: f.draw(r, methods, fits),
		Answer: answer, Fit: choice.Fit, AllRows: f.allRows,
	}
	if f.out != "" {
		if err := draw.WriteExtract(f.out, r, x, methods); err != nil {
			return err
		}
		for name, write := range map[string]func(io.Writer) error{"cutoffs.csv": told.WriteCSV, "lines.csv": told.WriteLines} {
			if err := files.Write(filepath.Join(f.out, name), write); err != nil {
				return err
			}
		}
	}
	if f.report != "" {
		p := page.Extraction{Origin: origin(0), Files: words, Remarks: remarks, Methods: methods, Example: draw.Example{Run: r, Extraction: x}, Told: told}
		if err := writePage(f.report, p.Page); err != nil {
			return err
		}
	}
	if f.json {
		return result.WriteJSON(c.Data, told.Object())
	}
	return told.Print(c.Out)
}

// doubtUnits returns what check says of the units of a run that has no answer, or one
// that is nearer to another power of ten than to the exact h/e: no cell and no method
// does that.
func doubtUnits(a analysis.Answer, r run.Run) []string {
	var said []string
	if a.Status == analysis.OK {
		power := math.Round(math.Log10(a.HOverE / physics.HOverE))
		if power == 0 {
			return nil
		}
		size := "large"
		if power < 0 {
			size = "small"
		}
		said = []string{fmt.Sprintf("the voltages seem to be in another unit than their heading or --voltage-unit says, since h/e is about %.0f times too %s",
			math.Pow(10, math.Abs(power)), size)}
	}
	for _, finding := range result.FindingList(check.Units(r)) {
		said = append(said, "check says: "+strings.TrimSuffix(finding, "."))
	}
	return said
}

// slipsOf returns the readings of a run that lie far off their neighbours.
func slipsOf(r run.Run) []analysis.Slip {
	var all []analysis.Slip
	for _, c := range r.Curves {
		all = append(all, analysis.Slips(c, r.Facts)...)
	}
	return all
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
		return nil, console.WrongUsef("--u-wavelength is %g; it must be from 0 to 100 nm", f.uWavelength)
	}
	if f.fits != nil {
		return fitsNamed(f.fits)
	}
	return slices.DeleteFunc(analysis.LineFits(), func(fit analysis.LineFit) bool {
		return f.uWavelength == 0 && fit.Name() == "york"
	}), nil
}

// preferredFit returns the line fit that the answer is by: the weighted one, or
// the first where that is not asked for.
func preferredFit(fits []analysis.LineFit) string {
	for _, fit := range fits {
		if fit.Name() == (analysis.Weighted{}).Name() {
			return fit.Name()
		}
	}
	return fits[0].Name()
}

// read reads the files that the words name, and returns what was guessed and
// done on the way.
func (f *extractFlags) read(c console.Console, words []string) (run.Run, []string, error) {
	if len(words) == 0 {
		return run.Run{}, nil, console.WrongUsef("name the files to read; - is standard input")
	}
	if !(f.temperature >= 0 && f.temperature <= 1500) {
		return run.Run{}, nil, console.WrongUsef("--temperature is %g; it must be from 0 to 1500 K", f.temperature)
	}
	options, err := f.data.parsed()
	if err != nil {
		return run.Run{}, nil, err
	}
	r, guesses, err := reader.ReadFiles(words, c.In, options)
	if err != nil {
		return run.Run{}, nil, console.WrongUse{Err: err}
	}
	remarks := remarksOn(guesses)
	r, dark := analysis.WithoutDark(r)
	if dark {
		remarks = append(remarks, "the current of the dark curve, as a straight line, is taken off the others")
	}
	c.Tell(remarks...)
	if len(r.Curves) == 0 {
		return run.Run{}, nil, console.WrongUsef("there are only dark curves; at least one with light is needed")
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
