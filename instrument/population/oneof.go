package population

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// OneOf is a law of single numbers, or of words, which are counted from zero.
// Make it by NewOneOf or OneWordOf.
type OneOf struct {
	// Numbers rise, and each has its weight.
	Numbers, Weights []float64
	// Words are those that the numbers count; nil where the numbers are meant.
	Words []string
}

// NewOneOf returns the law of some numbers. Without weights all are equally
// likely.
func NewOneOf(numbers, weights []float64) (OneOf, error) {
	if len(numbers) == 0 {
		return OneOf{}, fmt.Errorf("there is nothing to choose from")
	}
	for _, x := range numbers {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return OneOf{}, fmt.Errorf("%g is among the numbers; each must be finite", x)
		}
	}
	if err := checkWeights(weights, len(numbers)); err != nil {
		return OneOf{}, err
	}
	order := make([]int, len(numbers))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		if numbers[i] < numbers[j] {
			return -1
		}
		if numbers[i] > numbers[j] {
			return 1
		}
		return 0
	})
	var o OneOf
	for _, i := range order {
		weight := 1.0
		if weights != nil {
			weight = weights[i]
		}
		o.Numbers = append(o.Numbers, numbers[i])
		o.Weights = append(o.Weights, weight)
	}
	return o, nil
}

// OneWordOf returns the law of some words. Without weights all are equally
// likely.
func OneWordOf(words []string, weights []float64) (OneOf, error) {
	numbers := make([]float64, len(words))
	for i := range numbers {
		numbers[i] = float64(i)
	}
	o, err := NewOneOf(numbers, weights)
	o.Words = words
	return o, err
}

// within returns the law of the numbers within limits.
func (o OneOf) within(low, high float64) (Law, error) {
	var kept OneOf
	for i, x := range o.Numbers {
		if x >= low && x <= high {
			kept.Numbers = append(kept.Numbers, x)
			kept.Weights = append(kept.Weights, o.Weights[i])
		}
	}
	if len(kept.Numbers) == 0 {
		return nil, fmt.Errorf("none of its numbers lies from %g to %g", low, high)
	}
	return kept, checkWeights(kept.Weights, len(kept.Numbers))
}

// Quantile returns the number in whose share of the weights the share falls.
func (o OneOf) Quantile(share float64) float64 {
	i, _ := pick(o.Weights, share)
	return o.Numbers[i]
}

// CDF returns the share of the weights of numbers that are at most x.
func (o OneOf) CDF(x float64) float64 {
	var below, sum float64
	for i, w := range o.Weights {
		sum += w
		if o.Numbers[i] <= x {
			below += w
		}
	}
	return below / sum
}

// Ends returns the least and the greatest number.
func (o OneOf) Ends() (low, high float64) { return o.Numbers[0], o.Numbers[len(o.Numbers)-1] }

// String writes the law.
func (o OneOf) String() string {
	entries := list(o.Numbers...)
	if o.Words != nil {
		quoted := make([]string, len(o.Words))
		for i, w := range o.Words {
			quoted[i] = strconv.Quote(w)
		}
		entries = "[" + strings.Join(quoted, ", ") + "]"
	}
	text := "{ one_of = " + entries
	for _, w := range o.Weights {
		if w != o.Weights[0] {
			text += ", weights = " + list(o.Weights...)
			break
		}
	}
	return text + " }"
}
