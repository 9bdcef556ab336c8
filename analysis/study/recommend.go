package study

import (
	"cmp"
	"context"
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

// A Recommendation names the row with the least root mean square error on the
// worst of the cells, among all methods and among those that a person can do by
// hand. The worst case counts, because a fit that knows the simulator's own law
// would win on the cell that obeys it.
//
// The choice is made on the replicates of even index, and the errors stated for
// it are those of the others, since the least of many errors is too small on
// the replicates that it was the least of.
type Recommendation struct {
	ByHand, ByComputer Choice
	// Cells are the scenario's own and those with a variation.
	Cells []Cell
}

// A Choice is the recommended row.
type Choice struct {
	// Row is its index in the result, -1 if no row has few enough failures and
	// settings left out on every cell.
	Row int
	// HOverE is the row's performance on the scenario's own cell, and Worst
	// that on the cell where its root mean square error is largest, whose name
	// is WorstCell; both on the replicates that had no part in the choice.
	HOverE, Worst Measures
	WorstCell     string
	// Equals are the rows whose worst error cannot be told from the chosen
	// one's on those replicates: differences of the mean squared errors, paired
	// on common successes where both are worst on the same cell, with Holm's
	// step-down correction at a family-wise level of 5 % (S. Holm, Scand. J.
	// Statist. 6, 65 (1979)).
	Equals []int
}

// A Rank is the place of a row in the order of the root mean square error on the
// scenario's own cell.
type Rank struct {
	// Row is its index in the result.
	Row int
	// Gap is the mean difference of the squared relative errors to the row
	// before, paired on N common successes, and P the two-sided p-value of no
	// difference; NaN for the first.
	Gap Measure
	P   float64
	N   int64
	// Significant says that P stands up to Holm's correction for all gaps of
	// the ranking at a family-wise level of 5 %.
	Significant bool
}

// Recommend does the study in little on cells with a variation, and chooses from
// the rows of the result of a tally.
func (s Study) Recommend(ctx context.Context, t *Tally, r Result) (Recommendation, error) {
	cells, err := s.cells(ctx, t)
	if err != nil {
		return Recommendation{}, err
	}
	return recommend(r.Rows, cells), nil
}

// recommend chooses from the rows by what they did on the cells.
func recommend(rows []Row, cells []Cell) Recommendation {
	var all, byHand []int
	for i, r := range rows {
		if !fit(i, r, cells) {
			continue
		}
		all = append(all, i)
		if r.ByHand {
			byHand = append(byHand, i)
		}
	}
	return Recommendation{choose(byHand, cells), choose(all, cells), cells}
}

// fit reports whether a row has an answer often enough on every cell to be
// chosen.
func fit(i int, r Row, cells []Cell) bool {
	for _, c := range cells {
		m := c.tally.Halves[0].HOverE[i].measures()
		if float64(m.Failures) > failureCap*float64(m.Replicates) || math.IsNaN(m.RMSE.Value) {
			return false
		}
		var missing, all int64
		for _, h := range c.tally.Halves {
			for _, s := range h.Stopping[r.method] {
				missing += s.Failures
				all += s.Failures + s.Answers
			}
		}
		if float64(missing) > dropoutCap*float64(all) {
			return false
		}
	}
	return true
}

// worst returns the cell on which a row's root mean square error is largest,
// over the replicates of one half.
func worst(row, half int, cells []Cell) Cell {
	return slices.MaxFunc(cells, func(a, b Cell) int {
		return cmp.Compare(a.tally.Halves[half].HOverE[row].measures().RMSE.Value,
			b.tally.Halves[half].HOverE[row].measures().RMSE.Value)
	})
}

// choose returns the best of the candidates.
func choose(candidates []int, cells []Cell) Choice {
	if len(candidates) == 0 {
		return Choice{Row: -1}
	}
	error := func(row int) float64 {
		return worst(row, 0, cells).tally.Halves[0].HOverE[row].measures().RMSE.Value
	}
	best := slices.MinFunc(candidates, func(a, b int) int { return cmp.Compare(error(a), error(b)) })
	bad := worst(best, 1, cells)
	c := Choice{
		Row:       best,
		HOverE:    cells[0].tally.Halves[1].HOverE[best].measures(),
		Worst:     bad.tally.Halves[1].HOverE[best].measures(),
		WorstCell: bad.Name,
	}
	rivals := slices.DeleteFunc(slices.Clone(candidates), func(i int) bool { return i == best })
	var ps []float64
	for _, i := range rivals {
		ps = append(ps, worstP(i, best, cells))
	}
	for k, different := range holm(ps, familyLevel) {
		if !different {
			c.Equals = append(c.Equals, rivals[k])
		}
	}
	return c
}

// worstP returns the two-sided p-value of no difference between the worst mean
// squared errors of two rows.
func worstP(i, j int, cells []Cell) float64 {
	a, b := worst(i, 1, cells), worst(j, 1, cells)
	if a.Name == b.Name {
		return a.tally.Halves[1].compare(i, j).p()
	}
	x, y := a.tally.Halves[1].HOverE[i], b.tally.Halves[1].HOverE[j]
	meanX, deviationX := moments(x.Answers, x.X2, x.X4)
	meanY, deviationY := moments(y.Answers, y.X2, y.X4)
	error := math.Hypot(deviationX/math.Sqrt(float64(x.Answers)), deviationY/math.Sqrt(float64(y.Answers)))
	return twoSided(meanX-meanY, error, float64(min(x.Answers, y.Answers)-1))
}

// twoSided returns the two-sided p-value of no difference, one where it cannot be
// told, and zero where there is a difference without error.
func twoSided(difference, standardError, freedom float64) float64 {
	switch {
	case !(freedom >= 1) || difference == 0 || math.IsNaN(difference):
		return 1
	case standardError == 0:
		return 0
	}
	return 2 * distuv.StudentsT{Sigma: 1, Nu: freedom}.CDF(-math.Abs(difference/standardError))
}

// rank orders the rows by their root mean square error, those without one last.
func (t *Tally) rank(rows []Row) []Rank {
	var ranking []Rank
	for i := range rows {
		ranking = append(ranking, Rank{Row: i, Gap: unknown, P: math.NaN()})
	}
	size := func(r Rank) float64 {
		x := rows[r.Row].HOverE.RMSE.Value
		if math.IsNaN(x) {
			return math.Inf(1)
		}
		return x
	}
	slices.SortStableFunc(ranking, func(a, b Rank) int { return cmp.Compare(size(a), size(b)) })
	var ps []float64
	for k := 1; k < len(ranking); k++ {
		var p differences
		for i := range t.Halves {
			p.merge(*t.Halves[i].compare(ranking[k].Row, ranking[k-1].Row))
		}
		gap := p.measure()
		if ranking[k].Row > ranking[k-1].Row {
			gap.Value = -gap.Value
		}
		ranking[k].Gap, ranking[k].P, ranking[k].N = gap, p.p(), p.N
		ps = append(ps, ranking[k].P)
	}
	for k, different := range holm(ps, familyLevel) {
		ranking[k+1].Significant = different
	}
	return ranking
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
