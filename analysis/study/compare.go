package study

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"stopvolt/sim"
)

// familyLevel is the chance that any of the comparisons with a recommended row
// calls two equal rows different.
const familyLevel = 0.05

// resampleCount is the number of resamples of the benches, from which a standard
// error is known to a thirtieth.
const resampleCount = 400

// resamples say how often each of some benches is drawn when as many are drawn
// with replacement (B. Efron, Ann. Statist. 7, 1 (1979)). All comparisons of a
// study use the same ones.
type resamples [][]uint16

// newResamples draws those of a number of benches.
func newResamples(benches int, seed uint64) resamples {
	src := rand.New(sim.NewStream(sim.StreamName{Seed: seed, Purpose: "resamples"}))
	r := make(resamples, resampleCount)
	for i := range r {
		r[i] = make([]uint16, benches)
		for range benches {
			r[i][src.IntN(benches)]++
		}
	}
	return r
}

// A paired comparison is of the losses of two rows on the benches where both
// have an answer.
type paired struct {
	// Gap is the median loss of the first less that of the second.
	Gap Measure
	// Benches is the number of benches.
	Benches int
}

// compare compares the losses of two rows by bench, which are NaN where there is
// none, resampling the benches.
func (r resamples) compare(a, b []float64) paired {
	var common []int
	for i := range a {
		if !math.IsNaN(a[i]) && !math.IsNaN(b[i]) {
			common = append(common, i)
		}
	}
	p := paired{Gap: unknown, Benches: len(common)}
	if len(common) < 2 {
		return p
	}
	byA, byB := slices.Clone(common), slices.Clone(common)
	slices.SortStableFunc(byA, func(i, j int) int { return cmp.Compare(a[i], a[j]) })
	slices.SortStableFunc(byB, func(i, j int) int { return cmp.Compare(b[i], b[j]) })
	once := make([]uint16, len(a))
	for _, i := range common {
		once[i] = 1
	}
	p.Gap.Value = medianOf(a, byA, once) - medianOf(b, byB, once)
	var sum, squares float64
	for _, counts := range r {
		d := medianOf(a, byA, counts) - medianOf(b, byB, counts) - p.Gap.Value
		sum += d
		squares += d * d
	}
	n := float64(len(r))
	p.Gap.Error = math.Sqrt(max(squares/n-sum*sum/(n*n), 0))
	return p
}

// medianOf returns the median of numbers that count several times, given their
// rising order.
func medianOf(x []float64, order []int, counts []uint16) float64 {
	var all, seen int
	for _, i := range order {
		all += int(counts[i])
	}
	for k, i := range order {
		seen += int(counts[i])
		if 2*seen > all {
			return x[i]
		}
		if 2*seen == all && seen > 0 {
			for _, next := range order[k+1:] {
				if counts[next] > 0 {
					return (x[i] + x[next]) / 2
				}
			}
		}
	}
	return math.NaN()
}

// p returns the two-sided p-value of no difference.
func (p paired) p() float64 { return twoSided(p.Gap.Value, p.Gap.Error, float64(p.Benches-1)) }

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

// holm says which of the p-values are significant at a family-wise level, by S.
// Holm's step-down procedure, Scand. J. Statist. 6, 65 (1979).
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
