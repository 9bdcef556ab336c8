package main

import (
	"context"

	"github.com/spf13/pflag"

	"stopvolt/analysis/study"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/page"
	"stopvolt/cmd/stopvolt/internal/result"
	"stopvolt/scenarios"
)

// budgetFlags are those of the command budget.
type budgetFlags struct {
	scenario   scenarioFlags
	replicates int
	seed       uint64
	methods    []string
	fits       []string
	report     string
	json       bool
}

// budgetCommand says which effect makes how much of a bias.
func budgetCommand() command {
	return command{
		name:      "budget",
		arguments: "[SCENARIO]",
		summary:   "say how much of each method's bias comes from which effect",
		examples: `  stopvolt budget
  stopvolt budget --methods zero-crossing,tangent
  stopvolt budget --methods square-root --fits weighted --report budget.html
  stopvolt budget lanternfell --replicates 1000 --json
`,
		prepare: func(flags *pflag.FlagSet) action {
			f := &budgetFlags{scenario: scenarioFlags{other: scenarios.DefaultPopulation}}
			flags.IntVar(&f.replicates, "replicates", 200, "number of benches `N`")
			flags.Uint64Var(&f.seed, "seed", 1, "seed of the random numbers `S`")
			flags.StringSliceVar(&f.methods, "methods", nil, "methods to look at, `a,b`; all by default")
			flags.StringSliceVar(&f.fits, "fits", []string{"ordinary"}, "how the line is put through the cutoffs, `a,b`")
			f.scenario.add(flags)
			flags.StringVar(&f.report, "report", "", "write a page to show and to print to `FILE.html`")
			flags.BoolVar(&f.json, "json", false, "print JSON instead of a table")
			return f.run
		},
	}
}

func (f *budgetFlags) run(ctx context.Context, c console.Console, words []string) error {
	scenario, err := f.scenario.load(words)
	if err != nil {
		return err
	}
	methods, err := methodsNamed(f.methods)
	if err != nil {
		return err
	}
	fits, err := fitsNamed(f.fits)
	if err != nil {
		return err
	}
	if err := checkReport(f.report); err != nil {
		return err
	}
	if f.replicates < 2 || f.replicates > mostReplicates {
		return console.WrongUsef("--replicates is %d; it must be from 2 to %d", f.replicates, mostReplicates)
	}
	s := study.Study{
		Population: scenario.Population, Methods: methods, Fits: fits,
		Replicates: f.replicates, Seed: f.seed,
	}
	var finish func()
	s.Done, finish = c.Progress(f.replicates)
	b, err := s.Budget(ctx)
	finish()
	if err != nil {
		return console.WrongUse{Err: err}
	}
	told := result.Budget{Scenario: scenario.Name, Title: titled(scenario), Seed: f.seed, Budget: b}
	if f.report != "" {
		if err := writePage(f.report, page.Budget{Origin: origin(f.seed), Told: told}.Page); err != nil {
			return err
		}
	}
	if f.json {
		return result.WriteJSON(c.Data, told.Object())
	}
	return told.Print(c.Out)
}
