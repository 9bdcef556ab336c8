package study

import "math"

// along switches players on in an order and returns what each adds to the value
// of those before it; the sum is the value of all less that of none. It is false
// where a value on the way is NaN.
func along(order []int, value func(on []bool) float64) (added []float64, ok bool) {
	added = make([]float64, len(order))
	on := make([]bool, len(order))
	before := value(on)
	if math.IsNaN(before) {
		return nil, false
	}
	for _, player := range order {
		on[player] = true
		after := value(on)
		added[player] = after - before
		before = after
		if math.IsNaN(added[player]) {
			return nil, false
		}
	}
	return added, true
}

// fairShares returns what each player adds on the mean of an order and its
// reverse, of which one that meets a value of NaN is left out, and how many are
// kept. Over random orders the mean is L. S. Shapley's value (Contributions to
// the Theory of Games II (1953), 307); an order with its reverse scatters less
// than two orders.
func fairShares(order []int, value func(on []bool) float64) (shares []float64, kept int) {
	reverse := make([]int, len(order))
	for i, player := range order {
		reverse[len(order)-1-i] = player
	}
	shares = make([]float64, len(order))
	for _, way := range [][]int{order, reverse} {
		added, ok := along(way, value)
		if !ok {
			continue
		}
		kept++
		for i, x := range added {
			shares[i] += x
		}
	}
	for i := range shares {
		shares[i] /= float64(kept)
	}
	return shares, kept
}
