package result

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"stopvolt/analysis/plan"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/instrument"
)

// A Plan is the best way found to spend a time, ready to be told.
type Plan struct {
	// Title is the scenario's.
	Title string
	// Method and Fit read the runs.
	Method, Fit string
	// Minutes is the time, and Now what is best in it; Later is what is best in More
	// minutes more.
	Minutes, More float64
	Now, Later    plan.Result
	// Hand is the time in s that each voltage takes by hand.
	Hand float64
	// Median is the median bench, for the table of voltages.
	Median instrument.Apparatus
}

// triedColumns are those of a plan that was compared.
var triedColumns = slices.Concat(
	text("plan", "plan", func(t plan.Tried) string { return t.Candidate.String() }),
	number("minutes", "minutes", scale{"", 1, "%.0f"}, func(t plan.Tried) float64 { return t.Minutes }),
	number("mean_absolute_corrected_error", "mean error", percent, func(t plan.Tried) float64 { return t.Loss.Error }),
	number("half_width_of_two_thirds", "two thirds within", percent, func(t plan.Tried) float64 { return t.Loss.Width }),
	number("answers", "with an answer", wholePercent, func(t plan.Tried) float64 { return t.Loss.Answers }),
)

// Object returns the plan as JSON.
func (p Plan) Object() Object {
	tell := func(r plan.Result) Object {
		return Object{
			{"best", triedColumns.object(r.Best)}, {"equal_steps", triedColumns.object(r.Equal)},
			{"ratio", r.Ratio}, {"ratio_low", r.Low}, {"ratio_high", r.High}, {"better", r.Better()}, {"compared", r.Candidates},
		}
	}
	c := p.chosen(p.Now)
	return Object{
		{"schema", Schema}, {"method", p.Method}, {"fit", p.Fit}, {"minutes", p.Minutes},
		{"plan", Object{
			{"step_V", c.Step}, {"fine_step_V", c.FineStep}, {"fine_width_V", c.FineWidth}, {"repeats", c.Repeats}, {"dwell_s", c.Dwell},
			{"neutral", c.Neutral}, {"lights", p.lights(c)},
		}},
		{"now", tell(p.Now)}, {"later", tell(p.Later)},
	}
}

// recommended returns the plan to follow: equal steps where nothing is told apart from
// them, since they are simpler.
func (p Plan) recommended(r plan.Result) plan.Tried {
	if r.Better() {
		return r.Best
	}
	return r.Equal
}

// chosen returns what is done in the plan to follow.
func (p Plan) chosen(r plan.Result) plan.Candidate { return p.recommended(r).Candidate }

// lights returns the names of the settings of a candidate.
func (p Plan) lights(c plan.Candidate) []string {
	var names []string
	for _, l := range c.Apply(p.Median, p.Hand).Lights {
		names = append(names, l.Name)
	}
	return names
}

// Print tells the plan to people, what to do first.
func (p Plan) Print(w io.Writer) error {
	fmt.Fprintf(w, "%s\n\n", p.Title)
	for _, s := range p.Sentences() {
		fmt.Fprintf(w, "%s\n", console.Fold(s, 96, ""))
	}
	fmt.Fprintln(w)
	if err := triedColumns.table(Terminal, p.rows()).Print(w, ""); err != nil {
		return err
	}
	fmt.Fprintf(w, "\nTo pin to the bench, for %s:\n\n", p.Title)
	if err := p.Voltages().Print(w, "  "); err != nil {
		return err
	}
	fmt.Fprintf(w, "\nIn a scenario:\n\n%s", p.TOML())
	return nil
}

// rows returns the plans to be shown side by side, each once: the best and the best of
// equal steps, and what is recommended for the longer time.
func (p Plan) rows() []plan.Tried {
	rows := []plan.Tried{p.Now.Best}
	for _, t := range []plan.Tried{p.Now.Equal, p.recommended(p.Later)} {
		if !slices.ContainsFunc(rows, func(shown plan.Tried) bool { return alike(shown, t) }) {
			rows = append(rows, t)
		}
	}
	return rows
}

// alike reports whether two plans are one, so that all that is told of them is the same.
func alike(a, b plan.Tried) bool {
	return a.Candidate.String() == b.Candidate.String() && slices.Equal(a.Candidate.Lights, b.Candidate.Lights) && a.Minutes == b.Minutes
}

// Sentences are what the search found, in words.
func (p Plan) Sentences() []string {
	c, r := p.chosen(p.Now), p.Now
	lead := fmt.Sprintf("In %g minutes with %g s at each voltage for the hand, read by %s with the %s line: take %s, at %s.",
		p.Minutes, p.Hand, p.Method, p.Fit, c, strings.Join(p.lights(c), ", "))
	verdict := fmt.Sprintf("Of %d plans none is told apart from equal steps (error %.2f times theirs, 95 %% %.2f to %.2f, on %s), so equal steps are as good.",
		r.Candidates, r.Ratio, r.Low, r.High, "benches that had no part in the choice")
	if r.Better() {
		verdict = fmt.Sprintf("That makes the error %.2f times that of the best equal steps (95 %% %.2f to %.2f, on benches that had no part in the choice; %d plans were compared).",
			r.Ratio, r.Low, r.High, r.Candidates)
	}
	return []string{lead, verdict, p.longer(),
		"The error is the mean distance of h/e, after the correction of the method's median, from the truth; none counts more than 30 %, and no answer counts as that."}
}

// longer says what more minutes buy.
func (p Plan) longer() string {
	now, later := p.recommended(p.Now).Loss.Error, p.recommended(p.Later).Loss.Error
	from, to := fmt.Sprintf("%.2f", 100*now), fmt.Sprintf("%.2f", 100*later)
	more := fmt.Sprintf("%g minutes more change the mean error from %s to %s %%.", p.More, from, to)
	if from == to {
		more = fmt.Sprintf("%g minutes more do not change the mean error, which is %s %%.", p.More, from)
	}
	if math.Abs(later-now) < 0.05*now {
		more += " They are better spent on finding out what kind of bench it is."
	}
	return more
}

// A pinned row is what to set at one light.
type pinned struct {
	light            string
	nominal          float64
	from, to, finely string
	voltages         int
}

// pinnedColumns are those of the table that is pinned to the bench.
var pinnedColumns = slices.Concat(
	text("light", "light", func(r pinned) string { return r.light }),
	number("nominal_nm", "wavelength", scale{"nm", 1, "%.1f"}, func(r pinned) float64 { return r.nominal }),
	text("from", "from / V", func(r pinned) string { return r.from }),
	text("to", "to / V", func(r pinned) string { return r.to }),
	text("finely", "finely", func(r pinned) string { return r.finely }),
	count("voltages", "voltages", func(r pinned) int { return r.voltages }),
)

// Voltages returns the table that is pinned to the bench.
func (p Plan) Voltages() Table {
	c := p.chosen(p.Now)
	a := c.Apply(p.Median, p.Hand)
	var rows []pinned
	for _, l := range a.Lights {
		row := pinned{light: l.Name, nominal: l.Nominal, from: volts(a.Plan.Start), to: volts(a.Plan.Stop)}
		row.voltages = len(a.Plan.Voltages((a.Plan.Start + a.Plan.Stop) / 2))
		row.finely = "no"
		if c.FineWidth > 0 {
			row.finely = fmt.Sprintf("%g mV over %g V about where the current is down to a twentieth", 1e3*c.FineStep, c.FineWidth)
		}
		rows = append(rows, row)
	}
	return pinnedColumns.table(Terminal, rows)
}

func volts(v float64) string { return fmt.Sprintf("%.2f", v) }

// rounded writes a number as a person does, to some decimals and without zeros at the end.
func rounded(x float64, decimals int) string {
	scale := math.Pow10(decimals)
	return strconv.FormatFloat(math.Round(x*scale)/scale+0, 'f', -1, 64)
}

// TOML returns the table of a scenario that has the plan. Its ends are to hundredths of
// a volt and its times to hundredths of
// a second, which is what anybody sets.
func (p Plan) TOML() string {
	c := p.chosen(p.Now)
	a := c.Apply(p.Median, 0).Plan
	var b strings.Builder
	fmt.Fprintf(&b, "[plan]\nstart_V = %s\nstop_V = %s\nstep_V = %g\n", rounded(a.Start, 2), rounded(a.Stop, 2), a.Step)
	if c.FineWidth > 0 {
		fmt.Fprintf(&b, "fine_step_V = %g\nfine_width_V = %g\n", c.FineStep, c.FineWidth)
	}
	fmt.Fprintf(&b, "settle_s = %s\ndwell_s = %g\nrepeats = %d\norder = %q\n", rounded(a.Settle, 2), a.Dwell, a.Repeats, instrument.OrderNames()[a.Order])
	return b.String()
}
