package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/pflag"

	"stopvolt/analysis"
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

func runMethods(_ context.Context, c console, words []string) error {
	switch len(words) {
	case 0:
		for _, m := range analysis.Methods() {
			fmt.Fprintf(c.out, "%-18s %s\n", m.Name(), m.Page().Summary)
		}
		return nil
	case 1:
		m, err := analysis.ByName(words[0])
		if err != nil {
			return wrongUse{err}
		}
		page := m.Page()
		fmt.Fprintf(c.out, "%s\n", m.Name())
		for _, part := range []struct{ heading, text string }{
			{"", page.Summary}, {"By hand", page.ByHand}, {"Assumes", page.Assumes}, {"Errs", page.Errs}, {"Source", page.Source},
		} {
			if part.text == "" {
				continue
			}
			fmt.Fprintln(c.out)
			if part.heading != "" {
				fmt.Fprintf(c.out, "%s\n", part.heading)
			}
			fmt.Fprintf(c.out, "%s\n", fold(part.text, 78, "  "))
		}
		return nil
	}
	return wrongUsef("one method at a time; %q is one too many", words[1])
}

// fold breaks a text into lines of at most a width, each after an indent.
func fold(text string, width int, indent string) string {
	var lines []string
	line := indent
	for _, word := range strings.Fields(text) {
		if line != indent && len(line)+1+len(word) > width {
			lines = append(lines, line)
			line = indent
		}
		if line != indent {
			line += " "
		}
		line += word
	}
	return strings.Join(append(lines, line), "\n")
}
