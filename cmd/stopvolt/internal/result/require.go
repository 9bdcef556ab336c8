package result

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"stopvolt/analysis/plan"
	"stopvolt/cmd/stopvolt/internal/console"
)

// A Requirement is how loose meter, filters and cell may be, ready to be told.
type Requirement struct {
	// Title is the scenario's, and Method and Fit read the runs.
	Title, Method, Fit string
	// Percent is what was asked for.
	Percent float64
	plan.Requirement
}

// limitColumns are those of a limit.
var limitColumns = slices.Concat(
	text("item", "item", func(l plan.Limit) string { return l.Item.Name }),
	text("key", "key", func(l plan.Limit) string { return l.Key }),
	fact("low", "", func(l plan.Limit) any { return Number(l.Low) }),
	fact("high", "", func(l plan.Limit) any { return Number(l.High) }),
	text("allowed", "allowed", allowed),
	number("share", "benches that have it", wholePercent, func(l plan.Limit) float64 { return l.Share }),
)

// allowed says in words what a limit lets in.
func allowed(l plan.Limit) string {
	unit := strings.TrimRight(" "+l.Unit, " ")
	switch low, high := !math.IsInf(l.Low, 0), !math.IsInf(l.High, 0); {
	case low && high:
		return fmt.Sprintf("%.4g to %.4g%s", l.Low, l.High, unit)
	case low:
		return fmt.Sprintf("at least %.2g%s", l.Low, unit)
	case high:
		return fmt.Sprintf("at most %.2g%s", l.High, unit)
	}
	return "as it comes"
}

// Object returns the requirement as JSON.
func (q Requirement) Object() Object {
	return Object{
		{"schema", Schema}, {"method", q.Method}, {"fit", q.Fit}, {"required", q.Percent / 100}, {"met", q.Met},
		{"half_width", q.Found.Width}, {"half_width_of_all", q.All.Width}, {"half_width_at_strictest", q.Strictest.Width},
		{"limits", limitColumns.objects(q.Limits)},
	}
}

// Print tells the requirement to people.
func (q Requirement) Print(w io.Writer) error {
	fmt.Fprintf(w, "%s\n\n", q.Title)
	width := func(l plan.Loss) string {
		if math.IsInf(l.Width, 0) {
			return "no width at all, since too few have an answer"
		}
		return fmt.Sprintf("%.2g %%", 100*l.Width)
	}
	said := fmt.Sprintf("Read by %s with the %s line and corrected, two thirds of the benches are within %s of the truth as they come, and within %s with the limits below.",
		q.Method, q.Fit, width(q.All), width(q.Found))
	switch {
	case !q.Met:
		said = fmt.Sprintf("No limits on these make it %g %%: with the strictest of each, two thirds of the benches are within %s of the truth. What remains is the geometry and the method.",
			q.Percent, width(q.Strictest))
	case q.All.Width <= q.Percent/100:
		said = fmt.Sprintf("Two thirds of the benches are within %s of the truth as they come, so that %g %% asks for nothing.", width(q.All), q.Percent)
	}
	fmt.Fprintf(w, "%s\n\n", console.Fold(said, 96, ""))
	if !q.Met {
		return nil
	}
	return limitColumns.table(Terminal, q.Limits).Print(w, "")
}
