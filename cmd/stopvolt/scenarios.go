package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/pflag"

	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/scenarios"
)

// scenariosCommand lists the embedded scenarios or prints one.
func scenariosCommand() command {
	return command{
		name:      "scenarios",
		arguments: "[NAME]",
		summary:   "list the embedded scenarios, or print the file of one",
		examples: `  stopvolt scenarios                           # one line each
  stopvolt scenarios lanternfell > mine.toml   # a start for your own
  stopvolt study mine.toml
  stopvolt scenarios --keys                    # what --set can change
`,
		prepare: func(flags *pflag.FlagSet) action {
			keys := flags.Bool("keys", false, "list all keys that a scenario may have")
			return func(ctx context.Context, c console.Console, words []string) error {
				if *keys {
					printKeys(c.Out)
					return nil
				}
				return runScenarios(ctx, c, words)
			}
		},
	}
}

// printKeys lists the keys of a scenario, what stands there and what is allowed.
func printKeys(w io.Writer) {
	for _, k := range scenarios.KeyTable() {
		about := k.Kind
		if k.Limit != "" {
			about += ", " + k.Limit
		}
		if k.Lawful {
			about += " *"
		}
		fmt.Fprintf(w, "%-41s %s\n", k.Name, about)
	}
	fmt.Fprint(w, `
* or a law, by which it differs from bench to bench:
    { uniform = [0.1, 0.2] }         { log_uniform = [0.01, 1.0] }
    { normal = [436.0, 1.5] }        { half_normal = 0.05, at_most = 0.2 }
    { one_of = [0.0, -1.0, -3.0] }   { one_of = ["spheres", "cylinders"], weights = [2.0, 1.0] }
    { mixture = [{ weight = 0.4, one_of = [0.0] }, { weight = 0.6, log_uniform = [0.003, 0.3] }] }
    { same_as = "emitter.temperature_K" }
    { normal = [0.0, 1.0], times = "shared.line_shift_V" }, and plus likewise
A word or a yes or no takes one_of only. [[joint]] has keys, rows of their numbers that
occur together, and the weights of the rows.
`)
}

func runScenarios(_ context.Context, c console.Console, words []string) error {
	switch len(words) {
	case 0:
		for _, name := range scenarios.Names() {
			s, err := scenarios.Load(name, nil)
			if err != nil {
				return err
			}
			fmt.Fprintf(c.Out, "%-16s %s\n", name, s.Title)
		}
		fmt.Fprint(c.Out, "\nMercury lamps emit ultraviolet and are hot, a broken one releases mercury, and alkali\nmetal reacts with water and air: local rules and trained staff come first.\n")
		return nil
	case 1:
		text, err := scenarios.Text(strings.TrimSuffix(words[0], ".toml"))
		if err != nil {
			return console.WrongUse{Err: err}
		}
		_, err = c.Data.Write(text)
		return err
	}
	return console.WrongUsef("one scenario at a time; %q is one too many", words[1])
}
