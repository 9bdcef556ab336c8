package sim

// alias chooses one of several cells with given weights in constant time
// (A. J. Walker, ACM Trans. Math. Software 3, 253 (1977)). Row i is chosen
// uniformly; a further uniform number v then decides between the row's own cell
// and its donor, and what is left of v is uniform again.
type aliasRow struct {
	// keep is the probability of the row's own cell.
	keep        float64
	own, second int
}

// newAlias returns the rows for the weights, which must be finite, not negative
// and not all zero (M. D. Vose, IEEE Trans. Software Eng. 17, 972 (1991)).
func newAlias(weights []float64) []aliasRow {
	var sum float64
	for _, w := range weights {
		sum += w
	}
	n := len(weights)
	rows := make([]aliasRow, n)
	scaled := make([]float64, n)
	var small, large []int
	for i, w := range weights {
		rows[i] = aliasRow{keep: 1, own: i, second: i}
		scaled[i] = w / sum * float64(n)
		if scaled[i] < 1 {
			small = append(small, i)
		} else {
			large = append(large, i)
		}
	}
	for len(small) > 0 && len(large) > 0 {
		poor, rich := small[len(small)-1], large[len(large)-1]
		small = small[:len(small)-1]
		rows[poor].keep, rows[poor].second = scaled[poor], rich
		scaled[rich] -= 1 - scaled[poor]
		if scaled[rich] < 1 {
			large = large[:len(large)-1]
			small = append(small, rich)
		}
	}
	return rows
}
