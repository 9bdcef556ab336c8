package population

import (
	"fmt"
	"math"
)

// LogUniform is a law by which the logarithm of the number is uniform: each
// factor is as likely wherever it lies.
type LogUniform struct {
	// Low is above zero and at most High, which is finite.
	Low, High float64
}

// NewLogUniform returns the law; the error says what is wrong with its ends.
func NewLogUniform(low, high float64) (LogUniform, error) {
	err := ends(low, high)
	if err == nil && !(low > 0) {
		err = fmt.Errorf("the lower end is %g; a logarithmic law needs one above zero", low)
	}
	return LogUniform{low, high}, err
}

// Quantile returns Low (High/Low)^share.
func (l LogUniform) Quantile(share float64) float64 {
	x := math.Exp(math.Log(l.Low) + share*(math.Log(l.High)-math.Log(l.Low)))
	return min(max(x, l.Low), l.High)
}

// CDF returns log(x/Low)/log(High/Low).
func (l LogUniform) CDF(x float64) float64 {
	switch {
	case x < l.Low:
		return 0
	case x >= l.High:
		return 1
	}
	return (math.Log(x) - math.Log(l.Low)) / (math.Log(l.High) - math.Log(l.Low))
}

// Ends returns Low and High.
func (l LogUniform) Ends() (low, high float64) { return l.Low, l.High }

// String writes the law.
func (l LogUniform) String() string { return "{ log_uniform = " + list(l.Low, l.High) + " }" }
