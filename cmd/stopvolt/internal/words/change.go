package words

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"stopvolt/analysis/study"
)

// FirstChange returns the change at the bench that helps a method most, and
// whether any is shown to help.
func FirstChange(row study.BudgetRow) (study.Gain, bool) {
	i := slices.IndexFunc(row.Gains, helps)
	if i < 0 {
		return study.Gain{}, false
	}
	return row.Gains[i], true
}

// BestChange says what to change at the bench first for a method. Where that
// widens the range, it names what helps without, too.
func BestChange(row study.BudgetRow) string {
	name := fmt.Sprintf("%s, %s", row.Method, row.Fit)
	first, ok := FirstChange(row)
	if !ok {
		return name + ": no single change at the bench is shown to help."
	}
	text := strings.TrimSpace(fmt.Sprintf("%s: %s first. %s %s", name, Cure(first.Change), gainWords(first), remedy(first.Change)))
	if !widens(first) {
		return text
	}
	for _, g := range row.Gains {
		if helps(g) && !widens(g) && !math.IsNaN(g.Changed.Low) {
			return text + fmt.Sprintf(" For a range that is no wider, %s: %s", Cure(g.Change), lowerFirst(gainWords(g)))
		}
	}
	return text
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
		lines = append(lines, strings.TrimSpace(fmt.Sprintf("%s: %s %s", Cure(g.Change), lowerFirst(gainWords(g)), remedy(g.Change))))
	}
	if len(rest) > 0 {
		lines = append(lines, "not shown to help: "+strings.Join(rest, ", "))
	}
	return lines
}

// Cure says what a change at the bench is, as one would ask for it.
func Cure(change string) string {
	if change == study.GeometrySwap {
		return "try another cell"
	}
	if g, ok := groupOf(change); ok {
		return g.Cure
	}
	return "do without " + change
}

// helps reports whether a gain is told from none, by two standard errors.
func helps(g study.Gain) bool {
	return g.Gap.Value > 2*g.Gap.Error && !math.IsNaN(g.Gap.Error) && g.Left < g.Loss
}

// widens reports whether the 95 % range is wider after the change, as far as it is
// known.
func widens(g study.Gain) bool { return g.Changed.HalfWidth() > g.Factor.HalfWidth() }

// gainWords says what a change is worth.
func gainWords(g study.Gain) string {
	text := fmt.Sprintf("Half of the experiments would then err by less than %s after correction, instead of %s", percent(g.Left, "%.2g"), percent(g.Loss, "%.2g"))
	if !math.IsNaN(g.Factor.Low) && !math.IsNaN(g.Changed.Low) {
		link := ", and the 95 % range of the factor would be"
		if widens(g) {
			link = "; but the 95 % range of the factor would be no narrower:"
		}
		text += fmt.Sprintf("%s %s to %s instead of %s to %s", link, factor(g.Changed.Low), factor(g.Changed.High), factor(g.Factor.Low), factor(g.Factor.High))
	}
	return text + "."
}

// lowerFirst begins a sentence in small letters.
func lowerFirst(text string) string { return strings.ToLower(text[:1]) + text[1:] }

// remedy says what to do at the bench about a group of effects: the remedy of
// the first of them.
func remedy(change string) string {
	if change == study.GeometrySwap {
		return "A small ball in a large sphere lets nearly all of an electron's energy count."
	}
	if g, ok := groupOf(change); ok {
		return English().Remedy(g.IDs[0])
	}
	return ""
}

// groupOf returns the group of effects of a name.
func groupOf(name string) (study.Group, bool) {
	groups := study.Groups()
	i := slices.IndexFunc(groups, func(g study.Group) bool { return g.Name == name })
	if i < 0 {
		return study.Group{}, false
	}
	return groups[i], true
}
