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

// shares returns the groups of a row, and what remains.
func (b Budget) shares(row study.BudgetRow) []shareRow {
	var all []shareRow
	for i, g := range b.Groups {
		all = append(all, shareRow{row.Method, g.Name, row.Shares[i]})
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
	for _, row := range b.Rows {
		rows = append(rows, b.shares(row)...)
		rows = append(rows, shareRow{row.Method, "what remains", minus(row.Reference)})
	}
	return shareColumns.table(Page, rows)
}

// minus turns the sign of a measure, for what is told of as it stands and not as
// it moves when removed.
func minus(m estimate) estimate { return estimate{Value: -m.Value, Error: m.Error} }

// Conclusion says in a sentence for each method what to change first.
func (b Budget) Conclusion() []string {
	var all []string
	for _, row := range b.Rows {
		all = append(all, words.BestChange(row))
	}
	return all
}

// Print prints the budget of each method.
func (b Budget) Print(w io.Writer) error {
	fmt.Fprintf(w, "%s\n%d benches, each with its effects on and off on the same random numbers\n\n", b.Title, b.Benches)
	for _, line := range b.Conclusion() {
		fmt.Fprintln(w, console.Fold(line, 96, ""))
	}
	for _, row := range b.Rows {
		fmt.Fprintf(w, "\n%s, %s line: the logarithm of h/e read over true is %s on the mean\n", row.Method, row.Fit, words.WithError(row.Full))
		if row.Dropped == row.Orders && row.Orders > 0 {
			fmt.Fprintln(w, "  no order of the effects has an answer at every step")
			continue
		}
		rows := append(b.shares(row), shareRow{name: "what remains: the gap, heat, contact potential, noise and digit", adds: minus(row.Reference)})
		if err := shareColumns.table(Terminal, rows).Print(w, "  "); err != nil {
			return err
		}
		if row.Dropped > 0 {
			fmt.Fprintf(w, "  %d of %d orders left out, since a step had no answer\n", row.Dropped, row.Orders)
		}
		for _, line := range words.Changes(row) {
			fmt.Fprintln(w, console.Fold(line, 96, "  "))
		}
	}
	fmt.Fprint(w, "\n", console.Fold("Each line says how far h/e moves when these effects are removed, by L. S. Shapley's shares: the mean over random orders in which the "+
		"effects are removed one after another. What remains is the error with all of them gone, and with them less what they move it is the whole error. "+
		"Gains are what is taken off the median size of the error after correction by its own factor.", 96, ""), "\n")
	return nil
}

// unknown is the measure of nothing.
var unknown = estimate{Value: math.NaN(), Error: math.NaN()}
