package result

import (
	"fmt"
	"io"
	"math"
	"slices"

	"stopvolt/analysis/study"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/words"
	"stopvolt/instrument"
)

// A Budget says which effect makes how much of each method's bias, ready to be
// told.
type Budget struct {
	Scenario, Title string
	Replicates      int
	Seed            uint64
	study.Budget
}

// budgetColumns are those of a method with its line.
var budgetColumns = slices.Concat(
	text("method", "", func(r study.BudgetRow) string { return r.Method }),
	text("fit", "", func(r study.BudgetRow) string { return r.Fit }),
	withError("relative_bias", "", signedPercent, func(r study.BudgetRow) estimate { return r.Full }),
	measure("ideal_bias", "", "", scale{}, func(r study.BudgetRow) estimate { return r.Ideal }),
	measure("interaction", "", "", scale{}, func(r study.BudgetRow) estimate { return r.Interaction }),
)

// An effectRow is what an effect does to a method.
type effectRow struct {
	method string
	// id names the effect, and name and remedy are words about it.
	id             instrument.EffectID
	name, remedy   string
	alone, without estimate
}

// effectColumns are those of an effect; the method stands above them but on a
// page.
var effectColumns = slices.Concat(
	text("method", "method", func(e effectRow) string { return e.method }).only(Page),
	Columns[effectRow]{{
		Key: "name", Heading: "effect",
		Value: func(e effectRow) any { return string(e.id) },
		Text:  func(e effectRow) string { return e.name },
	}},
	text("remedy", "", func(e effectRow) string { return e.remedy }),
	withError("alone", "makes alone", signedPercent, func(e effectRow) estimate { return e.alone }),
	withError("removed", "goes when removed", signedPercent, func(e effectRow) estimate { return e.without }),
)

// unknown is the measure of nothing.
var unknown = estimate{Value: math.NaN(), Error: math.NaN()}

// effects returns the effects on a row.
func (b Budget) effects(row study.BudgetRow) []effectRow {
	var all []effectRow
	language := words.English()
	for i, e := range b.Effects {
		all = append(all, effectRow{row.Method, e.ID, language.Effect(e.ID), language.Remedy(e.ID), row.Alone[i], row.Without[i]})
	}
	return all
}

// Object returns the budget as JSON.
func (b Budget) Object() Object {
	var methods []Object
	for _, row := range b.Rows {
		methods = append(methods, append(budgetColumns.object(row), Member{"effects", effectColumns.objects(b.effects(row))}))
	}
	return Object{{"schema", Schema}, {"scenario", b.Scenario}, {"replicates", b.Replicates}, {"seed", b.Seed}, {"methods", methods}}
}

// Table returns the table of a page.
func (b Budget) Table() Table {
	var rows []effectRow
	for _, row := range b.Rows {
		rows = append(rows, b.effects(row)...)
	}
	return effectColumns.table(Page, rows)
}

// Print prints the budget of each method.
func (b Budget) Print(w io.Writer) error {
	fmt.Fprintf(w, "%s\n%d simulated experiments on each apparatus\n", b.Title, b.Replicates)
	for _, row := range b.Rows {
		fmt.Fprintf(w, "\n%s, %s line: h/e is off by %s\n", row.Method, row.Fit, words.WithError(row.Full))
		rows := append(b.effects(row),
			effectRow{name: "the method on the ideal cell", alone: row.Ideal, without: unknown},
			effectRow{name: "effects acting together", alone: row.Interaction, without: unknown})
		if err := effectColumns.table(Terminal, rows).Print(w, "  "); err != nil {
			return err
		}
	}
	fmt.Fprint(w, "\n", console.Fold("Makes alone: how far the effect by itself moves h/e on a cell without all others. Goes when removed: "+
		"how far h/e moves on the full bench when only this effect is taken away. The two differ where effects act "+
		"together. A dash: the method has no answer on one of the two cells; a cell without reverse current, say, "+
		"has no zero crossing, or one that a weak neighbour line alone decides.", 96, ""), "\n\nWhat to change at the bench\n")
	language := words.English()
	for _, e := range b.Effects {
		fmt.Fprintf(w, "  %s\n%s\n", language.Effect(e.ID), console.Fold(language.Remedy(e.ID), 92, "    "))
	}
	return nil
}
