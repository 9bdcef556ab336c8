package main

import (
	"context"
	"fmt"
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
					for _, key := range scenarios.Keys() {
						fmt.Fprintln(c.Out, key)
					}
					return nil
				}
				return runScenarios(ctx, c, words)
			}
		},
	}
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
