package study

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// failureCap is the fraction of failures above which no method is recommended.
const failureCap = 0.05

// A Recommendation names the row with the least root mean square error, among
// all methods and among those that a person can do by hand.
//
// The choice is made on the replicates of even index, and the errors stated for
// it are those of the others, since the least of many errors is too small on
// the replicates that it was the least of.
type Recommendation struct {
	ByHand, ByComputer Choice
}

// A Choice is the recommended row.
type Choice struct {
	// Row is its index in the result, -1 if no row has few enough failures.
	Row int
	// HOverE is the row's performance on the replicates that had no part in
	// the choice.
	HOverE Measures
	// Equals are the rows whose error cannot be told from the chosen one's at
	// a family-wise level of 5 %: paired differences of the squared errors on
	// common successes, with Holm's step-down correction (S. Holm, Scand. J.
	// Statist. 6, 65 (1979)).
	Equals []int
}

// recommend chooses from the rows, whose estimates are of a truth.
func recommend(rows []Row, truth float64) Recommendation {
	var all, byHand []int
	for i, r := range rows {
		m := Summarise(everySecond(r.estimates, 0), truth)
		if float64(m.Failures) > failureCap*float64(m.Replicates) || math.IsNaN(m.RMSE.Value) {
			continue
		}
		all = append(all, i)
		if r.ByHand {
			byHand = append(byHand, i)
		}
	}
	return Recommendation{ByHand: choose(rows, byHand, truth), ByComputer: choose(rows, all, truth)}
}

// choose returns the best of the candidates.
func choose(rows []Row, candidates []int, truth float64) Choice {
	if len(candidates) == 0 {
		return Choice{Row: -1}
	}
	best := slices.MinFunc(candidates, func(a, b int) int {
		return cmp.Compare(Summarise(everySecond(rows[a].estimates, 0), truth).RMSE.Value,
			Summarise(everySecond(rows[b].estimates, 0), truth).RMSE.Value)
	})
	return Choice{
		Row:    best,
		HOverE: Summarise(everySecond(rows[best].estimates, 1), truth),
		Equals: equals(rows, candidates, best, truth),
	}
}

// everySecond returns the estimates of even or odd index.
func everySecond(estimates []Estimate, from int) []Estimate {
	var half []Estimate
	for i := from; i < len(estimates); i += 2 {
		half = append(half, estimates[i])
	}
	return half
}

// equals returns the candidates that cannot be told from the best.
func equals(rows []Row, candidates []int, best int, truth float64) []int {
	type rival struct {
		row int
		p   float64
	}
	var rivals []rival
	for _, i := range candidates {
		if i != best {
			p := pairedP(everySecond(rows[i].estimates, 1), everySecond(rows[best].estimates, 1), truth)
			rivals = append(rivals, rival{i, p})
		}
	}
	slices.SortStableFunc(rivals, func(a, b rival) int { return cmp.Compare(a.p, b.p) })
	var equal []int
	for k, r := range rivals {
		// Holm: from the first p that is too large on, nothing is told apart.
		if len(equal) > 0 || !(r.p < 0.05/float64(len(rivals)-k)) {
			equal = append(equal, r.row)
		}
	}
	slices.Sort(equal)
	return equal
}

// pairedP returns the two-sided p-value of no difference between the mean
// squared errors of two rows on the replicates where both have an answer. It is
// zero where every difference is the same and not zero, and one where fewer
// than two replicates can tell.
func pairedP(a, b []Estimate, truth float64) float64 {
	var differences []float64
	for i := range a {
		if a[i].ok() && b[i].ok() {
			x, y := (a[i].Value-truth)/truth, (b[i].Value-truth)/truth
			differences = append(differences, x*x-y*y)
		}
	}
	if len(differences) < 2 {
		return 1
	}
	mean, deviation := stat.MeanStdDev(differences, nil)
	switch {
	case mean == 0:
		return 1
	case deviation == 0:
		return 0
	}
	t := mean / (deviation / math.Sqrt(float64(len(differences))))
	return 2 * distuv.StudentsT{Sigma: 1, Nu: float64(len(differences) - 1)}.CDF(-math.Abs(t))
}
