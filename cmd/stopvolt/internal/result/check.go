package result

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"stopvolt/analysis/check"
	"stopvolt/cmd/stopvolt/internal/console"
)

// checkColumns are those of a finding.
var checkColumns = slices.Concat(
	text("check", "check", func(f check.Finding) string { return f.Check }),
	text("setting", "setting", func(f check.Finding) string { return f.Setting }),
	text("says", "says", func(f check.Finding) string { return f.Says }),
	text("do", "do", func(f check.Finding) string { return f.Do }),
)

// FindingObjects returns findings as JSON.
func FindingObjects(findings []check.Finding) []Object { return checkColumns.objects(findings) }

// PrintFindings prints findings for people: what is seen, and below it what to do.
// Where one check speaks of several settings, the first stands for all.
func PrintFindings(w io.Writer, findings []check.Finding) {
	for _, s := range findingSentences(findings) {
		fmt.Fprintf(w, "%s\n%s\n", console.Fold(s.says, 96, ""), console.Fold("-> "+s.do, 96, "   "))
	}
}

// A findingSentence says a finding, and what to do about it.
type findingSentence struct{ says, do string }

// findingSentences are findings in words, one a check.
func findingSentences(findings []check.Finding) []findingSentence {
	var out []findingSentence
	for i, f := range findings {
		if slices.ContainsFunc(findings[:i], func(g check.Finding) bool { return g.Check == f.Check }) {
			continue
		}
		about := f.Setting
		if about == "" {
			about = "the run"
		}
		var others []string
		for _, g := range findings[i+1:] {
			if g.Check == f.Check && g.Setting != "" {
				others = append(others, strings.TrimSpace(g.Setting+" "+g.Where))
			}
		}
		says := fmt.Sprintf("%s (%s): %s.", about, f.Check, f.Says)
		if len(others) > 0 {
			says += " Likewise: " + strings.Join(others, ", ") + "."
		}
		out = append(out, findingSentence{says, f.Do + "."})
	}
	return out
}

// FindingList returns findings as sentences for a page.
func FindingList(findings []check.Finding) []string {
	var out []string
	for _, s := range findingSentences(findings) {
		out = append(out, s.says+" To do: "+s.do)
	}
	return out
}
