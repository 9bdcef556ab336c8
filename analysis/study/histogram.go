package study

import (
	"fmt"
	"maps"
	"math"
	"slices"
)

// histogram counts numbers in bins that are narrow about zero and widen in
// proportion to the number beyond, so that errors of a thousandth and of a
// hundredfold find room in a few thousand bins. It holds those that are not
// empty, by their index, and merges in any order.
type histogram map[int64]int64

// A bin of index i begins at binCentre*sinh(i*binStep): a two-thousandth of a
// thousandth wide about zero, and far out a five-hundredth of its number.
const (
	binCentre = 1e-3
	binStep   = 1. / 512
)

// outermost is the index beyond which no number below mostOff can be.
var outermost = place(mostOff)

// place returns the index of the bin of a number.
func place(x float64) int64 { return int64(math.Floor(math.Asinh(x/binCentre) / binStep)) }

// edge returns where a bin begins.
func edge(index int64) float64 { return binCentre * math.Sinh(float64(index)*binStep) }

// add counts a number.
func (h histogram) add(x float64) { h[place(x)]++ }

// merge adds the counts of another histogram.
func (h histogram) merge(other histogram) {
	for index, n := range other {
		h[index] += n
	}
}

// below returns how many numbers lie below x, those in its bin by their share.
// Whole bins are added as whole numbers, since a map has no order.
func (h histogram) below(x float64) float64 {
	own := place(x)
	var n int64
	for index, count := range h {
		if index < own {
			n += count
		}
	}
	low, high := edge(own), edge(own+1)
	return float64(n) + float64(h[own])*min(max((x-low)/(high-low), 0), 1)
}

// quantile returns the number that a share of all numbers lie below, to the
// width of a bin; NaN where there are none.
func (h histogram) quantile(share float64) float64 {
	var all int64
	for _, count := range h {
		all += count
	}
	var seen float64
	wanted := share * float64(all)
	for _, index := range slices.Sorted(maps.Keys(h)) {
		count := float64(h[index])
		if seen+count >= wanted {
			low, high := edge(index), edge(index+1)
			return low + (high-low)*max(wanted-seen, 0)/count
		}
		seen += count
	}
	return math.NaN()
}

// folded returns the histogram of the sizes of the numbers.
func (h histogram) folded() histogram {
	sizes := make(histogram, len(h))
	for index, count := range h {
		if index < 0 {
			// The bins are symmetric about zero, where one begins.
			index = -1 - index
		}
		sizes[index] += count
	}
	return sizes
}

// check says what cannot be in a histogram of n numbers.
func (h histogram) check(n int64) error {
	if h == nil {
		return fmt.Errorf("a histogram is missing")
	}
	var sum int64
	for index, count := range h {
		// The ends of an interval lie up to twice as far out as an error.
		if count < 1 || count > n || index < -2*outermost || index > 2*outermost {
			return fmt.Errorf("a histogram has %d in bin %d", count, index)
		}
		if sum += count; sum > n {
			break
		}
	}
	if sum != n {
		return fmt.Errorf("a histogram does not hold as many numbers as there are answers, %d", n)
	}
	return nil
}
