package study

import (
	"math"
	"slices"
	"strings"
	"testing"
)

// The p-values are 0.011, 0.03, 0.02 and 0.2 at the level 0.05. Rising they are
// 0.011, 0.02, 0.03, 0.2, to be held against 0.05/4 = 0.0125, 0.05/3 = 0.0167,
// 0.025 and 0.05: the first is below, the second is not, and so the third, though
// it is above its own limit anyway, is not looked at. Without the step down from
// a failure, and at the plain level, three would stand.
func TestHolmByPencil(t *testing.T) {
	for _, test := range []struct {
		ps   []float64
		want []bool
	}{
		{[]float64{0.011, 0.03, 0.02, 0.2}, []bool{true, false, false, false}},
		// 0.01 < 0.05/2 and then 0.04 < 0.05/1: the limit rises step by step.
		{[]float64{0.04, 0.01}, []bool{true, true}},
		// 0.03 > 0.05/2 stops it, so that 0.04 < 0.05/1 does not stand either.
		{[]float64{0.04, 0.03}, []bool{false, false}},
		{[]float64{0.001, 0.015, 0.016, 0.9}, []bool{true, true, true, false}},
		{[]float64{1, 1}, []bool{false, false}},
		{nil, nil},
	} {
		if got := holm(test.ps, 0.05); !slices.Equal(got, test.want) {
			t.Errorf("%v: %v, want %v", test.ps, got, test.want)
		}
	}
}

// Nine in ten is enough, and one less is not.
func TestTheCapOfFailuresByPencil(t *testing.T) {
	for _, test := range []struct {
		answers, experiments int
		want                 bool
	}{
		{90, 100, true}, {89, 100, false}, {100, 100, true}, {9, 10, true}, {8, 10, false}, {50, 100, false}, {0, 0, false},
	} {
		if got := enough(test.answers, test.experiments); got != test.want {
			t.Errorf("%d of %d: %v", test.answers, test.experiments, got)
		}
	}
}

// A share that misses the cap is not written as the cap.
func TestAShareBelowTheCapIsWrittenBelowIt(t *testing.T) {
	for _, test := range []struct {
		share float64
		want  string
	}{{0.47, "47"}, {0.8949, "89"}, {0.896, "89.6"}, {0.8999, "89.99"}, {0.89999, "89.999"}} {
		got := Reason{Kind: SeldomAnswers, Share: test.share}.String()
		if !strings.HasPrefix(got, "answers in "+test.want+" % on the benches that chose,") || !strings.HasSuffix(got, "and 90 % are needed") {
			t.Errorf("a share of %g is told as %q", test.share, got)
		}
	}
}

// The least error among those that answer often comes first, by hand and by
// computer; the least of all where none does.
func TestTheLeadsOfABudgetByPencil(t *testing.T) {
	hand := func(answers, loss float64) BudgetRow { return BudgetRow{ByHand: true, Answers: answers, Loss: loss} }
	computer := func(answers, loss float64) BudgetRow { return BudgetRow{Answers: answers, Loss: loss} }
	for _, test := range []struct {
		rows []BudgetRow
		want []int
	}{
		{[]BudgetRow{computer(1, 0.04), hand(1, 0.05), computer(0.9, 0.03), computer(0.89, 0.01), hand(0.95, 0.04)}, []int{4, 2}},
		{[]BudgetRow{computer(0.5, 0.04), hand(0.95, 0.05), computer(0.5, 0.01)}, []int{1}},
		{[]BudgetRow{computer(0.5, math.NaN()), hand(0.5, 0.05), computer(0.5, 0.04)}, []int{2}},
		{[]BudgetRow{computer(0, math.NaN())}, nil},
	} {
		if got := (Budget{Rows: test.rows}).Leads(); !slices.Equal(got, test.want) {
			t.Errorf("%v lead of %+v, want %v", got, test.rows, test.want)
		}
	}
}

// One setting of the light an answer may go, and no more.
func TestTheCapOfLostSettingsByPencil(t *testing.T) {
	for _, test := range []struct {
		lost, answers int
		want          bool
	}{{0, 10, true}, {10, 10, true}, {11, 10, false}, {1, 1, true}, {2, 1, false}, {20, 10, false}} {
		if keeps(test.lost, test.answers) != test.want {
			t.Errorf("%d lost by %d answers: %v", test.lost, test.answers, !test.want)
		}
	}
}

// Ten benches of two experiments: one bench fails twice, one loses two settings
// twice. So 18 of 20 answer, and leave out four settings together; where the second
// bench loses one setting only, they leave out two.
func TestAnswersAreCountedByPencil(t *testing.T) {
	for _, test := range []struct{ lost, together int }{{2, 4}, {1, 2}} {
		var benches []benchRecord
		for i := range 10 {
			s := session{errors: []float64{0.01}, lost: []int{0}}
			switch i {
			case 3:
				s.errors[0] = math.NaN()
			case 7:
				s.lost[0] = test.lost
			}
			benches = append(benches, benchRecord{index: i, sessions: []session{s, s}})
		}
		if got, want := count(benches, 0), (answered{20, 18, test.together}); got != want {
			t.Errorf("%+v, want %+v", got, want)
		}
	}
}

// Of 79 benches with the ratios 1/79, 2/79, ..., 1 read over true, the 95 % range
// is between the second from either end: (79 + 1)*0.025 = 2. Of factors, which
// are the reciprocals, it is from 79/78 to 79/2. The two-thirds range is between
// the 13th from either end, 80/6 = 13.3: from 79/67 to 79/13. The median is the
// 40th.
func TestFactorByPencil(t *testing.T) {
	var benches [][]float64
	for i := 79; i >= 1; i-- {
		r := float64(i) / 79
		// Two experiments of one bench share its weight.
		benches = append(benches, [][]float64{{r}, {r, r}}[i%2])
	}
	benches = append(benches, nil)
	got := Calibrate(benches)
	want := Factor{Median: 79. / 40, Low: 79. / 78, High: 79. / 2, LikelyLow: 79. / 67, LikelyHigh: 79. / 13, Benches: 79}
	for _, pair := range [][2]float64{{got.Median, want.Median}, {got.Low, want.Low}, {got.High, want.High}, {got.LikelyLow, want.LikelyLow}, {got.LikelyHigh, want.LikelyHigh}} {
		if math.Abs(pair[0]/pair[1]-1) > 1e-12 || got.Benches != want.Benches {
			t.Fatalf("%+v, want %+v", got, want)
		}
	}
	for ratio, holds := range map[float64]bool{78. / 79: true, 2. / 79: true, 1: false, 1. / 79: false, 0.5: true} {
		if got.Holds(ratio) != holds {
			t.Errorf("read over true of %g: holds is %v", ratio, !holds)
		}
	}
}

// Three benches, of which the first has the errors 1 and 3 and the second 5 and
// 7, and the third 8 alone. The mean is 24/5. The sums are 4, 12 and 8 with 2, 2
// and 1 experiments, and differ from mean times count by -5.6, 2.4 and 3.2: the
// squares add up to 47.36, and the standard error is sqrt(47.36*3/2)/5.
func TestTheErrorOfAMeanIsThatOfItsBenches(t *testing.T) {
	var c clustered
	for _, bench := range [][]float64{{1, 3}, {5, 7}, {8}} {
		c.add(bench)
	}
	m := c.mean(5, 2)
	if want := math.Sqrt(47.36*1.5) / 5; math.Abs(m.Value-4.8) > 1e-12 || math.Abs(m.Error-want) > 1e-12 {
		t.Errorf("%v, want 4.8 and %g", m, want)
	}
	// The same with ones and zeros: 1 of 2, 2 of 2, 0 of 1.
	var ones counted
	ones.add(1, 2)
	ones.add(2, 2)
	ones.add(0, 1)
	f := ones.fraction(5, 2)
	if want := math.Sqrt(0.2*0.2+0.8*0.8+0.6*0.6) / 5; math.Abs(f.Value-0.6) > 1e-12 || math.Abs(f.Error-want) > 1e-12 {
		t.Errorf("%v, want 0.6 and %g", f, want)
	}
}

// Four benches with pairs of errors that differ by 2 within and have the means 1,
// 2, 3 and 4: within a variance of 2, of the means 5/3, so that 5/3 - 1 = 2/3 is
// left between.
func TestSpreadsBetweenAndWithinByPencil(t *testing.T) {
	tally := newTally()
	for i := range 4 {
		x := float64(i + 1)
		tally.add([]outcome{{x - 1, 0.1, 0.2}, {x + 1, 0.1, 0.2}})
	}
	m := tally.measures()
	if math.Abs(m.Within.Value-math.Sqrt2) > 1e-12 || math.Abs(m.Between.Value-math.Sqrt(2./3)) > 1e-12 {
		t.Errorf("within %g, between %g", m.Within.Value, m.Between.Value)
	}
}

// A value that is a sum gives each player its term, in every order; the term of
// a product goes to both halves.
func TestSharesOfALinearToyAreItsTerms(t *testing.T) {
	terms := []float64{0.5, -0.25, 2, 0}
	linear := func(on []bool) float64 {
		sum := 0.125
		for i, yes := range on {
			if yes {
				sum += terms[i]
			}
		}
		return sum
	}
	for _, order := range [][]int{{0, 1, 2, 3}, {2, 0, 3, 1}} {
		shares, kept := fairShares(order, linear)
		if !slices.Equal(shares, terms) || kept != 2 {
			t.Errorf("order %v: %v", order, shares)
		}
		both := func(on []bool) float64 {
			if on[1] && on[2] {
				return 1
			}
			return 0
		}
		if shares, _ := fairShares(order, both); !slices.Equal(shares, []float64{0, 0.5, 0.5, 0}) {
			t.Errorf("order %v: the shares of a product are %v", order, shares)
		}
	}
	// A step without an answer takes its order away, and not the reverse.
	deaf := func(on []bool) float64 {
		if on[0] && !on[1] {
			return math.NaN()
		}
		return linear(on)
	}
	if shares, kept := fairShares([]int{0, 1, 2, 3}, deaf); kept != 1 || !slices.Equal(shares, terms) {
		t.Errorf("%d orders kept, %v", kept, shares)
	}
}
