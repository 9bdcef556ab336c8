package words

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"stopvolt/analysis"
	"stopvolt/physics"
)

// OfAnswer tells the answer of a run in sentences, the answer itself first, then
// what its uncertainty is made of and what it rests on.
func OfAnswer(a analysis.Answer) []string {
	said := []string{"These curves give no answer: " + a.Reason + "."}
	if a.Status == analysis.OK {
		said = []string{
			fmt.Sprintf("h/e is %s V s by %s, from the %s line through %d settings; that is %s the exact value. The work function of the collector (the anode) is %s eV; of the emitter's (the photocathode's) the line says nothing.",
				analysis.Concise(a.HOverE, a.U, ""), a.Method, a.Fit, a.Settings, besides(a.HOverE/physics.HOverE-1), analysis.Concise(a.WorkFunction, a.UWorkFunction, "")),
			"Its standard uncertainty, " + percent(a.U/a.HOverE, "%.2g") + " of it, is " + parts(a) + ".",
		}
	}
	for _, r := range a.Remarks {
		said = append(said, wholeSentence(r))
	}
	return said
}

// besides says how far beside another a value is.
func besides(share float64) string {
	switch percent := fmt.Sprintf("%.1f %%", 100*math.Abs(share)); {
	case percent == "0.0 %":
		return "within 0.05 % of"
	case share < 0:
		return percent + " below"
	default:
		return percent + " above"
	}
}

// parts says what an uncertainty is made of, in per cent of the answer. The squares of
// the parts add up to that of the whole.
func parts(a analysis.Answer) string {
	const points = "by the cutoffs' scatter about the line, or by their own uncertainties where these ask for more"
	made := []string{percent(a.UScatter/a.HOverE, "%.2g") + " " + points}
	if a.UWavelength > 0 {
		made = append(made, percent(a.UWavelength/a.HOverE, "%.2g")+" by the wavelengths")
	}
	if len(a.Usable) > 1 {
		made = append(made, percent(a.USpread/a.HOverE, "%.2g")+" by the spread between the methods that fit")
	}
	last := len(made) - 1
	if last == 0 {
		return "that " + points
	}
	return "the root of the sum of the squares of " + strings.Join(made[:last], ", ") + ", and " + made[last]
}

// wholeSentence begins a text with a capital and ends it with a full stop.
func wholeSentence(text string) string {
	for i, r := range text {
		return strings.ToUpper(string(r)) + text[i+len(string(r)):] + "."
	}
	return text
}

// Fitting says which methods fit the curves of a run.
func Fitting(a analysis.Answer) string {
	var names []string
	for _, s := range a.Usable {
		names = append(names, s.Method)
	}
	if len(names) == 0 {
		return "No method fits these curves."
	}
	return "These methods fit the curves: " + strings.Join(names, ", ") + "."
}

// NotFitting says which methods do not, and why: those of one reason together. Where
// a method fails at several settings for several reasons, each is told.
func NotFitting(a analysis.Answer, x analysis.Extraction, methods []analysis.Method) []string {
	var reasons []string
	names := make(map[string][]string)
	for _, s := range a.Unusable {
		m := slices.IndexFunc(methods, func(m analysis.Method) bool { return m.Name() == s.Method })
		why := s.Reason
		if m >= 0 {
			why = bySetting(why, x, m)
		}
		if names[why] == nil {
			reasons = append(reasons, why)
		}
		names[why] = append(names[why], s.Method)
	}
	var lines []string
	for _, r := range reasons {
		lines = append(lines, strings.Join(names[r], ", ")+": "+r)
	}
	return lines
}

// bySetting puts in place of the commonest reason, with which a sentence about the
// m-th method ends, all its reasons with their settings, each without the advice that
// follows it. A sentence that ends otherwise, or with the only reason, stays.
func bySetting(sentence string, x analysis.Extraction, m int) string {
	var order []string
	settings := make(map[string][]string)
	head := ""
	for _, s := range x.Settings {
		c := s.Cutoffs[m]
		if c.Status == analysis.OK {
			continue
		}
		if before, ends := strings.CutSuffix(sentence, ": "+c.Reason); ends {
			head = before
		}
		if settings[c.Reason] == nil {
			order = append(order, c.Reason)
		}
		settings[c.Reason] = append(settings[c.Reason], s.Name)
	}
	if head == "" || len(order) < 2 {
		return sentence
	}
	var said []string
	for _, reason := range order {
		what, _, _ := strings.Cut(reason, ";")
		said = append(said, "at "+strings.Join(settings[reason], ", ")+" "+what)
	}
	return head + ": " + strings.Join(said, "; ")
}

// NextStep says what to do with an answer.
const NextStep = "Curves do not tell how far a method is from the truth. stopvolt match, with the same files, compares them with simulated benches " +
	"that are like them, and says what to correct h/e by, and how well that is known."

// FixedLevel says at what current fixed-current read the curves of an
// extraction, empty where it did not. It is the same for all of them.
func FixedLevel(x analysis.Extraction, methods []analysis.Method) string {
	for m, method := range methods {
		if _, fixed := method.(analysis.FixedCurrent); !fixed {
			continue
		}
		for _, s := range x.Settings {
			if c := s.Cutoffs[m]; c.Status == analysis.OK {
				return fmt.Sprintf("%s took the voltages at %s.", method.Name(), Quantity(c.Level, "A"))
			}
		}
	}
	return ""
}
