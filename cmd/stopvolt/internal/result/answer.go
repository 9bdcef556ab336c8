package result

import (
	"fmt"
	"io"
	"slices"

	"stopvolt/analysis"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/words"
)

// standingColumns say how a method stands with a run.
var standingColumns = slices.Concat(
	text("method", "method", func(s analysis.Standing) string { return s.Method }),
	count("settings", "settings", func(s analysis.Standing) int { return s.Settings }),
	number("h_over_e_Vs", "", scale{}, func(s analysis.Standing) float64 { return s.HOverE }),
	number("u_Vs", "", scale{}, func(s analysis.Standing) float64 { return s.U }),
	number("collector_work_function_eV", "", scale{}, func(s analysis.Standing) float64 { return s.WorkFunction }),
	text("reason", "why not", func(s analysis.Standing) string { return s.Reason }).optional(),
)

// answerColumns are those of an answer.
var answerColumns = slices.Concat(
	text("status", "", func(a analysis.Answer) string { return a.Status.String() }),
	text("reason", "", func(a analysis.Answer) string { return a.Reason }).optional(),
	text("method", "", func(a analysis.Answer) string { return a.Method }),
	text("fit", "", func(a analysis.Answer) string { return a.Fit }),
	number("h_over_e_Vs", "", scale{}, func(a analysis.Answer) float64 { return a.HOverE }),
	number("u_Vs", "", scale{}, func(a analysis.Answer) float64 { return a.U }),
	number("u_scatter_Vs", "", scale{}, func(a analysis.Answer) float64 { return a.UScatter }),
	number("u_wavelength_Vs", "", scale{}, func(a analysis.Answer) float64 { return a.UWavelength }),
	number("u_spread_Vs", "", scale{}, func(a analysis.Answer) float64 { return a.USpread }),
	number("collector_work_function_eV", "", scale{}, func(a analysis.Answer) float64 { return a.WorkFunction }),
	number("u_collector_work_function_eV", "", scale{}, func(a analysis.Answer) float64 { return a.UWorkFunction }),
	count("settings", "", func(a analysis.Answer) int { return a.Settings }),
	count("degrees_of_freedom", "", func(a analysis.Answer) int { return a.DegreesOfFreedom }),
	fact("remarks", "", func(a analysis.Answer) any { return append([]string{}, a.Remarks...) }),
	fact("usable", "", func(a analysis.Answer) any { return standingColumns.objects(a.Usable) }),
	fact("unusable", "", func(a analysis.Answer) any { return standingColumns.objects(a.Unusable) }),
)

// AnswerObject returns an answer as JSON.
func AnswerObject(a analysis.Answer) Object { return answerColumns.object(a) }

// Unusable returns the table of the methods that are of no use for a run, and
// why.
func Unusable(a analysis.Answer) Table { return standingColumns.table(Page, a.Unusable) }

// printAnswer prints the answer, which methods fit, and what to do next.
func printAnswer(w io.Writer, x Extraction) error {
	a := x.Answer
	const width = 96
	for _, s := range words.OfAnswer(a) {
		fmt.Fprintln(w, console.Fold(s, width, ""))
	}
	fmt.Fprint(w, "\n", console.Fold(words.Fitting(a), width, ""), "\n")
	if len(a.Unusable) > 0 {
		fmt.Fprint(w, "These do not:\n")
		for _, line := range words.NotFitting(a, x.Extraction, x.Methods) {
			fmt.Fprintln(w, console.Fold(line, width, "  "))
		}
	}
	if a.Status != analysis.OK {
		return nil
	}
	_, err := fmt.Fprint(w, "\n", console.Fold(words.NextStep, width, ""), "\n")
	return err
}
