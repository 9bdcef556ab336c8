package result

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"stopvolt/analysis"
	"stopvolt/analysis/groups"
	"stopvolt/cmd/stopvolt/internal/console"
)

// A Term is what a term's hand-ins come to, ready to be told.
type Term struct {
	groups.Report
	// Method and Fit are the names of what all runs were read by.
	Method, Fit string
	// Correction is that of the method, and Source says where it is from.
	Correction groups.Correction
	Source     string
	// Warnings and Changes are what the ledger shows, if one was read.
	Warnings []groups.Warning
	Changes  []groups.Change
}

// measured is a column of a value in V s with its standard uncertainty.
func measured(key, uKey, heading string, get func(groups.Row) groups.Estimate) Columns[groups.Row] {
	return slices.Concat(
		concise(number(key, heading, scale{}, func(r groups.Row) float64 { return get(r).Value }), "1e-15 V s", 1e-15,
			func(r groups.Row) (float64, float64) { return get(r).Value, get(r).U }),
		number(uKey, "", scale{}, func(r groups.Row) float64 { return get(r).U }),
	)
}

// groupColumns are those of one group.
var groupColumns = slices.Concat(
	text("group", "group", func(r groups.Row) string { return r.Group }),
	text("bench", "bench", func(r groups.Row) string { return r.Bench }),
	measured("h_over_e_Vs", "u_Vs", "h/e", func(r groups.Row) groups.Estimate { return r.HOverE }),
	number("corrected_h_over_e_Vs", "corrected", femto, func(r groups.Row) float64 { return r.Corrected }),
	number("corrected_low_Vs", "from", femto, func(r groups.Row) float64 { return r.Low }).onPages(),
	number("corrected_high_Vs", "to", femto, func(r groups.Row) float64 { return r.High }).onPages(),
	number("collector_work_function_eV", "collector's work function", scale{"eV", 1, "%.2f"}, func(r groups.Row) float64 { return r.WorkFunction }).onPages(),
	text("own_method", "their method", func(r groups.Row) string { return r.OwnMethod }),
	measured("own_h_over_e_Vs", "own_u_Vs", "h/e by it", func(r groups.Row) groups.Estimate { return r.Own }),
	fact("pooled", "", func(r groups.Row) any { return r.Reason == "" && !r.Outlier }),
	text("remark", "remark", func(r groups.Row) string { return Remark(r) }),
)

// femto writes h/e.
var femto = scale{"1e-15 V s", 1e-15, "%.2f"}

// Remark says what is to be said of a row in a few words.
func Remark(r groups.Row) string {
	switch {
	case r.Reason != "":
		return "not pooled: " + r.Reason
	case r.Outlier:
		return "outlier"
	}
	var checks []string
	for _, f := range r.Findings {
		if !slices.Contains(checks, f.Check) {
			checks = append(checks, f.Check)
		}
	}
	return strings.Join(checks, ", ")
}

// GroupTable returns the table of a page.
func GroupTable(rows []groups.Row) Table { return groupColumns.table(Page, rows) }

// WriteGroups writes the rows as CSV.
func WriteGroups(w io.Writer, rows []groups.Row) error { return groupColumns.write(w, rows) }

// Object returns the term as JSON.
func (t Term) Object() Object {
	mean := Object{
		{"pooled", t.Pooled}, {"reason", t.Reason},
		{"h_over_e_Vs", value(t.Reason == "", t.Without.Mean.Mean)}, {"u_Vs", value(t.Reason == "", t.Without.Mean.U)},
		{"degrees_of_freedom", t.Without.Mean.Freedom},
		{"within_groups_Vs", value(t.Reason == "", t.Without.Within)},
		{"between_groups_Vs", value(t.Reason == "", t.Without.BetweenGroups)},
		{"between_benches_Vs", value(t.Reason == "", t.Without.BetweenBenches)},
		{"paule_mandel_h_over_e_Vs", value(t.Reason == "", t.PauleMandel.Mean)}, {"paule_mandel_u_Vs", value(t.Reason == "", t.PauleMandel.U)},
		{"restricted_likelihood_h_over_e_Vs", value(t.Reason == "", t.Likelihood.Mean)}, {"restricted_likelihood_u_Vs", value(t.Reason == "", t.Likelihood.U)},
		{"corrected_h_over_e_Vs", t.Corrected}, {"corrected_low_Vs", t.Low}, {"corrected_high_Vs", t.High},
	}
	alike := []Object{}
	for _, l := range t.Alike {
		alike = append(alike, Object{{"first", t.Rows[l.First].Group}, {"second", t.Rows[l.Second].Group}, {"setting", l.Setting}, {"same", l.Same}, {"compared", l.Compared}})
	}
	findings := []Object{}
	for _, r := range t.Rows {
		for _, f := range r.Findings {
			findings = append(findings, append(Object{{"group", r.Group}}, checkColumns.object(f)...))
		}
	}
	warnings := []Object{}
	for _, w := range t.Warnings {
		warnings = append(warnings, Object{{"bench", w.Bench}, {"says", Warning(w)}, {"p", w.P}})
	}
	return Object{
		{"schema", Schema}, {"method", t.Method}, {"fit", t.Fit},
		{"factor", value(t.Correction.Factor > 0, t.Correction.Factor)},
		{"groups", groupColumns.objects(t.Rows)}, {"mean", mean},
		{"findings", findings}, {"alike", alike}, {"warnings", warnings},
	}
}

// value returns a number that there is, or none.
func value(there bool, x float64) Number {
	if !there {
		return None
	}
	return Number(x)
}

// Print tells the term to people: the conclusion first.
func (t Term) Print(w io.Writer) error {
	for _, s := range t.Sentences() {
		fmt.Fprintf(w, "%s\n", console.Fold(s, 96, ""))
	}
	fmt.Fprintln(w)
	if err := groupColumns.table(Terminal, t.Rows).Print(w, ""); err != nil {
		return err
	}
	for _, r := range t.Rows {
		if len(r.Findings) == 0 {
			continue
		}
		fmt.Fprintf(w, "\n%s:\n", r.Group)
		PrintFindings(w, r.Findings)
	}
	for _, part := range []struct {
		heading string
		lines   []string
	}{{"A question, and no verdict:", t.Questions()}, {"Over the years:", t.Years()}} {
		if len(part.lines) == 0 {
			continue
		}
		fmt.Fprintf(w, "\n%s\n", part.heading)
		for _, l := range part.lines {
			fmt.Fprintf(w, "%s\n", console.Fold(l, 96, "  "))
		}
	}
	return nil
}

// Sentences are what the term comes to, in words.
func (t Term) Sentences() []string {
	if t.Reason != "" {
		return []string{"There is no mean: " + t.Reason + "."}
	}
	mean := t.Without
	out := []string{fmt.Sprintf("%d runs at %d benches, all read by %s with the %s line: h/e = %s as read. The standard uncertainty in brackets is that of the mean over the benches, "+
		"since groups at one bench share its faults; Student's t has %s.",
		t.Pooled, len(mean.Benches), t.Method, t.Fit, inFemto(mean.Mean.Mean, mean.Mean.U), Freedom(mean.Mean.Freedom))}
	if mean.OneBench {
		out = append(out, "All worked at one bench, so that the uncertainty knows nothing of how benches differ.")
	}
	if !math.IsNaN(t.Corrected) {
		out = append(out, fmt.Sprintf("Corrected for the way this method reads by %.3f (95 %% %.3f to %.3f; %s): %.2f × 10⁻¹⁵ V s, and with 95 %% from %.2f to %.2f. "+
			"That interval does not get narrower with more groups, since one method errs the same way for all.",
			t.Correction.Factor, t.Correction.Low, t.Correction.High, t.Source, t.Corrected/1e-15, t.Low/1e-15, t.High/1e-15))
	}
	out = append(out, fmt.Sprintf("What it is made of, as standard deviations: within a run %s, between groups at one bench %s, between benches %s. "+
		"Other estimates of the spread give %s (Paule and Mandel) and %s (restricted likelihood).",
		inPercent(mean.Within/mean.Mean.Mean), inPercent(mean.BetweenGroups/mean.Mean.Mean), inPercent(mean.BetweenBenches/mean.Mean.Mean),
		inFemto(t.PauleMandel.Mean, t.PauleMandel.U), inFemto(t.Likelihood.Mean, t.Likelihood.U)))
	var outliers []string
	for _, r := range t.Rows {
		if r.Outlier {
			outliers = append(outliers, r.Group)
		}
	}
	if len(outliers) > 0 {
		out = append(out, fmt.Sprintf("Not belonging to the others and left out: %s; with them h/e would be %s. A term without an outlier has one named in 1 of %.0f cases.",
			strings.Join(outliers, ", "), inFemto(t.All.Mean.Mean, t.All.Mean.U), 1/groups.OutlierLevel))
	}
	return out
}

// Questions are the pairs of runs with the same readings, in words.
func (t Term) Questions() []string {
	var out []string
	for _, l := range t.Alike {
		out = append(out, fmt.Sprintf("%s and %s have the same readings at %s (%d of %d compared). Were files exchanged or shared?",
			t.Rows[l.First].Group, t.Rows[l.Second].Group, l.Setting, l.Same, l.Compared))
	}
	return out
}

// Years are the warnings and changes of the ledger, in words.
func (t Term) Years() []string {
	var out []string
	for _, w := range t.Warnings {
		out = append(out, Warning(w))
	}
	for _, c := range t.Changes {
		if c.P < 0.05 {
			out = append(out, change(c))
		}
	}
	return out
}

// quantityWords say what a quantity is, and what its change means.
var quantityWords = map[groups.Quantity]struct{ name, means string }{
	groups.Brightness:     {"the photocurrent of all lines together", "the cell or the lamp ages, or the amplifier's range is another"},
	groups.LineBrightness: {"the photocurrent of one line over the others", "its filter fades, or is another"},
	groups.Plateau:        {"the reverse current over the photocurrent", "the collector gets coated or more light falls on it: the cell ages"},
	groups.Base:           {"the leakage", "the base or the leads are damp or dirty"},
	groups.Cutoff:         {"the stopping voltage of all lines", "the contact potential drifts: a surface changes, and the cell ages"},
}

// Warning says what a bench does over the years, with the evidence.
func Warning(w groups.Warning) string {
	words := quantityWords[w.Quantity]
	name := words.name
	if w.Quantity == groups.LineBrightness {
		name = fmt.Sprintf("the photocurrent at %g nm over that of the other lines", w.Wavelength)
	}
	how := fmt.Sprintf("by a factor of %.2f", w.To/w.From)
	if w.Quantity == groups.Cutoff {
		how = fmt.Sprintf("by %+.3f V", w.To-w.From)
	}
	return fmt.Sprintf("%s: %s changed %s from %s to %s (%d runs, p = %.1g): %s. Steady benches are warned of in 1 term of %.0f.",
		w.Bench, name, how, w.Days[0].Format("2006-01-02"), w.Days[1].Format("2006-01-02"), w.N, w.P, words.means, 1/groups.WarningLevel)
}

// change says what a repair did.
func change(c groups.Change) string {
	how := fmt.Sprintf("%.2f times what it was", c.After/c.Before)
	if c.Quantity == groups.Cutoff {
		how = fmt.Sprintf("%+.3f V from what it was", c.After-c.Before)
	}
	name := quantityWords[c.Quantity].name
	if c.Quantity == groups.LineBrightness {
		name = fmt.Sprintf("the photocurrent at %g nm over that of the other lines", c.Wavelength)
	}
	return fmt.Sprintf("%s: since the repair %s is %s (p = %.1g)", c.Bench, name, how, c.P)
}

// inFemto writes h/e with the uncertainty of its last digits.
func inFemto(v, u float64) string {
	return analysis.Concise(v/1e-15, u/1e-15, "") + " × 10⁻¹⁵ V s"
}

// Freedom counts degrees of freedom in words.
func Freedom(n int) string {
	if n == 1 {
		return "1 degree of freedom"
	}
	return fmt.Sprintf("%d degrees of freedom", n)
}

// inPercent writes a share.
func inPercent(x float64) string { return fmt.Sprintf("%.1f %%", 100*x) }
