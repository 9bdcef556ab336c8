package draw

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"

	"stopvolt/analysis"
	"stopvolt/analysis/groups"
	"stopvolt/cmd/stopvolt/internal/figure"
	"stopvolt/cmd/stopvolt/internal/result"
	"stopvolt/physics"
)

// WriteTerm draws a term, and what the benches did over the years if there is a
// ledger.
func WriteTerm(dir string, t result.Term, history []groups.Entry) error {
	if err := Write(dir, "groups", Term(t)); err != nil {
		return err
	}
	if len(history) == 0 {
		return nil
	}
	return Write(dir, "years", Years(history))
}

// Term shows each group's h/e, bench by bench, and the mean.
func Term(t result.Term) figure.Class {
	f := figure.Class{
		Title: "h/e of each group, as read", Axis: "deviation of h/e from the exact value / %",
		Alt:  fmt.Sprintf("%d results with their uncertainties, in the order of the benches, and their mean.", len(t.Rows)),
		Mark: "h/e as read", Bar: "standard uncertainty", Headings: []string{"h/e / 1e-15 V s", "bench", ""},
	}
	rows := slices.Clone(t.Rows)
	slices.SortStableFunc(rows, func(a, b groups.Row) int { return cmp.Compare(a.Bench, b.Bench) })
	for _, r := range rows {
		word := ""
		switch {
		case r.Reason != "":
			word = "not pooled"
		case r.Outlier:
			word = "outlier"
		}
		f.Rows = append(f.Rows, classRow(r.Group, r.HOverE, r.Bench, word))
	}
	if t.Reason == "" {
		f.Rows = append(f.Rows, classRow("mean of the benches", groups.Estimate{Value: t.Without.Mean.Mean, U: t.Without.Mean.U}, "", ""))
	}
	if !math.IsNaN(t.Corrected) {
		// The bar of a row is a standard uncertainty, so this row says its interval in words.
		half := (t.High - t.Low) / 2 / 1.96
		f.Rows = append(f.Rows, classRow("mean, corrected", groups.Estimate{Value: t.Corrected, U: half}, "", fmt.Sprintf("95 %%: %.2f to %.2f", t.Low/1e-15, t.High/1e-15)))
	}
	return f
}

// classRow is a row of the picture.
func classRow(name string, e groups.Estimate, bench, word string) figure.ClassRow {
	text := "–"
	if !math.IsNaN(e.Value) {
		text = analysis.Concise(e.Value/1e-15, e.U/1e-15, "")
	}
	return figure.ClassRow{Name: name, Deviation: e.Value/physics.HOverE - 1, U: e.U / physics.HOverE, Cells: []string{text, bench, word}}
}

// mostBenches is the number that one picture can tell apart.
const mostBenches = 12

// Years shows the benches over the years.
func Years(history []groups.Entry) figure.History {
	f := figure.History{Title: "The benches over the years; dotted: a repair"}
	for _, e := range history {
		if !slices.Contains(f.Benches, e.Bench) {
			f.Benches = append(f.Benches, e.Bench)
		}
	}
	slices.Sort(f.Benches)
	f.Benches = f.Benches[:min(len(f.Benches), mostBenches)]
	sorted := slices.Clone(history)
	slices.SortStableFunc(sorted, func(a, b groups.Entry) int { return a.Date.Compare(b.Date) })
	for _, q := range []struct {
		axis string
		of   func(groups.Entry) float64
	}{
		{"log10(current / A)", brightness},
		{"plateau / %", func(e groups.Entry) float64 { return 100 * e.PlateauRatio }},
		{"leakage / pS", func(e groups.Entry) float64 { return e.Leakage / 1e-12 }},
		{"cutoff shift / V", func(e groups.Entry) float64 { return e.Shift }},
	} {
		p := figure.HistoryPanel{Axis: q.axis}
		for _, bench := range f.Benches {
			var d figure.Dated
			for _, e := range sorted {
				if e.Bench != bench {
					continue
				}
				if e.Repair {
					d.Repairs = append(d.Repairs, e.Date)
				}
				if v := q.of(e); v-v == 0 {
					d.Days, d.Values = append(d.Days, e.Date), append(d.Values, v)
				}
			}
			p.Series = append(p.Series, d)
		}
		f.Panels = append(f.Panels, p)
	}
	return f
}

// brightness returns the decimal logarithm of the geometric mean of a run's
// photocurrents.
func brightness(e groups.Entry) float64 {
	var sum float64
	var n int
	for _, nm := range slices.Sorted(maps.Keys(e.Sensitivity)) {
		sum += math.Log10(e.Sensitivity[nm])
		n++
	}
	return sum / float64(n)
}
