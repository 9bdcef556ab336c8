package words

import (
	"fmt"
	"math"
	"strings"

	"stopvolt/analysis"
	"stopvolt/physics"
)

// OfAnswer tells the answer of a run in sentences, the answer itself first, then
// what its uncertainty is made of and what it rests on.
func OfAnswer(a analysis.Answer) []string {
	if a.Status != analysis.OK {
		return []string{"These curves give no answer: " + a.Reason + "."}
	}
	said := []string{
		fmt.Sprintf("h/e is %s V s by %s, from the %s line through %d settings; that is %s the exact value. The work function of the collector (the anode) is %s eV; of the emitter's (the photocathode's) the line says nothing.",
			analysis.Concise(a.HOverE, a.U, ""), a.Method, a.Fit, a.Settings, besides(a.HOverE/physics.HOverE-1), analysis.Concise(a.WorkFunction, a.UWorkFunction, "")),
		"Its standard uncertainty is made of " + parts(a) + ".",
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

// parts says what an uncertainty is made of, in per cent of the answer.
func parts(a analysis.Answer) string {
	of := func(u float64) string { return fmt.Sprintf("%.2g %%", 100*u/a.HOverE) }
	said := of(a.UScatter) + " by the cutoffs' own uncertainties and their scatter about the line"
	if a.UWavelength > 0 {
		said += ", " + of(a.UWavelength) + " by the wavelengths"
	}
	if n := len(a.Usable) - 1; n > 0 {
		said += ", and " + of(a.USpread) + " by the spread between the methods that fit"
	}
	return said
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

// NotFitting says which methods do not, and why: those of one reason together.
func NotFitting(a analysis.Answer) []string {
	var reasons []string
	names := make(map[string][]string)
	for _, s := range a.Unusable {
		if names[s.Reason] == nil {
			reasons = append(reasons, s.Reason)
		}
		names[s.Reason] = append(names[s.Reason], s.Method)
	}
	var lines []string
	for _, r := range reasons {
		lines = append(lines, strings.Join(names[r], ", ")+": "+r)
	}
	return lines
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
