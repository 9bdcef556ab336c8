package words

import (
	"strings"
	"testing"

	"stopvolt/analysis/study"
)

// gain is one of a change that takes the error that is left from five per cent to
// left, and the ends of the factor from 0.9 and 1.4 to low and high.
func gain(change string, left, low, high float64) study.Gain {
	return study.Gain{
		Change: change, Loss: 0.05, Left: left, Gap: study.Measure{Value: 0.05 - left, Error: 0.001},
		Factor: study.Factor{Median: 1, Low: 0.9, High: 1.4}, Changed: study.Factor{Median: 1, Low: low, High: high},
	}
}

// What widens the range that a study is about is not advised without saying so, and
// what helps without is named beside it.
func TestAChangeThatWidensTheRangeSaysSo(t *testing.T) {
	patches, leakage := gain("patches", 0.025, 0.9, 1.6), gain("leakage", 0.04, 0.95, 1.3)
	const (
		widens = "but the 95 % range of the factor would be no narrower: 0.90 to 1.60 instead of 0.90 to 1.40."
		other  = "For a range that is no wider, stop the leakage: half of the experiments would then err by less than 4 % after correction, instead of 5 %"
	)
	for _, test := range []struct {
		name       string
		gains      []study.Gain
		want, none []string
	}{
		{"wider", []study.Gain{patches, leakage}, []string{"root, weighted: take the patches away first. Half of the experiments would then err by less than 2.5 %", widens, other}, nil},
		{"wider and nothing else", []study.Gain{patches}, []string{widens}, []string{"no wider"}},
		{"narrower", []study.Gain{leakage, patches}, []string{"stop the leakage first.", "and the 95 % range of the factor would be 0.95 to 1.30 instead of 0.90 to 1.40."}, []string{"patches", "no narrower", "no wider"}},
		{"too little", []study.Gain{{Change: "lamp", Loss: 0.05, Left: 0.049, Gap: study.Measure{Value: 0.001, Error: 0.001}}}, []string{"no single change"}, nil},
	} {
		told := BestChange(study.BudgetRow{Method: "root", Fit: "weighted", Gains: test.gains})
		for _, want := range test.want {
			if !strings.Contains(told, want) {
				t.Errorf("%s: %q, without %q", test.name, told, want)
			}
		}
		for _, none := range test.none {
			if strings.Contains(told, none) {
				t.Errorf("%s: %q, with %q", test.name, told, none)
			}
		}
	}
}

// Each group of effects says what to do about it.
func TestEveryGroupOfEffectsHasACure(t *testing.T) {
	for _, g := range study.Groups() {
		if cure := Cure(g.Name); cure == "" || cure != g.Cure {
			t.Errorf("%s: the cure is told as %q", g.Name, cure)
		}
	}
}
