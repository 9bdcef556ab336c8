package words

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"stopvolt/analysis/study"
)

// BestChange says in a sentence what to change at the bench first for a method.
func BestChange(row study.BudgetRow) string {
	name := fmt.Sprintf("%s, %s", row.Method, row.Fit)
	for _, g := range row.Gains {
		if helps(g) {
			return fmt.Sprintf("%s: change %s first. %s", name, g.Change, gainWords(g))
		}
	}
	return name + ": no single change at the bench is shown to help."
}

// Changes says in a sentence each what changes at the bench are worth, the best
// first, with what to do. Changes that are not shown to help are named together.
func Changes(row study.BudgetRow) []string {
	var lines, rest []string
	for _, g := range row.Gains {
		if !helps(g) {
			rest = append(rest, g.Change)
			continue
		}
		lines = append(lines, fmt.Sprintf("%s: %s %s", g.Change, gainWords(g), remedy(g.Change)))
	}
	if len(rest) > 0 {
		lines = append(lines, "not shown to help: "+strings.Join(rest, ", "))
	}
	return lines
}

// helps reports whether a gain is told from none, by two standard errors.
func helps(g study.Gain) bool {
	return g.Gap.Value > 2*g.Gap.Error && !math.IsNaN(g.Gap.Error)
}

// gainWords says what a change is worth.
func gainWords(g study.Gain) string {
	text := fmt.Sprintf("It takes %s off the %s by which half of the experiments err after correction", percent(g.Gap.Value, "%.2g"), percent(g.Loss, "%.2g"))
	if !math.IsNaN(g.Factor.Low) && !math.IsNaN(g.Changed.Low) {
		text += fmt.Sprintf("; the factor's 95 %% goes from %s to %s, to %s to %s", factor(g.Factor.Low), factor(g.Factor.High), factor(g.Changed.Low), factor(g.Changed.High))
	}
	return text + "."
}

// remedy says what to do at the bench about a group of effects: the remedy of
// the first of them.
func remedy(change string) string {
	if change == study.GeometrySwap {
		return "A small ball in a large sphere lets nearly all of an electron's energy count."
	}
	groups := study.Groups()
	i := slices.IndexFunc(groups, func(g study.Group) bool { return g.Name == change })
	if i < 0 {
		return ""
	}
	return English().Remedy(groups[i].IDs[0])
}
