package words

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"stopvolt/analysis/study"
	"stopvolt/instrument/population"
)

// ReadOff names what a chart goes by, with its unit, and says how it is read.
func ReadOff(r study.Reading, method string) (name, how string, percent bool) {
	switch r.Kind {
	case study.PlateauHeight:
		return "reverse plateau over the current at zero volts", "On the curve of the brightest line: the reverse current at the end of the sweep over the current at zero volts.", true
	case study.KneeWidth:
		return "width of the knee over its end", "On the curve of the brightest line, with the current counted from the reverse plateau: the voltage where it has fallen to a twentieth of its value at zero volts, less that where it has fallen to a half, over the first.", true
	}
	return fmt.Sprintf("h/e by %s over h/e by %s", method, r.Partner),
		fmt.Sprintf("Read the same curves by %s too, with the same kind of line, and divide the two slopes.", r.Partner), false
}

// ChartSentences say what a chart is by, what it gains, and how it was checked.
func ChartSentences(c study.Chart) []string {
	name, how, _ := ReadOff(c.By, c.Method)
	all := []string{how}
	all = append(all, fmt.Sprintf("Of what can be read off, the %s narrows the range most: on the mean the two-thirds range is %s of what it is without the chart, %s to %s.",
		name, percent(c.Widths[c.By], "%.0f"), factor(c.Whole.LikelyLow), factor(c.Whole.LikelyHigh)))
	var others []string
	for _, r := range readingsOf(c) {
		if r != c.By && !math.IsInf(c.Widths[r], 0) {
			other, _, _ := ReadOff(r, c.Method)
			others = append(others, fmt.Sprintf("%s %s", other, percent(c.Widths[r], "%.0f")))
		}
	}
	if len(others) > 0 {
		all = append(all, "Others: "+strings.Join(others, "; ")+".")
	}
	if !math.IsNaN(c.Coverage.Value) {
		all = append(all, fmt.Sprintf("On further benches the 95 %% range of the right row held the truth in %s.", withError(c.Coverage)))
	}
	if c.Unread > 0 {
		all = append(all, fmt.Sprintf("At %d of the benches it could not be read off; there the chart is of no use.", c.Unread))
	}
	return all
}

// readingsOf returns what was tried, in a fixed order.
func readingsOf(c study.Chart) []study.Reading {
	var all []study.Reading
	for r := range c.Widths {
		all = append(all, r)
	}
	slices.SortFunc(all, func(a, b study.Reading) int {
		if a.Kind != b.Kind {
			return int(a.Kind) - int(b.Kind)
		}
		return strings.Compare(a.Partner, b.Partner)
	})
	return all
}

// Validity says for what benches something that was found over a population
// holds.
func Validity(p population.Population) []Term {
	var names []string
	for _, l := range p.Median().Lights {
		names = append(names, fmt.Sprintf("%s (%g nm)", l.Name, l.Nominal))
	}
	terms := []Term{{Name: "Lines", Text: strings.Join(names, ", ")}}
	for _, v := range p.Variables() {
		low, high := v.Law.Ends()
		var text string
		switch {
		case v.Words != nil:
			text = v.String()
		case v.Plus != "" || v.Times != "" || low == high:
			continue
		case math.IsInf(low, 0) || math.IsInf(high, 0):
			text = v.String()
		default:
			text = fmt.Sprintf("%.3g to %.3g", low, high)
		}
		if len(v.Key) > 6 && v.Key[:6] == "light." {
			continue
		}
		terms = append(terms, Term{Name: v.Key, Text: text})
	}
	return terms
}
