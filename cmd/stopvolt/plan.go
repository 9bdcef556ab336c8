package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/pflag"

	"stopvolt/analysis/plan"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/files"
	"stopvolt/cmd/stopvolt/internal/result"
	"stopvolt/scenarios"
)

// planFlags are those of the command plan.
type planFlags struct {
	scenario scenarioFlags
	minutes  float64
	hand     float64
	method   string
	fits     []string
	require  float64
	// requires says that --require was given.
	requires bool
	benches  int
	seed     uint64
	out      string
	json     bool
}

// planCommand says how to spend the time at the bench.
func planCommand() command {
	return command{
		name:      "plan",
		arguments: "[SCENARIO]",
		summary:   "say which voltages, readings and lines make the most of the time at the bench",
		examples: `  stopvolt plan --minutes 40                    # over the benches that there may be
  stopvolt plan lanternfell --minutes 25 --hand 4
  stopvolt plan --require 5                      # what to buy for 5 %
  stopvolt plan matched.toml --minutes 40 --out mine.toml   # the [plan] for a scenario of yours
`,
		prepare: func(flags *pflag.FlagSet) action {
			f := &planFlags{scenario: scenarioFlags{other: scenarios.DefaultPopulation}}
			f.scenario.add(flags)
			flags.Float64Var(&f.minutes, "minutes", 40, "the time for all sweeps")
			flags.Float64Var(&f.hand, "hand", 5, "seconds that turning the dial and writing down take at each voltage")
			flags.StringVar(&f.method, "method", "", "the method by which the runs will be read; by default the first that answers are given by")
			flags.StringSliceVar(&f.fits, "fits", []string{"weighted"}, "how the line is put through the cutoffs, one of `a`")
			flags.Float64Var(&f.require, "require", 0, "instead, say how loose meter, filters and cell may be for two thirds of the benches to be within so many `PERCENT`")
			flags.IntVar(&f.benches, "benches", 192, "benches on which the plans are compared, and three times as many others to judge by")
			flags.Uint64Var(&f.seed, "seed", 1, "seed of the random numbers")
			flags.StringVar(&f.out, "out", "", "write the [plan] to `FILE.toml`")
			flags.BoolVar(&f.json, "json", false, "print JSON instead of sentences")
			return func(ctx context.Context, c console.Console, words []string) error {
				f.requires = flags.Changed("require")
				return f.run(ctx, c, words)
			}
		},
	}
}

// What the flags may be.
const (
	mostMinutes       = 1000
	mostPlanBenches   = 20_000
	fewestPlanBenches = 8
)

func (f *planFlags) run(ctx context.Context, c console.Console, words []string) error {
	switch {
	case !(f.minutes > 0 && f.minutes <= mostMinutes):
		return console.WrongUsef("--minutes is %g; it must be above 0 and at most %d", f.minutes, mostMinutes)
	case !(f.hand >= 0 && f.hand <= 600):
		return console.WrongUsef("--hand is %g; it must be from 0 to 600 s", f.hand)
	case f.benches < fewestPlanBenches || f.benches > mostPlanBenches:
		return console.WrongUsef("--benches is %d; it must be from %d to %d", f.benches, fewestPlanBenches, mostPlanBenches)
	case f.requires && !(f.require > 0 && f.require < 100):
		return console.WrongUsef("--require is %g; it must be above 0 and below 100 %%", f.require)
	case f.requires && f.out != "":
		return console.WrongUsef("--require looks for no plan, so there is nothing to write to --out")
	case f.out != "" && !strings.HasSuffix(f.out, ".toml"):
		return console.WrongUsef("--out is %q; name a file that ends in .toml", f.out)
	}
	scenario, err := f.scenario.load(words)
	if err != nil {
		return err
	}
	method, fit, err := (&groupsFlags{method: f.method, fits: f.fits}).reading()
	if err != nil {
		return err
	}
	s := plan.Search{
		Population: scenario.Population, Method: method, Fit: fit, Hand: f.hand,
		Seed: f.seed, Benches: f.benches, Judges: 3 * f.benches,
	}
	if f.requires {
		return f.buy(ctx, c, s, scenario.Title)
	}
	now, err := f.search(ctx, c, s, f.minutes)
	if err != nil {
		return err
	}
	later, err := f.search(ctx, c, s, f.minutes+moreMinutes)
	if err != nil {
		return err
	}
	told := result.Plan{
		Title: scenario.Title, Method: method.Name(), Fit: fit.Name(), Minutes: f.minutes, More: moreMinutes, Hand: f.hand,
		Now: now, Later: later, Median: scenario.Population.Median(),
	}
	if f.out != "" {
		if err := files.Write(f.out, func(w io.Writer) error { _, err := io.WriteString(w, told.TOML()); return err }); err != nil {
			return err
		}
	}
	if f.json {
		return result.WriteJSON(c.Out, told.Object())
	}
	return told.Print(c.Out)
}

// moreMinutes is by how much longer a second search is, to say what they buy.
const moreMinutes = 10

// search looks for the best plan of some minutes.
func (f *planFlags) search(ctx context.Context, c console.Console, s plan.Search, minutes float64) (plan.Result, error) {
	s.Seconds = 60 * minutes
	var finish func()
	s.Done, finish = c.LongProgress(fmt.Sprintf("plans of %g minutes", minutes), s.Total())
	defer finish()
	r, err := s.Run(ctx)
	if err != nil && ctx.Err() == nil {
		return r, console.WrongUse{Err: fmt.Errorf("%w", err)}
	}
	return r, err
}

// buy says how loose things may be.
func (f *planFlags) buy(ctx context.Context, c console.Console, s plan.Search, title string) error {
	s.Seconds = 60 * f.minutes
	var finish func()
	s.Done, finish = c.LongProgress(fmt.Sprintf("limits for %g %%", f.require), -1)
	defer finish()
	q, err := s.Require(ctx, f.require/100)
	if err != nil {
		return err
	}
	told := result.Requirement{Title: title, Method: s.Method.Name(), Fit: s.Fit.Name(), Percent: f.require, Requirement: q}
	if f.json {
		return result.WriteJSON(c.Out, told.Object())
	}
	return told.Print(c.Out)
}
