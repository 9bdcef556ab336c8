package main

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/pflag"

	"stopvolt/analysis"
	"stopvolt/analysis/study"
	"stopvolt/cmd/stopvolt/internal/words"
)

// budgetFlags are those of the command budget.
type budgetFlags struct {
	scenario   scenarioFlags
	replicates int
	seed       uint64
	methods    []string
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
  stopvolt budget --set collector.stray_light=0.1 --replicates 1000 --json
`,
		prepare: func(flags *pflag.FlagSet) action {
			f := new(budgetFlags)
			flags.IntVar(&f.replicates, "replicates", 50, "number of simulated experiments `N` on each apparatus")
			flags.Uint64Var(&f.seed, "seed", 1, "seed of the random numbers `S`")
			flags.StringSliceVar(&f.methods, "methods", nil, "methods to look at, `a,b`; all by default")
			f.scenario.add(flags)
			flags.BoolVar(&f.json, "json", false, "print JSON instead of a table")
			return f.run
		},
	}
}

func (f *budgetFlags) run(ctx context.Context, c console, args []string) error {
	scenario, err := f.scenario.load(args)
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
		Apparatus: scenario.Apparatus, Methods: methods, Fits: analysis.LineFits()[:1],
		Replicates: f.replicates, Seed: f.seed,
	}
	var finish func()
	s.Done, finish = progress(c.err, f.replicates)
	b, err := s.Budget(ctx)
	finish()
	if err != nil {
		return wrongUse{err}
	}
	if f.json {
		return writeJSON(c.out, newBudgetReport(scenario.Name, f, b))
	}
	fmt.Fprintf(c.out, "%s\n%d simulated experiments on each apparatus\n", titled(scenario), f.replicates)
	for _, row := range b.Rows {
		printBudget(c.out, b, row)
	}
	fmt.Fprint(c.out, "\n", fold("Makes alone: how far the effect by itself moves h/e on a cell without all others. Goes when removed: "+
		"how far h/e moves on the full bench when only this effect is taken away. The two differ where effects act "+
		"together. A dash: the method has no answer on one of the two cells; a cell without reverse current, say, "+
		"has no zero crossing, or one that a weak neighbour line alone decides.", 96, ""), "\n\nWhat to change at the bench\n")
	language := words.English()
	for _, e := range b.Effects {
		fmt.Fprintf(c.out, "  %s\n%s\n", language.Effect(e.ID), fold(language.Remedy(e.ID), 92, "    "))
	}
	return nil
}

// printBudget prints the budget of one method.
func printBudget(w io.Writer, b study.Budget, row study.BudgetRow) {
	fmt.Fprintf(w, "\n%s, %s line: h/e is off by %s\n", row.Method, row.Fit, withError(row.Full))
	fmt.Fprintf(w, "  %-32s %20s %20s\n", "effect", "makes alone", "goes when removed")
	for i, e := range b.Effects {
		fmt.Fprintf(w, "  %-32s %20s %20s\n", words.English().Effect(e.ID), withError(row.Alone[i]), withError(row.Without[i]))
	}
	fmt.Fprintf(w, "  %-32s %20s\n", "the method on the ideal cell", withError(row.Ideal))
	fmt.Fprintf(w, "  %-32s %20s\n", "effects acting together", withError(row.Interaction))
}

// budgetReport is a budget as JSON.
type budgetReport struct {
	Schema     int               `json:"schema"`
	Scenario   string            `json:"scenario"`
	Replicates int               `json:"replicates"`
	Seed       uint64            `json:"seed"`
	Methods    []budgetRowReport `json:"methods"`
}

type budgetRowReport struct {
	Method          string         `json:"method"`
	Fit             string         `json:"fit"`
	Full            number         `json:"relative_bias"`
	FullMCSE        number         `json:"relative_bias_mcse"`
	Ideal           number         `json:"ideal_bias"`
	IdealMCSE       number         `json:"ideal_bias_mcse"`
	Interaction     number         `json:"interaction"`
	InteractionMCSE number         `json:"interaction_mcse"`
	Effects         []effectReport `json:"effects"`
}

type effectReport struct {
	Name        string `json:"name"`
	Remedy      string `json:"remedy"`
	Alone       number `json:"alone"`
	AloneMCSE   number `json:"alone_mcse"`
	Without     number `json:"removed"`
	WithoutMCSE number `json:"removed_mcse"`
}

// newBudgetReport turns a budget into its JSON.
func newBudgetReport(scenario string, f *budgetFlags, b study.Budget) budgetReport {
	report := budgetReport{Schema: schema, Scenario: scenario, Replicates: f.replicates, Seed: f.seed}
	language := words.English()
	for _, row := range b.Rows {
		r := budgetRowReport{
			Method: row.Method, Fit: row.Fit,
			Full: number(row.Full.Value), FullMCSE: number(row.Full.Error),
			Ideal: number(row.Ideal.Value), IdealMCSE: number(row.Ideal.Error),
			Interaction: number(row.Interaction.Value), InteractionMCSE: number(row.Interaction.Error),
			Effects: []effectReport{},
		}
		for i, e := range b.Effects {
			r.Effects = append(r.Effects, effectReport{string(e.ID), language.Remedy(e.ID),
				number(row.Alone[i].Value), number(row.Alone[i].Error),
				number(row.Without[i].Value), number(row.Without[i].Error)})
		}
		report.Methods = append(report.Methods, r)
	}
	return report
}
