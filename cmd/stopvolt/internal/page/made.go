package page

import (
	"fmt"
	"strings"
)

// An Origin says by which build and command line a page was made: the same page
// for the same words and build.
type Origin struct {
	Build string
	// Words are those after the program's name.
	Words []string
	// Seed is that of the random numbers, 0 for none.
	Seed uint64
}

// terms tells the origin, and what else belongs to it.
func (o Origin) terms(rest ...Term) []Term {
	terms := []Term{
		{Name: "Program", Text: "stopvolt " + o.Build},
		{Name: "Command", Text: "stopvolt " + strings.Join(quoted(o.Words), " ")},
	}
	if o.Seed > 0 {
		terms = append(terms, Term{Name: "Seed", Text: fmt.Sprint(o.Seed)})
	}
	return append(terms, rest...)
}

// quoted puts words with special characters in quotes, as a shell takes them.
func quoted(words []string) []string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = w
		if w == "" || strings.ContainsAny(w, " \t\n\"'\\$`!*?[]{}()<>|&;#~") {
			out[i] = "'" + strings.ReplaceAll(w, "'", `'\''`) + "'"
		}
	}
	return out
}
