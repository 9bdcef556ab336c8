package words

import (
	"fmt"
	"math"
	"strings"

	"stopvolt/analysis"
)

// Remarks are lines under a heading.
type Remarks struct {
	Heading string
	Lines   []string
}

// OfCutoffs says what is to be said about the cutoffs of an extraction: why one
// is missing, which are to be taken with care, and which cannot all be cutoffs.
// Slips of the readings behind them come first among what is to be taken with care.
// Headings without lines are left out, and so are methods that it is not about.
func OfCutoffs(x analysis.Extraction, slips []analysis.Slip, methods []analysis.Method, about func(method string) bool) []Remarks {
	names := make([]string, len(methods))
	for m, method := range methods {
		if about(method.Name()) {
			names[m] = method.Name()
		}
	}
	var said []Remarks
	for _, r := range []Remarks{
		{"Without an answer", reasons(x, names)},
		{"To be taken with care", append(OfSlips(slips), cautious(x, names)...)},
		{"Not in the order of the frequencies", disorder(x, names)},
	} {
		if len(r.Lines) > 0 {
			said = append(said, r)
		}
	}
	return said
}

// OfSlips names readings far off their neighbours, a line each.
func OfSlips(slips []analysis.Slip) []string {
	var lines []string
	for _, s := range slips {
		lines = append(lines, fmt.Sprintf("the reading at %.3g V of %s, %s, lies far off its neighbours, which suggest %s; look at the notebook, nothing was left out",
			s.Reading.Retarding, s.Setting, Quantity(s.Reading.Current, "A"), Quantity(s.Suggested, "A")))
	}
	return lines
}

// reasons says why cutoffs are missing.
func reasons(x analysis.Extraction, methods []string) []string {
	return once(x, methods, func(c analysis.Cutoff) string {
		if c.Status == analysis.OK {
			return ""
		}
		return c.Reason
	})
}

// cautious says which cutoffs are to be taken with care.
func cautious(x analysis.Extraction, methods []string) []string {
	return once(x, methods, func(c analysis.Cutoff) string { return c.Remark })
}

// once tells each thing that is said of cutoffs once for a method, with the settings
// that it is about. Methods without a name are passed over, here and below.
func once(x analysis.Extraction, methods []string, of func(analysis.Cutoff) string) []string {
	var lines []string
	for m, method := range methods {
		if method == "" {
			continue
		}
		var order []string
		about := make(map[string][]string)
		for _, s := range x.Settings {
			remark := of(s.Cutoffs[m])
			if remark == "" {
				continue
			}
			if about[remark] == nil {
				order = append(order, remark)
			}
			about[remark] = append(about[remark], s.Name)
		}
		for _, remark := range order {
			lines = append(lines, fmt.Sprintf("%s, %s: %s", method, strings.Join(about[remark], ", "), remark))
		}
	}
	return lines
}

// disorder names cutoffs that do not rise with the frequency by more than their
// uncertainties allow: at least one of a pair was read from noise, or belongs to
// another setting.
func disorder(x analysis.Extraction, methods []string) []string {
	var lines []string
	for m, method := range methods {
		if method == "" {
			continue
		}
		for _, low := range x.Settings {
			for _, high := range x.Settings {
				a, b := low.Cutoffs[m], high.Cutoffs[m]
				if a.Status != analysis.OK || b.Status != analysis.OK || !(low.Frequency < high.Frequency) ||
					a.Stopping-b.Stopping <= 2*math.Hypot(a.U, b.U) {
					continue
				}
				lines = append(lines, fmt.Sprintf("%s: %s stops at %s V, above %s at %s V; one of them is no cutoff", method,
					low.Name, analysis.Concise(a.Stopping, a.U, ""), high.Name, analysis.Concise(b.Stopping, b.U, "")))
			}
		}
	}
	return lines
}
