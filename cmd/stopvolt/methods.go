package main

import (
	"context"
	"fmt"
	"strings"

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
			{"On real runs", onRealRuns(m.Name())},
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

// onRealRuns says how a method did on the real runs that came with the program.
func onRealRuns(method string) string {
	var said []string
	for _, r := range analysis.OnRealRuns(method) {
		switch {
		case r.Deviation == "":
			said = append(said, fmt.Sprintf("%s: no line; %s.", r.Run, r.Reason))
		case r.Reason != "":
			said = append(said, fmt.Sprintf("%s: h/e off by %s ± %s %%, cutoffs at %s settings, of no use: %s.", r.Run, r.Deviation, r.U, r.Settings, r.Reason))
		default:
			said = append(said, fmt.Sprintf("%s: h/e off by %s ± %s %%, cutoffs at %s settings.", r.Run, r.Deviation, r.U, r.Settings))
		}
	}
	if said == nil {
		return ""
	}
	return strings.Join(said, " ") + " By the weighted line; nobody knows the collector's work function of these cells, and two runs prove no method right."
}
