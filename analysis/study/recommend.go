package study

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// failureCap is the fraction of failures above which no method is recommended.
const failureCap = 0.05

// dropoutCap is the fraction of missing cutoffs above which no method is
// recommended: of five settings one may go, but not two, since a line without
// the dim red end is another line.
const dropoutCap = 0.2

// familyLevel is the chance that any of the comparisons with a recommended row
// calls two equal rows different.
const familyLevel = 0.05

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
	// Row is its index in the result, -1 if no row has few enough failures and
	// settings left out.
	Row int
	// HOverE is the row's performance on the replicates that had no part in
	// the choice.
	HOverE Measures
	// Equals are the rows whose error cannot be told from the chosen one's on
	// those replicates: paired differences of the squared errors on common
	// successes, with Holm's step-down correction at a family-wise level of
	// 5 % (S. Holm, Scand. J. Statist. 6, 65 (1979)).
	Equals []int
}

// A Rank is the place of a row in the order of the root mean square error.
type Rank struct {
	// Row is its index in the result.
	Row int
	// P is the two-sided p-value of no difference to the row before, by the
	// paired differences of the squared errors on N common successes, and NaN
	// for the first.
	P float64
	N int64
	// Significant says that P stands up to Holm's correction for all gaps of
	// the ranking at a family-wise level of 5 %.
	Significant bool
}

// recommend chooses from the rows.
func (t *Tally) recommend(rows []Row) Recommendation {
	var all, byHand []int
	for i, r := range rows {
		m := t.Halves[0].HOverE[i].measures()
		if float64(m.Failures) > failureCap*float64(m.Replicates) || r.dropouts() > dropoutCap || math.IsNaN(m.RMSE.Value) {
			continue
		}
		all = append(all, i)
		if r.ByHand {
			byHand = append(byHand, i)
		}
	}
	return Recommendation{ByHand: t.choose(byHand), ByComputer: t.choose(all)}
}

// dropouts returns the fraction of cutoffs that are missing.
func (r Row) dropouts() float64 {
	var missing, all int
	for _, s := range r.Settings {
		missing += s.Stopping.Failures
		all += s.Stopping.Replicates
	}
	return float64(missing) / float64(all)
}

// choose returns the best of the candidates.
func (t *Tally) choose(candidates []int) Choice {
	if len(candidates) == 0 {
		return Choice{Row: -1}
	}
	best := slices.MinFunc(candidates, func(a, b int) int {
		return cmp.Compare(t.Halves[0].HOverE[a].measures().RMSE.Value, t.Halves[0].HOverE[b].measures().RMSE.Value)
	})
	c := Choice{Row: best, HOverE: t.Halves[1].HOverE[best].measures()}
	rivals := slices.DeleteFunc(slices.Clone(candidates), func(i int) bool { return i == best })
	var ps []float64
	for _, i := range rivals {
		ps = append(ps, t.Halves[1].compare(i, best).p())
	}
	for k, different := range holm(ps, familyLevel) {
		if !different {
			c.Equals = append(c.Equals, rivals[k])
		}
	}
	return c
}

// rank orders the rows by their root mean square error, those without one last.
func (t *Tally) rank(rows []Row) []Rank {
	var ranking []Rank
	for i := range rows {
		ranking = append(ranking, Rank{Row: i, P: math.NaN()})
	}
	slices.SortStableFunc(ranking, func(a, b Rank) int {
		x, y := rows[a.Row].HOverE.RMSE.Value, rows[b.Row].HOverE.RMSE.Value
		if math.IsNaN(x) || math.IsNaN(y) {
			return cmp.Compare(boolean(math.IsNaN(x)), boolean(math.IsNaN(y)))
		}
		return cmp.Compare(x, y)
	})
	var ps []float64
	for k := 1; k < len(ranking); k++ {
		var p pair
		for i := range t.Halves {
			p.merge(*t.Halves[i].compare(ranking[k].Row, ranking[k-1].Row))
		}
		ranking[k].P, ranking[k].N = p.p(), p.N
		ps = append(ps, ranking[k].P)
	}
	for k, different := range holm(ps, familyLevel) {
		ranking[k+1].Significant = different
	}
	return ranking
}

// boolean is 1 for true, so that true sorts last.
func boolean(b bool) int {
	if b {
		return 1
	}
	return 0
}

// p returns the two-sided p-value of no difference between the mean squared
// errors: one where too few replicates can tell, zero where all differ by the
// same.
func (p *pair) p() float64 {
	mean, deviation := moments(p.N, p.D, p.D2)
	switch {
	case p.N < 2 || mean == 0:
		return 1
	case deviation == 0:
		return 0
	}
	t := mean / (deviation / math.Sqrt(float64(p.N)))
	return 2 * distuv.StudentsT{Sigma: 1, Nu: float64(p.N - 1)}.CDF(-math.Abs(t))
}

// holm says which of the p-values are significant at a family-wise level.
func holm(ps []float64, level float64) []bool {
	order := make([]int, len(ps))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(ps[a], ps[b]) })
	different := make([]bool, len(ps))
	for k, i := range order {
		// From the first p that is too large on, nothing is told apart.
		if !(ps[i] < level/float64(len(ps)-k)) {
			break
		}
		different[i] = true
	}
	return different
}
