package population

import (
	"fmt"
	"math"
)

// Uniform is a law by which all numbers from Low to High are equally likely.
type Uniform struct {
	// Low is less than High, and both are finite.
	Low, High float64
}

// NewUniform returns the law; the error says what is wrong with its ends.
func NewUniform(low, high float64) (Uniform, error) {
	return Uniform{low, high}, ends(low, high)
}

// ends says what is wrong with the ends of a range.
func ends(low, high float64) error {
	switch {
	case math.IsNaN(low) || math.IsInf(low, 0) || math.IsNaN(high) || math.IsInf(high, 0):
		return fmt.Errorf("the ends are %g and %g; both must be finite", low, high)
	case math.IsInf(high-low, 0):
		return fmt.Errorf("the ends %g and %g are too far apart", low, high)
	case low > high:
		return fmt.Errorf("it is from %g to %g; the lower end comes first", low, high)
	}
	return nil
}

// Quantile returns Low + share (High - Low).
func (u Uniform) Quantile(share float64) float64 {
	return min(u.Low+share*(u.High-u.Low), u.High)
}

// CDF returns the share of the range that is at most x.
func (u Uniform) CDF(x float64) float64 {
	switch {
	case x < u.Low:
		return 0
	case x >= u.High:
		return 1
	}
	return (x - u.Low) / (u.High - u.Low)
}

// Ends returns Low and High.
func (u Uniform) Ends() (low, high float64) { return u.Low, u.High }

// String writes the law.
func (u Uniform) String() string { return "{ uniform = " + list(u.Low, u.High) + " }" }
