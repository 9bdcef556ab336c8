package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"stopvolt/analysis/study"
)

// printStudy prints the verdict and the table.
func printStudy(w io.Writer, title string, r study.Result, best study.Recommendation) {
	fmt.Fprintf(w, "%s\n%d simulated experiments, h/e = %.6ge-15 V s, collector %.3f eV\n\n",
		title, r.Replicates, r.Truth.HOverE*1e15, r.Truth.CollectorWorkFunction)
	for _, line := range verdict(r, best) {
		fmt.Fprintln(w, fold(line, 96, ""))
	}
	fmt.Fprintf(w, "\n%-18s %-9s %16s %9s %9s %9s %9s %7s\n", "method", "line", "bias of h/e", "spread", "rms error", "stated u", "coverage", "failed")
	for _, row := range r.Rows {
		m := row.HOverE
		fmt.Fprintf(w, "%-18s %-9s %16s %9s %9s %9s %9s %7d\n", row.Method, row.Fit,
			withError(m.Bias), percent(m.EmpiricalSE.Value, "%.2f"), percent(m.RMSE.Value, "%.2f"),
			percent(m.MeanU.Value, "%.2f"), percent(m.Coverage.Value, "%.0f"), m.Failures)
	}
	fmt.Fprint(w, "\n", fold("Bias is the mean error of h/e with its Monte Carlo standard error; spread is the standard "+
		"deviation from experiment to experiment; rms error is both together; stated u is what the line fit "+
		"claims; coverage is how often its 95 % interval holds the truth. All in per cent of h/e.", 96, ""), "\n")
	var cells []string
	for _, cell := range best.Cells {
		cells = append(cells, cell.Name)
	}
	fmt.Fprint(w, "\n", fold("Recommended is which of the methods compared errs least on the worst of these cells, since a fit "+
		"that knows the simulated cell's own law would win on that cell: "+strings.Join(cells, ", ")+". (Escape factor: "+
		"faster electrons leave the metal more easily. Patches: the work functions vary over the electrodes.)", 96, ""), "\n")
	for _, line := range dropouts(r) {
		fmt.Fprint(w, "\n", fold(line, 96, ""), "\n")
	}
}

// dropouts names the settings that a method left out of the line in some of the
// experiments, since losing the dim red end changes the slope.
func dropouts(r study.Result) []string {
	var parts []string
	last := ""
	for _, row := range r.Rows {
		if row.Method == last {
			continue
		}
		last = row.Method
		for _, s := range row.Settings {
			if s.Stopping.Failures > 0 {
				parts = append(parts, fmt.Sprintf("%s %s in %s", row.Method, s.Name,
					percent(float64(s.Stopping.Failures)/float64(r.Replicates), "%.0f")))
			}
		}
	}
	if parts == nil {
		return nil
	}
	return []string{"Settings left out of the line for want of a cutoff: " + strings.Join(parts, ", ") + "."}
}

// withError prints a relative measure and its error in per cent.
func withError(m study.Measure) string {
	if math.IsNaN(m.Value) {
		return "-"
	}
	if math.IsNaN(m.Error) {
		return fmt.Sprintf("%+.2f %%", 100*m.Value)
	}
	return fmt.Sprintf("%+.2f ± %.2f %%", 100*m.Value, 100*m.Error)
}

// percent prints a fraction in per cent.
func percent(x float64, format string) string {
	if math.IsNaN(x) {
		return "-"
	}
	return fmt.Sprintf(format+" %%", 100*x)
}

// verdict says in two sentences which method to use, and why.
func verdict(r study.Result, best study.Recommendation) []string {
	return []string{
		choiceSentence("For reading by hand", r, best.ByHand),
		choiceSentence("By computer", r, best.ByComputer),
	}
}

// choiceSentence says what was chosen for a use.
func choiceSentence(use string, r study.Result, c study.Choice) string {
	switch {
	case r.Replicates < 4:
		return use + ", four experiments are the least to choose by."
	case c.Row < 0:
		return use + ", none of the methods compared has an answer often enough to be recommended."
	}
	row := r.Rows[c.Row]
	text := fmt.Sprintf("%s, take %s with the %s line: on the experiments that had no part in choosing it its h/e is %+.2f %% off on the mean with an rms error of %.2f %%, and at worst the rms error is %.2f %% (%s); the 95 %% interval that it states holds the truth in %s of them",
		use, row.Method, row.Fit, 100*c.HOverE.Bias.Value, 100*c.HOverE.RMSE.Value, 100*c.Worst.RMSE.Value, c.WorstCell, percent(c.HOverE.Coverage.Value, "%.0f"))
	if left := leftOut(row, r.Replicates); left != "" {
		text += "; it often has no cutoff for " + left
	}
	if len(c.Equals) > 0 {
		text += "; not told apart from it:"
		for i, equal := range c.Equals {
			if i > 0 {
				text += ","
			}
			text += fmt.Sprintf(" %s (%s)", r.Rows[equal].Method, r.Rows[equal].Fit)
		}
	}
	return text + "."
}

// leftOut names the settings that a row's method leaves out of the line in more
// than a tenth of the experiments.
func leftOut(row study.Row, replicates int) string {
	var names []string
	for _, s := range row.Settings {
		if 10*s.Stopping.Failures > replicates {
			names = append(names, s.Name)
		}
	}
	return strings.Join(names, " and ")
}
