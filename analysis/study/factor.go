package study

import (
	"math"
	"slices"
)

// A Factor is what the h/e that a method reads has to be multiplied by to come
// to the truth: true over read, over the benches of a population. It holds the
// scatter of the readings too, so that a line's own uncertainty is not to be
// added.
type Factor struct {
	// Median is the factor to use.
	Median float64
	// Low and High are the ends of the 95 % range, and LikelyLow and LikelyHigh
	// those of the range that holds two thirds of the benches. A range is NaN at
	// both ends where there are too few benches to tell, and its upper end is
	// infinite where too many readings are of zero or of the wrong sign.
	Low, High             float64
	LikelyLow, LikelyHigh float64
	// Benches is the number of benches that it rests on.
	Benches int
}

// The shares of benches that the ranges of a Factor hold.
const (
	stated = 0.95
	likely = 2. / 3
)

// Calibrate returns the factor of benches whose truth is known, given the
// ratios of the h/e that was read to the true one, bench by bench, of the
// experiments that gave one.
//
// The ranks are those by which the range holds a further bench of the same
// population with the stated chance or a little more, whatever its law is (V.
// Vovk, A. Gammerman and G. Shafer, Algorithmic Learning in a Random World
// (2005), section 2.2): of n benches the k-th from either end, k = (n + 1) times
// half of the chance to miss, rounded down. The experiments of one bench share
// its weight (R. Dunn, L. Wasserman and A. Ramdas, J. Am. Stat. Assoc. 118, 2491
// (2023), section 3.1). Below 39 benches there is no rank for 95 %.
func Calibrate(benches [][]float64) Factor {
	read := weigh(benches)
	f := Factor{Benches: read.benches, Median: math.NaN(), Low: math.NaN(), High: math.NaN(), LikelyLow: math.NaN(), LikelyHigh: math.NaN()}
	if read.benches == 0 {
		return f
	}
	f.Median = inverseRatio(read.median())
	f.LikelyHigh, f.LikelyLow = read.inverseRange(likely)
	f.High, f.Low = read.inverseRange(stated)
	return f
}

// inverseRatio returns true over read from read over true: infinite for an h/e
// that was read as zero or less, which no factor corrects.
func inverseRatio(ratio float64) float64 {
	if ratio <= 0 {
		return math.Inf(1)
	}
	return 1 / ratio
}

// Holds reports whether an h/e that was read as a ratio of the true one lies,
// corrected, within the 95 % range.
func (f Factor) Holds(ratio float64) bool {
	factor := inverseRatio(ratio)
	return f.Low <= factor && factor <= f.High && ratio > 0
}

// HalfWidth is half the width of the 95 % range over the factor.
func (f Factor) HalfWidth() float64 { return (f.High - f.Low) / (2 * f.Median) }

// A weighed is a number of numbers from benches, each bench of weight one.
type weighed struct {
	values, weights []float64
	benches         int
}

// weigh sorts the numbers of benches. Benches without any do not count.
func weigh(benches [][]float64) weighed {
	var w weighed
	type entry struct{ value, weight float64 }
	var all []entry
	for _, bench := range benches {
		if len(bench) > 0 {
			w.benches++
		}
		for _, x := range bench {
			all = append(all, entry{x, 1 / float64(len(bench))})
		}
	}
	slices.SortFunc(all, func(a, b entry) int {
		switch {
		case a.value < b.value:
			return -1
		case a.value > b.value:
			return 1
		}
		return 0
	})
	for _, e := range all {
		w.values = append(w.values, e.value)
		w.weights = append(w.weights, e.weight)
	}
	return w
}

// median returns the number at which half of the weight is reached.
func (w weighed) median() float64 {
	var sum float64
	half := float64(w.benches) / 2
	for i, x := range w.values {
		if sum += w.weights[i]; sum > half {
			return x
		}
		if sum == half && i+1 < len(w.values) {
			return (x + w.values[i+1]) / 2
		}
	}
	return math.NaN()
}

// inverseRange returns the reciprocals of the two numbers between which a
// further bench's lies with a chance, NaN for too few benches.
func (w weighed) inverseRange(chance float64) (high, low float64) {
	rank := math.Floor((1 - chance) / 2 * float64(w.benches+1) * (1 + 1e-12))
	if rank < 1 {
		return math.NaN(), math.NaN()
	}
	var fromBelow, fromAbove float64
	for i := 0; ; i++ {
		if fromBelow += w.weights[i]; fromBelow >= rank {
			high = inverseRatio(w.values[i])
			break
		}
	}
	for i := len(w.values) - 1; ; i-- {
		if fromAbove += w.weights[i]; fromAbove >= rank {
			return high, inverseRatio(w.values[i])
		}
	}
}
