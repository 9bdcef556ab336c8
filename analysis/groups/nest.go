package groups

import (
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// A Result is what one group found.
type Result struct {
	// Group and Bench are names.
	Group, Bench string
	// HOverE is in V s, with the uncertainty of the line's scatter.
	HOverE Estimate
}

// A Bench is the mean of the groups that worked at one bench.
type Bench struct {
	Name   string
	Groups int
	// HOverE is in V s, the uncertainty without what makes the benches differ.
	HOverE Estimate
}

// A Term is the mean over all results of a term. Groups are nested in benches:
// those of one bench share its faults, so that the number of benches and not that
// of groups tells how well the mean is known.
type Term struct {
	// Mean is over the benches, in V s. With one bench its uncertainty knows
	// nothing of how benches differ, and OneBench says so.
	Mean     Pool
	OneBench bool
	// Benches are in the order of their names.
	Benches []Bench
	// Within is the root mean square of the groups' own uncertainties,
	// BetweenGroups the standard deviation of groups at one bench beyond that,
	// and BetweenBenches that of benches, all in V s.
	Within, BetweenGroups, BetweenBenches float64
}

// Nest returns the mean of results, two or more.
//
// A line through five points tells its own scatter poorly, and the luckiest group
// would have all the weight; so the squared uncertainty of each is taken half from
// the group and half from the median of all (a judgement).
func Nest(results []Result, between Spread) (Term, error) {
	moderate, err := moderated(results)
	if err != nil {
		return Term{}, err
	}
	byBench := make(map[string][]Estimate)
	var names []string
	var t Term
	for i, r := range results {
		if byBench[r.Bench] == nil {
			names = append(names, r.Bench)
		}
		byBench[r.Bench] = append(byBench[r.Bench], moderate[i])
		t.Within += r.HOverE.U * r.HOverE.U / float64(len(results))
	}
	t.Within = math.Sqrt(t.Within)
	slices.Sort(names)
	variance := withinBenches(byBench)
	t.BetweenGroups = math.Sqrt(variance)
	var means []Estimate
	for _, name := range names {
		groups := byBench[name]
		mean, _ := fixed(groups, variance)
		var sum float64
		for _, e := range groups {
			sum += weight(e, variance)
		}
		means = append(means, Estimate{mean, 1 / math.Sqrt(sum)})
		t.Benches = append(t.Benches, Bench{name, len(groups), means[len(means)-1]})
	}
	if len(means) == 1 {
		t.OneBench = true
		t.Mean, err = Random(byBench[names[0]], between)
		return t, err
	}
	t.Mean, err = Random(means, between)
	t.BetweenBenches = t.Mean.Between
	return t, err
}

// moderated returns the results' estimates with uncertainties that are drawn
// halfway to their median.
func moderated(results []Result) ([]Estimate, error) {
	var all []Estimate
	var variances []float64
	for _, r := range results {
		all = append(all, r.HOverE)
		variances = append(variances, r.HOverE.U*r.HOverE.U)
	}
	if err := checkEstimates(all); err != nil {
		return nil, err
	}
	slices.Sort(variances)
	n := len(variances)
	middle := (variances[(n-1)/2] + variances[n/2]) / 2
	for i := range all {
		all[i].U = math.Sqrt((all[i].U*all[i].U + middle) / 2)
	}
	return all, nil
}

// withinBenches returns the variance between the groups of one bench by the
// moments of DerSimonian and Laird, added up over the benches.
func withinBenches(byBench map[string][]Estimate) float64 {
	var excess, scale float64
	for _, groups := range byBench {
		_, q := fixed(groups, 0)
		var sum, squares float64
		for _, e := range groups {
			w := weight(e, 0)
			sum += w
			squares += w * w
		}
		excess += q - float64(len(groups)-1)
		scale += sum - squares/sum
	}
	if scale <= 0 {
		return 0
	}
	return max(0, excess/scale)
}

// OutlierLevel is the chance that a term without any outlier has one named.
const OutlierLevel = 0.01

// Outliers returns the indexes of results that do not belong to the others: each
// is compared with the mean of the rest, its distance in units of what a further
// result would scatter (its own uncertainty, groups, benches, and the mean's), by
// Student's t with two degrees less than there are results, and Holm's correction
// at OutlierLevel for looking at all. It needs four results or more.
func Outliers(results []Result, between Spread) ([]int, error) {
	if len(results) < 4 {
		return nil, errors.New("three results cannot tell which one does not belong; four or more are needed")
	}
	ps := make([]float64, len(results))
	t := distuv.StudentsT{Sigma: 1, Nu: float64(len(results) - 2)}
	for i, r := range results {
		rest := slices.Delete(slices.Clone(results), i, i+1)
		term, err := Nest(rest, between)
		if err != nil {
			return nil, err
		}
		scatter := math.Hypot(math.Hypot(r.HOverE.U, term.Mean.U), math.Hypot(term.BetweenGroups, term.BetweenBenches))
		ps[i] = 2 * t.CDF(-math.Abs(r.HOverE.Value-term.Mean.Mean)/scatter)
	}
	return smallest(ps, OutlierLevel), nil
}

// smallest returns the indexes of the p-values that stand up to Holm's step-down
// at a family-wise level (S. Holm, Scand. J. Statist. 6, 65 (1979)), rising.
func smallest(ps []float64, level float64) []int {
	order := make([]int, len(ps))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case ps[a] < ps[b]:
			return -1
		case ps[a] > ps[b]:
			return 1
		}
		return 0
	})
	var kept []int
	for k, i := range order {
		if !(ps[i] < level/float64(len(ps)-k)) {
			break
		}
		kept = append(kept, i)
	}
	slices.Sort(kept)
	return kept
}
