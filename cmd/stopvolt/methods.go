package main

import (
	"context"
	"fmt"

	"github.com/spf13/pflag"

	"stopvolt/analysis"
	"stopvolt/cmd/stopvolt/internal/console"
)

// methodsCommand lists the methods or prints the page of one.
func methodsCommand() command {
	return command{
		name:      "methods",
		arguments: "[NAME]",
		summary:   "list the ways of reading a cutoff, or print the page of one",
		examples: `  stopvolt methods
  stopvolt methods two-tangent
`,
		prepare: func(*pflag.FlagSet) action { return runMethods },
	}
}

func runMethods(_ context.Context, c console.Console, words []string) error {
	switch len(words) {
	case 0:
		for _, m := range analysis.Methods() {
			fmt.Fprintf(c.Out, "%-18s %s\n", m.Name(), m.Page().Summary)
		}
		return nil
	case 1:
		m, err := analysis.ByName(words[0])
		if err != nil {
			return console.WrongUse{Err: err}
		}
		page := m.Page()
		fmt.Fprintf(c.Out, "%s\n", m.Name())
		for _, part := range []struct{ heading, text string }{
			{"", page.Summary}, {"By hand", page.ByHand}, {"Assumes", page.Assumes}, {"Errs", page.Errs}, {"Source", page.Source},
		} {
			if part.text == "" {
				continue
			}
			fmt.Fprintln(c.Out)
			if part.heading != "" {
				fmt.Fprintf(c.Out, "%s\n", part.heading)
			}
			fmt.Fprintf(c.Out, "%s\n", console.Fold(part.text, 78, "  "))
		}
		return nil
	}
	return console.WrongUsef("one method at a time; %q is one too many", words[1])
}
