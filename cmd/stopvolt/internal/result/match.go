package result

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"stopvolt/analysis/match"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/instrument/population"
)

// A Match is what a match says of a run, ready to be told.
type Match struct {
	match.Result
	// Population is the name of the scenario that the benches were drawn from.
	Population string
}

// parameterColumns are those of what the run tells of the bench.
var parameterColumns = slices.Concat(
	text("key", "number of the bench", func(p match.Parameter) string { return p.Key }),
	text("unit", "unit", func(p match.Parameter) string { return p.Unit }),
	fact("before_low", "before, from", func(p match.Parameter) any { return known(p, p.BeforeLow) }),
	fact("before_high", "to", func(p match.Parameter) any { return known(p, p.BeforeHigh) }),
	fact("after_low", "after, from", func(p match.Parameter) any { return known(p, p.AfterLow) }),
	fact("after_high", "to", func(p match.Parameter) any { return known(p, p.AfterHigh) }),
)

// known is a number of a parameter, or the word that it counts.
func known(p match.Parameter, x float64) any {
	if i := int(x); p.Words != nil && i >= 0 && i < len(p.Words) {
		return p.Words[i]
	}
	// An end of a range of simulated benches has no more digits than these.
	short, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 3, 64), 64)
	if err != nil {
		return Number(x)
	}
	return Number(short)
}

// Object returns the match as JSON.
func (m Match) Object() Object {
	// What there is none of is an empty list.
	elsewhere, alike, remarks := []Object{}, []Object{}, append([]string{}, m.Remarks...)
	for _, e := range m.Elsewhere {
		elsewhere = append(elsewhere, Object{{"population", e.Name}, {"coverage", Number(e.Coverage)}})
	}
	for _, a := range m.Alike {
		alike = append(alike, Object{{"keys", []string{a.A, a.B}}, {"correlation", Number(a.Correlation)}})
	}
	answer := func(x float64) Number {
		if !m.Accepted {
			return Number(math.NaN())
		}
		return Number(x)
	}
	var reason any
	if m.Reason != "" {
		reason = m.Reason
	}
	return Object{
		{"schema", Schema}, {"accepted", m.Accepted}, {"reason", reason},
		{"h_over_e_Vs", answer(m.HOverE)}, {"low_Vs", answer(m.Low)}, {"high_Vs", answer(m.High)},
		{"collector_work_function_eV", answer(m.WorkFunction)},
		{"raw", Object{{"method", m.RawMethod}, {"h_over_e_Vs", Number(m.Raw)}}},
		{"unlike", Object{
			{"curves_p", Number(m.Unlike.CurvesP)}, {"lines_p", Number(m.Unlike.LinesP)},
			{"line", m.Unlike.Line}, {"feature", m.Unlike.Feature}, {"shift", Number(m.Unlike.Shift)},
		}},
		{"second_h_over_e_Vs", Number(m.Second)},
		{"population", m.Population}, {"benches", m.Benches}, {"elsewhere", elsewhere},
		{"parameters", parameterColumns.objects(m.Parameters)}, {"alike", alike}, {"remarks", remarks},
	}
}

// Sentences say what the match comes to.
func (m Match) Sentences() []string {
	raw := fmt.Sprintf("As read by %s with the weighted line, h/e is %.4g V s.", m.RawMethod, m.Raw)
	if !m.Accepted {
		return append([]string{"No corrected answer: " + m.Reason + ".", raw}, ended(m.Remarks)...)
	}
	out := []string{
		fmt.Sprintf("h/e is %.3g V s, from %.3g to %.3g (95 %%), and the work function of the collector (the anode) %.2f eV, from simulated benches of %s swept as this run was.",
			m.HOverE, m.Low, m.High, m.WorkFunction, m.Population),
		fmt.Sprintf("%s Corrected for bench and reading by %.3f, from %.3f to %.3f.", raw, m.HOverE/m.Raw, m.Low/m.Raw, m.High/m.Raw),
	}
	out = append(out, ended(m.Remarks)...)
	switch curves, lines := m.Unlike.CurvesP, m.Unlike.LinesP; {
	case min(curves, lines) < match.DoubtBelow || math.IsNaN(lines) && curves < match.DoubtBelow:
		// A remark says so already.
	case math.IsNaN(lines):
		out = append(out, fmt.Sprintf("The run is like the population (its curves p = %.2g); three lines are too few to leave one out.", curves))
	default:
		out = append(out, fmt.Sprintf("The run is like the population (its curves p = %.2g, its lines p = %.2g); without %s the answer changes by %+.2g %%.",
			curves, lines, m.Unlike.Line, 100*m.Unlike.Shift))
	}
	return append(out, m.coverage())
}

// ended returns remarks as sentences.
func ended(remarks []string) []string {
	out := make([]string, len(remarks))
	for i, r := range remarks {
		out[i] = strings.TrimSuffix(r, ".") + "."
	}
	return out
}

// coverage says how the interval does in other populations.
func (m Match) coverage() string {
	var parts []string
	for _, e := range m.Elsewhere {
		parts = append(parts, fmt.Sprintf("%.0f %% with %s", 100*e.Coverage, e.Name))
	}
	return "Tried on benches of other populations, such intervals held the truth in " + strings.Join(parts, ", ") +
		"; where they held it in less than 90 %, this one is wider by what was missing. On a bench like none of these it may not hold."
}

// Print tells the match.
func (m Match) Print(w io.Writer) error {
	for _, s := range m.Sentences() {
		fmt.Fprintln(w, console.Fold(s, 96, ""))
	}
	told := m.Told()
	if len(told) == 0 {
		_, err := fmt.Fprintln(w, "\nThe run tells little of the single numbers of the bench.")
		return err
	}
	fmt.Fprintln(w, "\nWhat the run tells of the bench (95 % of the benches before, and of those like the run):")
	return parameterColumns.table(Terminal, told).Print(w, "")
}

// toldShare is the part of its range before beyond which a number is still as
// unknown as it was.
const toldShare = 0.7

// Told returns the parameters whose range has become narrower.
func (m Match) Told() []match.Parameter {
	var told []match.Parameter
	for _, p := range m.Parameters {
		width := func(low, high float64) float64 {
			if p.BeforeLow > 0 && p.BeforeHigh/p.BeforeLow > 5 {
				return math.Log(high / low)
			}
			return high - low
		}
		if width(p.AfterLow, p.AfterHigh) < toldShare*width(p.BeforeLow, p.BeforeHigh) {
			told = append(told, p)
		}
	}
	return told
}

// Scenario returns the text of a scenario whose benches are those like the run.
func (m Match) Scenario(base []byte, variables []population.Variable) string {
	var b strings.Builder
	b.Write(base)
	b.WriteString("\n# The benches of this population that are like a measured run. These rows take the\n# place of the laws above.\n[[joint]]\nkeys = [")
	for i, v := range variables {
		if i > 0 {
			b.WriteString(", ")
		}
		b.WriteString(strconv.Quote(v.Key))
	}
	b.WriteString("]\nweights = [")
	for i, w := range m.Weights {
		if i > 0 {
			b.WriteString(", ")
		}
		b.WriteString(strconv.FormatFloat(w, 'g', 4, 64))
	}
	b.WriteString("]\nrows = [\n")
	for _, row := range m.Near {
		b.WriteString("  [")
		for i, x := range row {
			if i > 0 {
				b.WriteString(", ")
			}
			if v := variables[i]; v.Words != nil {
				b.WriteString(strconv.Quote(v.Word(x)))
			} else {
				b.WriteString(decimal(x))
			}
		}
		b.WriteString("],\n")
	}
	b.WriteString("]\n")
	return b.String()
}

// decimal writes a number as TOML reads it as one with a point.
func decimal(x float64) string {
	s := strconv.FormatFloat(x, 'g', 7, 64)
	if !strings.ContainsAny(s, ".e") {
		s += ".0"
	}
	return s
}
