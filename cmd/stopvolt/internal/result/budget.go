package result

import (
	"fmt"
	"io"
	"math"
	"slices"

	"stopvolt/analysis/study"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/words"
)

// A Budget says which group of effects makes how much of each method's error, and
// what to change at the bench, ready to be told.
type Budget struct {
	Scenario, Title string
	Seed            uint64
	study.Budget
}

// budgetColumns are those of a method with its line.
var budgetColumns = slices.Concat(
	text("method", "", func(r study.BudgetRow) string { return r.Method }),
	text("fit", "", func(r study.BudgetRow) string { return r.Fit }),
	withError("mean_log_error", "", signedPercent, func(r study.BudgetRow) estimate { return r.Full }),
	measure("remains", "", "", scale{}, func(r study.BudgetRow) estimate { return r.Reference }),
	count("orders", "", func(r study.BudgetRow) int { return r.Orders }),
	count("orders_dropped", "", func(r study.BudgetRow) int { return r.Dropped }),
)

// A shareRow is what a group of effects does to a method.
type shareRow struct {
	method, name string
	adds         estimate
}

// shareColumns are those of a group; the method stands above them but on a page.
var shareColumns = slices.Concat(
	text("method", "method", func(e shareRow) string { return e.method }).only(Page),
	text("name", "effects", func(e shareRow) string { return e.name }),
	withError("removed", "h/e moves when removed", signedPercent, func(e shareRow) estimate {
		return estimate{Value: -e.adds.Value, Error: e.adds.Error}
	}),
)

// gainColumns are those of a change at the bench.
var gainColumns = slices.Concat(
	text("change", "change", func(g study.Gain) string { return g.Change }),
	number("error_left", "error left", percent, func(g study.Gain) float64 { return g.Loss }),
	withError("gain", "gain", signedPercent, func(g study.Gain) estimate { return g.Gap }),
	of(factorColumns, func(g study.Gain) study.Factor { return g.Changed }),
)

// changeColumns are those of what to change first for a method.
var changeColumns = slices.Concat(
	text("method", "method", func(r study.BudgetRow) string { return r.Method }),
	text("fit", "line", func(r study.BudgetRow) string { return r.Fit }),
	number("answers", "answers", wholePercent, func(r study.BudgetRow) float64 { return r.Answers }),
	number("loss", "error left", figures, func(r study.BudgetRow) float64 { return r.Loss }),
	text("change", "change first", func(r study.BudgetRow) string {
		if g, ok := words.FirstChange(r); ok {
			return words.Cure(g.Change)
		}
		return "none is shown to help"
	}),
	number("left", "then", figures, func(r study.BudgetRow) float64 {
		if g, ok := words.FirstChange(r); ok {
			return g.Left
		}
		return math.NaN()
	}),
)

// nameOf names a row on a page.
func nameOf(row study.BudgetRow) string { return row.Method + ", " + row.Fit }

// Ordered returns the rows, those that lead first.
func (b Budget) Ordered() []study.BudgetRow {
	leads := b.Leads()
	var rows []study.BudgetRow
	for _, i := range leads {
		rows = append(rows, b.Rows[i])
	}
	for i, row := range b.Rows {
		if !slices.Contains(leads, i) {
			rows = append(rows, row)
		}
	}
	return rows
}

// FirstChanges is the table of what to change first for each method.
func (b Budget) FirstChanges(f Form) Table { return changeColumns.table(f, b.Ordered()) }

// shares returns the groups of a row, and what remains.
func (b Budget) shares(row study.BudgetRow) []shareRow {
	var all []shareRow
	for i, g := range b.Groups {
		all = append(all, shareRow{nameOf(row), g.Name, row.Shares[i]})
	}
	return all
}

// Object returns the budget as JSON.
func (b Budget) Object() Object {
	methods := []Object{}
	for _, row := range b.Rows {
		methods = append(methods, append(budgetColumns.object(row),
			Member{"effects", shareColumns.objects(b.shares(row))}, Member{"changes", gainColumns.objects(row.Gains)}))
	}
	return Object{{"schema", StudySchema}, {"scenario", b.Scenario}, {"benches", b.Benches}, {"seed", b.Seed}, {"methods", methods}}
}

// Table returns the table of a page.
func (b Budget) Table() Table {
	var rows []shareRow
	for _, row := range b.Ordered() {
		rows = append(rows, b.shares(row)...)
		rows = append(rows, shareRow{nameOf(row), "what remains", minus(row.Reference)})
	}
	return shareColumns.table(Page, rows)
}

// minus turns the sign of a measure, for what is told of as it stands and not as
// it moves when removed.
func minus(m estimate) estimate { return estimate{Value: -m.Value, Error: m.Error} }

// Conclusion says what to change first for the methods that lead, and how far to
// believe it.
func (b Budget) Conclusion() []string {
	var all []string
	for _, i := range b.Leads() {
		all = append(all, words.BestChange(b.Rows[i]))
	}
	return append(all, fmt.Sprintf("These are the methods that err least here after correction, by hand and by computer, of those that answer on nine benches of ten, "+
		"or of all where none does. All numbers here are from %d benches, which calibrate and check alike: the ranges are less exact than those of stopvolt study, "+
		"which says what method to take and what to write down.", b.Benches))
}

// Print prints the budget of each method.
func (b Budget) Print(w io.Writer) error {
	fmt.Fprintf(w, "%s\n%d benches, each with its effects on and off on the same random numbers\n\n", b.Title, b.Benches)
	for _, line := range b.Conclusion() {
		fmt.Fprintln(w, console.Fold(line, 96, ""))
	}
	fmt.Fprintln(w)
	if err := b.FirstChanges(Terminal).Print(w, ""); err != nil {
		return err
	}
	for _, row := range b.Ordered() {
		name := words.Reading(row.Method, row.Fit)
		if row.Dropped == row.Orders && row.Orders > 0 {
			fmt.Fprintf(w, "\n%s\n%s\n", name, console.Fold(NoShares, 96, "  "))
			printChanges(w, row)
			continue
		}
		fmt.Fprintf(w, "\n%s\n", console.Fold(fmt.Sprintf("%s: the logarithm of h/e read over true is %s on the mean", name, words.WithError(row.Full)), 96, ""))
		rows := append(b.shares(row), shareRow{name: "what remains: the gap, heat, contact potential, noise and digit", adds: minus(row.Reference)})
		if err := shareColumns.table(Terminal, rows).Print(w, "  "); err != nil {
			return err
		}
		if row.Dropped > 0 {
			fmt.Fprintf(w, "  %d of %d orders left out, since a step had no answer\n", row.Dropped, row.Orders)
		}
		printChanges(w, row)
	}
	fmt.Fprint(w, "\n", console.Fold("Each line says how far h/e moves when these effects are removed, by L. S. Shapley's shares: the mean over random orders in which the "+
		"effects are removed one after another. What remains is the error with all of them gone, and with them less what they move it is the whole error. "+
		"Answers: on how many of the benches. Error left: the median size of the error after correction by the row's own factor; then: that after the change.", 96, ""), "\n")
	return nil
}

// NoShares says why a row has none.
const NoShares = "On no bench does it have an answer at each step while the effects are removed one after another, so that their shares are not known. " +
	"What single changes are worth is known:"

// printChanges prints what changes at the bench are worth to a row.
func printChanges(w io.Writer, row study.BudgetRow) {
	for _, line := range words.Changes(row) {
		fmt.Fprintln(w, console.Fold(line, 96, "  "))
	}
}

// unknown is the measure of nothing.
var unknown = estimate{Value: math.NaN(), Error: math.NaN()}
