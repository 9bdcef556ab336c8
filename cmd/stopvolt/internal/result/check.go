package result

import (
	"fmt"
	"io"
	"slices"

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
func PrintFindings(w io.Writer, findings []check.Finding) {
	for _, f := range findings {
		about := "the run"
		if f.Setting != "" {
			about = f.Setting
		}
		fmt.Fprintf(w, "%s\n%s\n", console.Fold(fmt.Sprintf("%s (%s): %s.", about, f.Check, f.Says), 96, ""), console.Fold("-> "+f.Do+".", 96, "   "))
	}
}
