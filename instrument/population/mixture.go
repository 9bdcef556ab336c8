package population

import (
	"fmt"
	"strings"
)

// Mixture is a law of several parts, each with its weight. Make it by
// NewMixture.
type Mixture struct {
	// Parts are laws, and each has its weight.
	Parts   []Law
	Weights []float64

	// apart says that each part begins where the one before it has ended, so
	// that the quantile needs no search.
	apart bool
}

// NewMixture returns the law of some parts. Without weights all are equally
// likely.
func NewMixture(parts []Law, weights []float64) (Mixture, error) {
	if len(parts) == 0 {
		return Mixture{}, fmt.Errorf("a mixture has no parts")
	}
	if err := checkWeights(weights, len(parts)); err != nil {
		return Mixture{}, err
	}
	m := Mixture{Parts: parts, Weights: weights, apart: true}
	if weights == nil {
		m.Weights = make([]float64, len(parts))
		for i := range m.Weights {
			m.Weights[i] = 1
		}
	}
	for i := range parts[1:] {
		_, before := parts[i].Ends()
		after, _ := parts[i+1].Ends()
		m.apart = m.apart && before <= after
	}
	return m, nil
}

// within returns the mixture of what lies within limits.
func (m Mixture) within(low, high float64) (Law, error) {
	var parts []Law
	var weights []float64
	for i, part := range m.Parts {
		first, last := part.Ends()
		inside := part.CDF(high) - part.CDF(low)
		if first >= low {
			inside = part.CDF(high)
		}
		if inside <= 0 || last < low || first > high {
			continue
		}
		kept, err := Within(part, low, high)
		if err != nil {
			continue
		}
		parts = append(parts, kept)
		weights = append(weights, m.Weights[i]*inside)
	}
	if len(parts) == 0 {
		return nil, fmt.Errorf("none of its parts lies from %g to %g", low, high)
	}
	return NewMixture(parts, weights)
}

// Quantile returns the least number that the share of all numbers does not
// exceed.
func (m Mixture) Quantile(share float64) float64 {
	if m.apart {
		i, within := pick(m.Weights, share)
		if within == 0 {
			low, _ := m.Parts[i].Ends()
			return low
		}
		return m.Parts[i].Quantile(within)
	}
	low, high := m.Parts[0].Quantile(share), m.Parts[0].Quantile(share)
	for _, part := range m.Parts[1:] {
		x := part.Quantile(share)
		low, high = min(low, x), max(high, x)
	}
	if m.CDF(low) >= share {
		return low
	}
	return inverse(m.CDF, low, high, share)
}

// CDF returns the weighted mean of those of the parts.
func (m Mixture) CDF(x float64) float64 {
	var below, sum float64
	for i, w := range m.Weights {
		sum += w
		below += w * m.Parts[i].CDF(x)
	}
	return below / sum
}

// Ends returns the ends of all parts together.
func (m Mixture) Ends() (low, high float64) {
	low, high = m.Parts[0].Ends()
	for _, part := range m.Parts[1:] {
		first, last := part.Ends()
		low, high = min(low, first), max(high, last)
	}
	return low, high
}

// String writes the law.
func (m Mixture) String() string {
	parts := make([]string, len(m.Parts))
	for i, part := range m.Parts {
		inner := part.String()
		if c, ok := part.(Constant); ok {
			inner = "{ one_of = [" + c.String() + "] }"
		}
		parts[i] = "{ weight = " + number(m.Weights[i]) + "," + strings.TrimPrefix(inner, "{")
	}
	return "{ mixture = [" + strings.Join(parts, ", ") + "] }"
}
