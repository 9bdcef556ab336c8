package study

import (
	"math"
	"math/big"
)

// A clustered sum is over experiments that come in benches of two. Those of one
// bench are alike, so that what counts for a standard error is the sum of each
// bench. It merges in any order to the last bit.
type clustered struct {
	// All is over all values, and Both over those in benches that have two.
	All  Sum `json:"all"`
	Both Sum `json:"both"`
	// Squares is over benches, of the square of the bench's own sum.
	Squares Sum `json:"squares"`
}

// add counts the values of one bench, one or two of them.
func (c *clustered) add(values []float64) {
	var sum float64
	for _, x := range values {
		c.All.Add(x)
		if len(values) == 2 {
			c.Both.Add(x)
		}
		sum += x
	}
	c.Squares.Add(sum * sum)
}

// merge adds another sum of the same quantity.
func (c *clustered) merge(other clustered) {
	c.All.Merge(other.All)
	c.Both.Merge(other.Both)
	c.Squares.Merge(other.Squares)
}

// mean returns the mean of n values, of which the benches with two of them are
// both in number, with its standard error: that of a ratio of two sums over
// benches (W. G. Cochran, Sampling Techniques, 3rd ed. (1977), eq. 6.13, for a
// population without end). For benches of one value it is the standard deviation
// over the root of n.
func (c clustered) mean(n, both int64) Measure {
	if n == 0 {
		return unknown
	}
	m := Measure{Value: c.All.Float() / float64(n), Error: math.NaN()}
	benches := n - both
	if benches < 2 {
		return m
	}
	// The sum over benches of (sum - mean*count)^2, times n^2, is exact.
	count := big.NewInt(n)
	sum := c.All.units()
	total := new(big.Int).Lsh(c.Squares.units(), -unitExponent)
	total.Mul(total, count).Mul(total, count)
	// Over benches of two, sum times count is twice the sum.
	cross := new(big.Int).Add(c.Both.units(), sum)
	cross.Mul(cross, sum).Mul(cross, count)
	total.Sub(total, cross.Lsh(cross, 1))
	squares := new(big.Int).Mul(sum, sum)
	total.Add(total, squares.Mul(squares, big.NewInt(n+2*both)))
	if total.Sign() <= 0 {
		// Rounding of the terms may leave less than nothing.
		m.Error = 0
		return m
	}
	spread := math.Sqrt(float(total, 2*unitExponent)) / float64(n)
	m.Error = spread / float64(n) * math.Sqrt(float64(benches)/float64(benches-1))
	return m
}

// counted is a clustered sum of ones and zeros.
type counted struct {
	// All, Both and Squares are those of clustered.
	All     int64 `json:"all"`
	Both    int64 `json:"both"`
	Squares int64 `json:"squares"`
}

// add counts how many of one bench's values are ones.
func (c *counted) add(ones, values int64) {
	c.All += ones
	if values == 2 {
		c.Both += ones
	}
	c.Squares += ones * ones
}

// merge adds other counts of the same quantity.
func (c *counted) merge(other counted) {
	c.All += other.All
	c.Both += other.Both
	c.Squares += other.Squares
}

// fraction returns the share of ones of n values, of which the benches with two
// of them are both in number. Its standard error is that of a ratio of two sums
// over benches; for benches of one value it is binomial.
func (c counted) fraction(n, both int64) Measure {
	if n == 0 {
		return unknown
	}
	p := float64(c.All) / float64(n)
	variance := float64(c.Squares) - 2*p*float64(c.All+c.Both) + p*p*float64(n+2*both)
	return Measure{p, math.Sqrt(max(variance, 0)) / float64(n)}
}
