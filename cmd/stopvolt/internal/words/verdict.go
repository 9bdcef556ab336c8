package words

import (
	"fmt"
	"math"
	"strings"

	"stopvolt/analysis/study"
)

// Dropouts names the settings that a method left out of the line in some of the
// experiments, since losing the dim red end changes the slope.
func Dropouts(r study.Result) []string {
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

// WithError writes a relative measure and its error in per cent.
func WithError(m study.Measure) string {
	if math.IsNaN(m.Value) {
		return "-"
	}
	if math.IsNaN(m.Error) {
		return fmt.Sprintf("%+.2f %%", 100*m.Value)
	}
	return fmt.Sprintf("%+.2f ± %.2f %%", 100*m.Value, 100*m.Error)
}

// percent writes a fraction in per cent.
func percent(x float64, format string) string {
	if math.IsNaN(x) {
		return "-"
	}
	return fmt.Sprintf(format+" %%", 100*x)
}

// Verdict says in two sentences which method to use, and why.
func Verdict(r study.Result, best study.Recommendation) []string {
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
