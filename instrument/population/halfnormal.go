package population

import "math"

// HalfNormal is the law of the size of a number that is normal about zero.
type HalfNormal struct {
	// SD is the standard deviation of that number, finite and above zero. The
	// median is 0.674 of it.
	SD float64
}

// NewHalfNormal returns the law; the error says what is wrong with its number.
func NewHalfNormal(sd float64) (HalfNormal, error) { return HalfNormal{sd}, deviation(sd) }

// Quantile returns SD sqrt(2) erfinv(share).
func (h HalfNormal) Quantile(share float64) float64 { return h.SD * math.Sqrt2 * math.Erfinv(share) }

// CDF returns erf(x/(SD sqrt(2))), and 0 below zero.
func (h HalfNormal) CDF(x float64) float64 { return max(math.Erf(x/(h.SD*math.Sqrt2)), 0) }

// Ends returns zero and infinity.
func (h HalfNormal) Ends() (low, high float64) { return 0, math.Inf(1) }

// String writes the law.
func (h HalfNormal) String() string { return "{ half_normal = " + number(h.SD) + " }" }
