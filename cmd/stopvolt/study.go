package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"os"
	"time"

	"github.com/schollz/progressbar/v3"
	"github.com/spf13/pflag"
	"golang.org/x/term"

	"stopvolt/analysis"
	"stopvolt/analysis/study"
	"stopvolt/scenarios"
)

// studyFlags are those of the command study.
type studyFlags struct {
	scenario   scenarioFlags
	replicates int
	seed       uint64
	methods    []string
	out        string
	json       bool
	quiet      bool
}

// mostReplicates keeps the results of a study within the memory.
const mostReplicates = 10_000_000

// studyCommand is the main job.
func studyCommand() command {
	return command{
		name:      "study",
		arguments: "[SCENARIO]",
		summary:   "measure how far each method puts h/e from the truth, over many simulated experiments",
		examples: `  stopvolt study
  stopvolt study --replicates 2000 --methods tangent,fowler-fit
  stopvolt study --set collector.stray_light=0.1 --json
  stopvolt study mine.toml --out results      # tables, and figures as PNG and SVG
`,
		prepare: func(flags *pflag.FlagSet) action {
			f := new(studyFlags)
			flags.IntVar(&f.replicates, "replicates", 200, "number of simulated experiments `N`")
			flags.Uint64Var(&f.seed, "seed", 1, "seed of the random numbers `S`")
			flags.StringSliceVar(&f.methods, "methods", nil, "methods to compare, `a,b`; all by default")
			f.scenario.add(flags)
			flags.StringVar(&f.out, "out", "", "write results and figures to the folder `DIR`")
			flags.BoolVar(&f.json, "json", false, "print JSON instead of a table")
			flags.BoolVar(&f.quiet, "quiet", false, "show no progress")
			return f.run
		},
	}
}

func (f *studyFlags) run(ctx context.Context, c console, words []string) error {
	scenario, err := f.scenario.load(words)
	if err != nil {
		return err
	}
	methods, err := methodsNamed(f.methods)
	if err != nil {
		return err
	}
	if f.replicates < 2 || f.replicates > mostReplicates {
		return wrongUsef("--replicates is %d; it must be from 2 to %d", f.replicates, mostReplicates)
	}
	s := study.Study{
		Apparatus:  scenario.Apparatus,
		Methods:    methods,
		Fits:       analysis.LineFits(),
		Replicates: f.replicates,
		Seed:       f.seed,
	}
	finish := func() {}
	if !f.quiet {
		s.Done, finish = progress(c.err, f.replicates)
	}
	result, err := s.Run(ctx)
	finish()
	if err != nil {
		return err
	}
	report := newStudyReport(scenario, f, result)
	if f.json {
		return writeJSON(c.out, report)
	}
	return printStudy(c.out, scenario, f.replicates, result)
}

// progress returns the functions that show progress on a terminal, which do
// nothing elsewhere.
func progress(w io.Writer, total int) (done, finish func()) {
	f, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return nil, func() {}
	}
	bar := progressbar.NewOptions(total,
		progressbar.OptionSetWriter(w),
		progressbar.OptionSetDescription("experiments"),
		progressbar.OptionShowCount(),
		progressbar.OptionShowIts(),
		progressbar.OptionSetItsString("experiments"),
		progressbar.OptionSetPredictTime(true),
		progressbar.OptionThrottle(100*time.Millisecond),
		progressbar.OptionClearOnFinish(),
		progressbar.OptionSetRenderBlankState(true),
	)
	// A terminal that cannot be written to is no reason to stop the study.
	return func() { _ = bar.Add(1) }, func() { _ = bar.Finish() }
}

// printStudy prints the verdict and the table.
func printStudy(w io.Writer, s scenarios.Scenario, replicates int, r study.Result) error {
	fmt.Fprintf(w, "%s\n%d simulated experiments, h/e = %.6ge-15 V s, collector %.3f eV\n\n",
		s.Title, replicates, r.Truth.HOverE*1e15, r.Truth.CollectorWorkFunction)
	for _, line := range verdict(r) {
		fmt.Fprintln(w, fold(line, 96, ""))
	}
	fmt.Fprintf(w, "\n%-18s %-9s %16s %9s %9s %9s %9s %7s\n", "method", "line", "bias of h/e", "spread", "rms error", "stated u", "coverage", "failed")
	for _, row := range r.Rows {
		m := row.HOverE
		fmt.Fprintf(w, "%-18s %-9s %16s %9s %9s %9s %9s %7d\n", row.Method, row.Fit,
			withError(m.Bias), percent(m.EmpiricalSE.Value, "%.2f"), percent(m.RMSE.Value, "%.2f"),
			percent(m.MeanU.Value, "%.2f"), percent(m.Coverage.Value, "%.0f"), m.Failures)
	}
	fmt.Fprint(w, "\n", fold("Bias is the mean error of h/e with its Monte Carlo standard error; spread is the standard "+
		"deviation from experiment to experiment; rms error is both together; stated u is what the line fit "+
		"claims; coverage is how often its 95 % interval holds the truth. All in per cent of h/e.", 96, ""), "\n")
	return nil
}

// withError prints a relative measure and its error in per cent.
func withError(m study.Measure) string {
	if math.IsNaN(m.Value) {
		return "-"
	}
	return fmt.Sprintf("%+.2f ± %.2f %%", 100*m.Value, 100*m.Error)
}

// percent prints a fraction in per cent.
func percent(x float64, format string) string {
	if math.IsNaN(x) {
		return "-"
	}
	return fmt.Sprintf(format+" %%", 100*x)
}

// verdict says in two sentences which method to use, and why.
func verdict(r study.Result) []string {
	return []string{
		choiceSentence("For reading by hand", r, r.Recommendation.ByHand),
		choiceSentence("By computer", r, r.Recommendation.ByComputer),
	}
}

// choiceSentence says what was chosen for a use.
func choiceSentence(use string, r study.Result, c study.Choice) string {
	if c.Row < 0 {
		return use + ", no method has an answer often enough to be recommended."
	}
	row := r.Rows[c.Row]
	text := fmt.Sprintf("%s, take %s with the %s line: its h/e is %+.2f %% off on the mean, and its rms error is %.2f %% on the experiments that had no part in choosing it",
		use, row.Method, row.Fit, 100*c.HOverE.Bias.Value, 100*c.HOverE.RMSE.Value)
	if len(c.Equals) > 0 {
		text += "; not told apart from it:"
		for i, equal := range c.Equals {
			if i > 0 {
				text += ","
			}
			text += fmt.Sprintf(" %s (%s)", r.Rows[equal].Method, r.Rows[equal].Fit)
		}
	}
	return text + "."
}
