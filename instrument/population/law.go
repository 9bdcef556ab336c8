package population

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// A Law is a distribution of one number.
type Law interface {
	// Quantile returns the number below which a share, above 0 and below 1,
	// of all numbers lies. It rises with the share.
	Quantile(share float64) float64
	// CDF returns the share of the numbers that are at most x.
	CDF(x float64) float64
	// Ends returns the least and the greatest number, which may be infinite.
	Ends() (low, high float64)
	// String writes the law as a scenario has it.
	String() string
}

// Constant is the law of a number that is known.
type Constant float64

// Quantile returns the number.
func (c Constant) Quantile(float64) float64 { return float64(c) }

// CDF returns 1 from the number on and 0 below.
func (c Constant) CDF(x float64) float64 {
	if x < float64(c) {
		return 0
	}
	return 1
}

// Ends returns the number twice.
func (c Constant) Ends() (low, high float64) { return float64(c), float64(c) }

// String writes the number.
func (c Constant) String() string { return number(float64(c)) }

// Cut is a law within limits: what lies beyond them is left out and the rest
// keeps its proportions. Make it by Within.
type Cut struct {
	// Law is the one that is cut.
	Law
	// Low and High are the limits.
	Low, High float64

	below, share float64
}

// leastShare is the share of a law's numbers that must lie within its limits. A
// law of which less does is a slip.
const leastShare = 1e-3

// Within returns a law cut to limits, and the law itself where they cut nothing
// off. The error says that too little is left.
func Within(l Law, low, high float64) (Law, error) {
	if first, last := l.Ends(); first >= low && last <= high {
		return l, nil
	}
	if m, ok := l.(Mixture); ok {
		return m.within(low, high)
	}
	if o, ok := l.(OneOf); ok {
		return o.within(low, high)
	}
	c := Cut{Law: l, Low: low, High: high, below: l.CDF(low)}
	c.share = l.CDF(high) - c.below
	if !(c.share >= leastShare) {
		return nil, fmt.Errorf("only %.2g of its numbers lie from %g to %g", c.share, low, high)
	}
	return c, nil
}

// Quantile returns that of what is left.
func (c Cut) Quantile(share float64) float64 {
	return min(max(c.Law.Quantile(c.below+share*c.share), c.Low), c.High)
}

// CDF returns that of what is left.
func (c Cut) CDF(x float64) float64 {
	return min(max((c.Law.CDF(x)-c.below)/c.share, 0), 1)
}

// Ends returns the limits, or the law's own ends where those are narrower.
func (c Cut) Ends() (low, high float64) {
	low, high = c.Law.Ends()
	return max(low, c.Low), min(high, c.High)
}

// String writes the law with its limits.
func (c Cut) String() string {
	text := strings.TrimSuffix(c.Law.String(), " }")
	first, last := c.Law.Ends()
	if c.Low > first {
		text += ", at_least = " + number(c.Low)
	}
	if c.High < last {
		text += ", at_most = " + number(c.High)
	}
	return text + " }"
}

// number writes a number as TOML has it.
func number(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

// list writes numbers as TOML has them.
func list(numbers ...float64) string {
	words := make([]string, len(numbers))
	for i, x := range numbers {
		words[i] = number(x)
	}
	return "[" + strings.Join(words, ", ") + "]"
}

// inverse returns the least x, to within rounding, at which a rising share of
// the law's numbers has reached the one asked for.
func inverse(cdf func(float64) float64, low, high, share float64) float64 {
	for range 200 {
		middle := low + (high-low)/2
		if middle <= low || middle >= high {
			break
		}
		if cdf(middle) < share {
			low = middle
		} else {
			high = middle
		}
	}
	return high
}

// pick returns the index of the entry in which a share falls, where weights
// follow one another, and the place within that entry, from 0 to 1.
func pick(weights []float64, share float64) (index int, within float64) {
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	rest := share * sum
	last := 0
	for i, w := range weights {
		if w == 0 {
			continue
		}
		if rest < w {
			return i, rest / w
		}
		rest -= w
		last = i
	}
	return last, math.Nextafter(1, 0)
}

// checkWeights says what is wrong with weights of a number of entries; no weights
// are equal ones.
func checkWeights(weights []float64, entries int) error {
	if weights == nil {
		return nil
	}
	if len(weights) != entries {
		return fmt.Errorf("there are %d weights for %d entries", len(weights), entries)
	}
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	if slices.ContainsFunc(weights, func(w float64) bool { return !(w >= 0) }) || !(sum > 0) || math.IsInf(sum, 0) {
		return fmt.Errorf("the weights are %v; they must be finite, none below zero, and one above", weights)
	}
	return nil
}
