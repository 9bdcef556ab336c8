package words

import (
	"strings"
	"testing"

	"stopvolt/analysis/study"
	"stopvolt/instrument/population"
)

// The far ends of the verdict are of the benches that were kept for the check, and
// the sentence says so, since the factor above it is from others and has other ends.
func TestTheFarEndsSayWhichBenchesTheyAreOf(t *testing.T) {
	tail := study.Tail{
		Variable: population.Variable{Key: "collector.least_stopping_V"}, Limit: 0.3, Above: true, Share: 2. / 3,
		Kept: study.Factor{Low: 0.9, High: 1.41}, All: study.Factor{Low: 0.9, High: 1.49},
	}
	told := Verdict{Tails: map[int]study.Tail{0: tail}}.tail(0)
	for _, want := range []string{
		"benches with a stopping voltage of the longest line up to 300 mV.",
		"On the benches kept for this check, which are others than those of the range above, the 95 % range is 0.90 to 1.49 for all, and 0.90 to 1.41 for the 67 % without.",
	} {
		if !strings.Contains(told, want) {
			t.Errorf("the far ends are told as %q, without %q", told, want)
		}
	}
}
