package population

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Normal is the law of errors with many small causes.
type Normal struct {
	// Mean is finite, and SD, the standard deviation, finite and above zero.
	Mean, SD float64
}

// NewNormal returns the law; the error says what is wrong with its numbers.
func NewNormal(mean, sd float64) (Normal, error) {
	n := Normal{mean, sd}
	if math.IsNaN(mean) || math.IsInf(mean, 0) {
		return n, fmt.Errorf("the mean is %g; it must be finite", mean)
	}
	return n, deviation(sd)
}

// deviation says what is wrong with a standard deviation.
func deviation(sd float64) error {
	if !(sd > 0) || math.IsInf(sd, 0) {
		return fmt.Errorf("the standard deviation is %g; it must be finite and above zero", sd)
	}
	return nil
}

// Quantile returns Mean + SD z, with z that of the standard normal law. The
// standard library's inverse error function would lose the lower tail.
func (n Normal) Quantile(share float64) float64 {
	return n.Mean + n.SD*mathext.NormalQuantile(share)
}

// CDF returns erfc((Mean - x)/(SD sqrt(2)))/2.
func (n Normal) CDF(x float64) float64 {
	return math.Erfc((n.Mean-x)/(n.SD*math.Sqrt2)) / 2
}

// Ends returns the infinities.
func (n Normal) Ends() (low, high float64) { return math.Inf(-1), math.Inf(1) }

// String writes the law.
func (n Normal) String() string { return "{ normal = " + list(n.Mean, n.SD) + " }" }
