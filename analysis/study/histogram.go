package study

import (
	"maps"
	"math"
	"slices"
)

// histogram counts numbers in bins of one width. It holds the bins that are not
// empty, and merges in any order.
type histogram struct {
	// Width is that of a bin.
	Width float64 `json:"width"`
	// Counts are by the index of the bin, whose lower end is index*Width.
	Counts map[int64]int64 `json:"counts"`
}

// outermost is the number of bins to either side beyond which everything
// counts as the last bin.
const outermost = 1_000_000

func newHistogram(width float64) histogram {
	return histogram{Width: width, Counts: make(map[int64]int64)}
}

// add counts a number.
func (h histogram) add(x float64) {
	index := math.Floor(x / h.Width)
	h.Counts[int64(min(max(index, -outermost), outermost))]++
}

// merge adds the counts of another histogram of the same width.
func (h histogram) merge(other histogram) {
	for index, n := range other.Counts {
		h.Counts[index] += n
	}
}

// below returns how many numbers lie below x, those in its bin by their share.
// Whole bins are added as whole numbers, since a map has no order.
func (h histogram) below(x float64) float64 {
	place := x / h.Width
	own := int64(math.Floor(place))
	var n int64
	for index, count := range h.Counts {
		if index < own {
			n += count
		}
	}
	return float64(n) + float64(h.Counts[own])*(place-float64(own))
}

// median returns the number that half of n numbers lie below, to the width of a
// bin.
func (h histogram) median(n int64) float64 {
	var seen float64
	half := float64(n) / 2
	for _, index := range slices.Sorted(maps.Keys(h.Counts)) {
		count := float64(h.Counts[index])
		if seen+count >= half {
			return (float64(index) + (half-seen)/count) * h.Width
		}
		seen += count
	}
	return math.NaN()
}
