package result

import (
	"math"
	"strings"
	"testing"

	"stopvolt/analysis/match"
)

// A run is called like the population or unlike it, and not both.
func TestARunIsLikeThePopulationOrUnlikeIt(t *testing.T) {
	for _, c := range []struct {
		name          string
		curves, lines float64
		remarks       []string
		like          bool
		says          string
	}{
		{"like", 0.5, 0.3, nil, true, "without violet the answer changes by +10 %"},
		{"three lines", 0.5, math.NaN(), []string{"yellow is left out: no cutoff"}, true, "too few to leave one out"},
		{"doubted by its lines", 0.4, 0.02, []string{"The run is unlike the population (p = 0.02): look at violet."}, false, "unlike"},
		{"doubted by three curves", 0.02, math.NaN(), []string{"The run is unlike the population (p = 0.02): look at violet."}, false, "unlike"},
	} {
		m := Match{Result: match.Result{Accepted: true, HOverE: 4.2e-15, Low: 4e-15, High: 4.5e-15, Raw: 4e-15, Remarks: c.remarks,
			Unlike: match.Unlike{CurvesP: c.curves, LinesP: c.lines, Line: "violet", Shift: 0.1}}}
		text := strings.Join(m.Sentences(), " ")
		if strings.Contains(text, "is like the population") != c.like || !strings.Contains(text, c.says) || strings.Contains(text, "..") || strings.Contains(text, "NaN") {
			t.Errorf("%s: %s", c.name, text)
		}
	}
}
