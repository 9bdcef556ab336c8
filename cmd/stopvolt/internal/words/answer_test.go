package words

import (
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"

	"stopvolt/analysis"
)

// One current is named, that of fixed-current: null-reading has a level too.
func TestFixedLevelIsThatOfFixedCurrent(t *testing.T) {
	methods := []analysis.Method{analysis.NullReading{}, analysis.FixedCurrent{}}
	level := func(a float64) analysis.Cutoff { return analysis.Cutoff{Stopping: 1, U: 0.1, Level: a} }
	x := analysis.Extraction{Settings: []analysis.Setting{
		{Cutoffs: []analysis.Cutoff{level(1e-12), {Status: analysis.OutsideKnee}}},
		{Cutoffs: []analysis.Cutoff{level(1e-12), level(5e-12)}},
	}}
	if got := FixedLevel(x, methods); !strings.Contains(got, "fixed-current took the voltages at 5.00 pA.") {
		t.Errorf("it says %q", got)
	}
	if got := FixedLevel(x, methods[:1]); got != "" {
		t.Errorf("without fixed-current it says %q", got)
	}
}

// A method that fails at several settings for several reasons tells each of them with
// its settings; one reason is told whole, and methods of one reason together.
func TestAMethodThatDoesNotFitTellsEveryReason(t *testing.T) {
	missing := func(why string) analysis.Cutoff { return analysis.Cutoff{Status: analysis.OutsideKnee, Reason: why} }
	x := analysis.Extraction{Settings: []analysis.Setting{
		{Name: "red", Cutoffs: []analysis.Cutoff{missing("too round; sweep on"), missing("too dim"), missing("too dim")}},
		{Name: "green", Cutoffs: []analysis.Cutoff{missing("too dim; open the slit"), missing("too dim"), missing("too dim")}},
		{Name: "blue", Cutoffs: []analysis.Cutoff{missing("too round; sweep on"), {Stopping: 1, U: 0.1}, {Stopping: 1, U: 0.1}}},
	}}
	methods := []analysis.Method{analysis.Tangent{}, analysis.SemiLog{}, analysis.FowlerFit{}}
	a := analysis.Answer{Unusable: []analysis.Standing{
		{Method: methods[0].Name(), Reason: "an answer at 0 of 3 settings: too round; sweep on"},
		{Method: methods[1].Name(), Reason: "an answer at 1 of 3 settings: too dim"},
		{Method: methods[2].Name(), Reason: "an answer at 1 of 3 settings: too dim"},
	}}
	want := []string{
		"tangent: an answer at 0 of 3 settings: at red, blue too round; at green too dim",
		"semi-log, fowler-fit: an answer at 1 of 3 settings: too dim",
	}
	if got := NotFitting(a, x, methods); strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("it says %q, not %q", got, want)
	}
}

// The parts of an uncertainty that a reader sees add up, as squares, to the whole that
// he sees.
func TestThePartsOfAnUncertaintyAddUp(t *testing.T) {
	a := analysis.Answer{HOverE: 4e-15, UScatter: 0.2e-15, UWavelength: 0.12e-15, USpread: 0.3e-15, Usable: make([]analysis.Standing, 2)}
	a.U = math.Sqrt(a.UScatter*a.UScatter + a.UWavelength*a.UWavelength + a.USpread*a.USpread)
	said := OfAnswer(a)[1]
	var shares []float64
	for _, m := range regexp.MustCompile(`([0-9.]+) %`).FindAllStringSubmatch(said, -1) {
		var x float64
		if _, err := fmt.Sscan(m[1], &x); err != nil {
			t.Fatal(err)
		}
		shares = append(shares, x)
	}
	if len(shares) != 4 {
		t.Fatalf("%d shares in %q, want the whole and three parts", len(shares), said)
	}
	if sum := math.Hypot(shares[1], math.Hypot(shares[2], shares[3])); math.Abs(sum-shares[0]) > 0.1 {
		t.Errorf("%q: the parts make %.2f %%", said, sum)
	}
}
