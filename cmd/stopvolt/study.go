package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/pflag"

	"stopvolt/analysis/study"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/scenarios"
)

// studyFlags are those of the command study.
type studyFlags struct {
	scenario      scenarioFlags
	replicates    int
	maxReplicates int
	until         float64
	seed          uint64
	methods       []string
	fits          []string
	vary          []string
	part          string
	within        float64
	allRows       bool
	fullReport    bool
	chart         string
	chartRows     int
	resume        bool
	out           string
	report        string
	json          bool
	quiet         bool
	// given tells which flags were typed.
	given func(name string) bool
}

// mostReplicates is where a study stops being of use; its memory does not grow.
const mostReplicates = 100_000_000

// defaultReplicates is a number of experiments that tells the ends of a range to
// some per cent of the benches and takes ten seconds, and gridReplicates one
// that tells a median.
const (
	defaultReplicates = 1800
	gridReplicates    = 600
)

// addWithin adds the flag that says how good a result has to be.
func addWithin(flags *pflag.FlagSet, within *float64) {
	flags.Float64Var(within, "within", 20, "say which method is good to `PERCENT` on 95 % of the benches")
}

// checkWithin says what is wrong with the flag.
func checkWithin(within float64) error {
	if !(within > 0 && within <= 1000) {
		return console.WrongUsef("--within is %g; it must be above 0 and at most 1000 per cent", within)
	}
	return nil
}

// studyCommand is the main job.
func studyCommand() command {
	return command{
		name:      "study",
		arguments: "[SCENARIO]",
		summary:   "measure how far each method puts h/e from the truth, over many simulated experiments",
		examples: `  stopvolt study
  stopvolt study --replicates 2000 --methods tangent,fowler-fit
  stopvolt study --set collector.reverse_ratio=0.1 --json
  stopvolt study lanternfell                         # one bench instead of a population
  stopvolt study mine.toml --out results             # tables, and figures as PNG and SVG
  stopvolt study --report study.html                 # one page to show and to print
  stopvolt study --chart chart.html                  # one page for the wall of the preparation room
  stopvolt study --until 0.01 --max-replicates 1000000
  stopvolt study --vary collector.reverse_ratio=0.001,0.01,0.1 --report grid.html
  stopvolt study --vary collector.reverse_ratio=0.001,0.01,0.1 --vary plan.step_V=0.02:0.1:0.04
  stopvolt study --replicates 100000 --part 2/8 --out part2.json
  stopvolt study --replicates 100000 --out long --resume
`,
		prepare: func(flags *pflag.FlagSet) action {
			f := &studyFlags{given: flags.Changed, scenario: scenarioFlags{other: scenarios.DefaultPopulation}}
			flags.IntVar(&f.replicates, "replicates", defaultReplicates, "number of simulated experiments `N`, two at each bench")
			flags.Uint64Var(&f.seed, "seed", 1, "seed of the random numbers `S`")
			flags.StringSliceVar(&f.methods, "methods", nil, "methods to compare, `a,b`; all by default")
			flags.StringSliceVar(&f.fits, "fits", []string{"ordinary", "weighted"}, "how the line is put through the cutoffs, `a,b`")
			f.scenario.add(flags)
			flags.Float64Var(&f.until, "until", 0, "go on until every bias of h/e is known to `PERCENT` of h/e")
			flags.IntVar(&f.maxReplicates, "max-replicates", 1_000_000, "the most experiments `N`, for --until")
			flags.StringArrayVar(&f.vary, "vary", nil, "do the study for each value of a key, `KEY=a,b,c` or KEY=start:stop:step (may be repeated)")
			flags.StringVar(&f.part, "part", "", "do share `I/N` of the experiments, for merge to join")
			addWithin(flags, &f.within)
			flags.BoolVar(&f.allRows, "all-rows", false, "show each way of putting the line, not only the best of each method")
			flags.BoolVar(&f.resume, "resume", false, "go on with what a stopped study left in --out")
			flags.StringVar(&f.out, "out", "", "write results and figures to the folder `DIR`, or with --part to a file")
			flags.StringVar(&f.report, "report", "", "write a page to show and to print to `FILE.html`")
			flags.BoolVar(&f.fullReport, "full-report", false, "with --report, show every method's construction and the apparatus too")
			flags.StringVar(&f.chart, "chart", "", "write a chart for the preparation room to `FILE.html`: the factor by what anyone can read off")
			flags.IntVar(&f.chartRows, "chart-rows", 4, "rows of the chart, `N`, for each of which a thousand benches are done")
			flags.BoolVar(&f.json, "json", false, "print JSON instead of a table")
			flags.BoolVar(&f.quiet, "quiet", false, "show no progress")
			return f.run
		},
	}
}

func (f *studyFlags) run(ctx context.Context, c console.Console, words []string) error {
	scenario, err := f.scenario.load(words)
	if err != nil {
		return err
	}
	s, err := f.study(scenario)
	if err != nil {
		return err
	}
	if len(f.vary) > 0 {
		return f.grid(ctx, c, words, s)
	}
	files, err := f.prepare(scenario, &s)
	if err != nil {
		return err
	}
	tally, err := f.do(ctx, c, s)
	if err != nil {
		if errors.Is(err, context.Canceled) {
			return files.interruption()
		}
		return err
	}
	if s.Part.Count > 0 {
		return files.finishPart(tally)
	}
	if s.Until > 0 && !s.Precise(tally) {
		fmt.Fprintf(c.Err, "stopvolt: after %d experiments a bias is still not known to %g %%; --max-replicates allows more\n", tally.Replicates(), f.until)
	}
	return finishStudy(ctx, c, newStudyFile(scenario, s), s, tally, outcome{
		out: f.out, json: f.json, progress: files.progress, report: f.report, fullReport: f.fullReport,
		chart: f.chart, chartRows: f.chartRows,
		within: f.within / 100, allRows: f.allRows,
	})
}

// study returns what the flags ask for.
func (f *studyFlags) study(scenario scenarios.Scenario) (study.Study, error) {
	if err := errors.Join(checkReport(f.report), checkReport(f.chart)); err != nil {
		return study.Study{}, err
	}
	if err := checkWithin(f.within); err != nil {
		return study.Study{}, err
	}
	methods, err := methodsNamed(f.methods)
	if err != nil {
		return study.Study{}, err
	}
	fits, err := fitsNamed(f.fits)
	if err != nil {
		return study.Study{}, err
	}
	s := study.Study{
		Population: scenario.Population,
		Methods:    methods,
		Fits:       fits,
		Replicates: f.replicates,
		Seed:       f.seed,
		Until:      f.until / 100,
	}
	if f.given("until") {
		if !(f.until > 0 && f.until <= 100) {
			return s, console.WrongUsef("--until is %g; it must be above 0 and at most 100 per cent", f.until)
		}
		if f.given("replicates") {
			return s, console.WrongUsef("--until and --replicates exclude each other; --max-replicates limits --until")
		}
		s.Replicates = f.maxReplicates
	} else if f.given("max-replicates") {
		return s, console.WrongUsef("--max-replicates limits --until; without it, say --replicates")
	}
	if len(f.vary) > 0 && !f.given("replicates") && !f.given("until") {
		s.Replicates = gridReplicates
	}
	if s.Replicates < 2 || s.Replicates > mostReplicates {
		return s, console.WrongUsef("%d replicates; there must be from 2 to %d", s.Replicates, mostReplicates)
	}
	if s.Part, err = parsePart(f.part); err != nil {
		return s, err
	}
	switch {
	case f.chart != "" && (s.Part.Count > 0 || len(f.vary) > 0):
		return s, console.WrongUsef("--chart does not go with --part or --vary: it is of one whole study")
	case f.chartRows < 2 || f.chartRows > study.MostChartRows:
		return s, console.WrongUsef("--chart-rows is %d; it must be from 2 to %d", f.chartRows, study.MostChartRows)
	case f.fullReport && f.report == "":
		return s, console.WrongUsef("--full-report goes with --report, the file of the page")
	case f.report != "" && s.Part.Count > 0:
		return s, console.WrongUsef("--report does not go with --part: it shows a whole study")
	case s.Part.Count > 0 && s.Until > 0:
		return s, console.WrongUsef("a part cannot know when the whole is precise enough; give --replicates with --part")
	case s.Part.Count > 0 && f.out == "":
		return s, console.WrongUsef("--part needs --out, the file or folder for the part")
	case s.Part.Count > 0 && f.json:
		return s, console.WrongUsef("a part has no results to print as JSON; merge has")
	case f.resume && f.out == "":
		return s, console.WrongUsef("--resume needs --out, where the stopped study left its progress")
	case len(f.vary) > 0 && (s.Part.Count > 0 || f.resume || f.json):
		return s, console.WrongUsef("--vary makes a table and does not go with --part, --resume or --json")
	}
	return s, nil
}

// parsePart reads I/N; empty is the whole.
func parsePart(text string) (study.Part, error) {
	if text == "" {
		return study.Part{}, nil
	}
	var p study.Part
	var rest string
	n, _ := fmt.Sscanf(text+" end", "%d/%d %s", &p.Index, &p.Count, &rest)
	if n != 3 || rest != "end" || p.Index < 1 || p.Index > p.Count {
		return p, console.WrongUsef("--part is %q; it must be I/N with I from 1 to N, such as 2/8", text)
	}
	return p, nil
}

// do runs a study with its progress shown.
func (f *studyFlags) do(ctx context.Context, c console.Console, s study.Study) (*study.Tally, error) {
	finish := func() {}
	if !f.quiet {
		total := s.Replicates
		if s.Until > 0 {
			total = -1
		} else if s.Part.Count > 0 {
			total /= s.Part.Count
		}
		s.Done, finish = c.Progress(total)
	}
	defer finish()
	return s.Run(ctx)
}
