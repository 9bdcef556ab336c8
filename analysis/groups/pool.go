package groups

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// An Estimate is one value of a quantity with its standard uncertainty, both in
// the quantity's unit. U is above zero.
type Estimate struct {
	Value, U float64
}

// A Pool is the mean of a distribution from which estimates come that differ by
// more than their own uncertainties: each is the mean plus a difference of its
// own, of standard deviation Between, plus its error.
type Pool struct {
	// Mean is in the estimates' unit, and U its standard uncertainty.
	Mean, U float64
	// Between is the standard deviation of the true values about their mean.
	Between float64
	// Q is the sum of the squared distances from the mean with the weights
	// 1/U^2, without Between: Cochran's measure of how different they are.
	Q float64
	// Freedom is the number of estimates less one.
	Freedom int
	// Weights are those of the estimates in the mean; they add up to one.
	Weights []float64
}

// A Spread estimates the variance between the true values of estimates.
type Spread func([]Estimate) float64

// Random returns the mean of estimates under the model of random effects, with
// the variance between them by one of DerSimonianLaird, PauleMandel and
// RestrictedLikelihood. The uncertainty is that of G. Knapp and J. Hartung,
// Stat. Med. 22, 2693 (2003), to be taken with Student's t of Freedom degrees,
// and never less than that without their factor. It needs two estimates or more.
func Random(estimates []Estimate, between Spread) (Pool, error) {
	if err := checkEstimates(estimates); err != nil {
		return Pool{}, err
	}
	_, q := fixed(estimates, 0)
	variance := between(estimates)
	mean, spread := fixed(estimates, variance)
	p := Pool{Mean: mean, Between: math.Sqrt(variance), Q: q, Freedom: len(estimates) - 1}
	var sum float64
	for _, e := range estimates {
		sum += weight(e, variance)
	}
	for _, e := range estimates {
		p.Weights = append(p.Weights, weight(e, variance)/sum)
	}
	factor := max(spread/float64(p.Freedom), 1)
	p.U = math.Sqrt(factor / sum)
	return p, nil
}

// Interval returns the interval of the mean at a level such as 0.95.
func (p Pool) Interval(level float64) (low, high float64) {
	t := distuv.StudentsT{Sigma: 1, Nu: float64(p.Freedom)}
	half := t.Quantile((1+level)/2) * p.U
	return p.Mean - half, p.Mean + half
}

// checkEstimates says what keeps estimates from being pooled.
func checkEstimates(estimates []Estimate) error {
	if len(estimates) < 2 {
		return errors.New("one result alone has nothing to be pooled with; two or more are needed")
	}
	for i, e := range estimates {
		if !(e.U > 0) || math.IsInf(e.U, 0) || math.IsNaN(e.Value) || math.IsInf(e.Value, 0) {
			return fmt.Errorf("result %d is %v with uncertainty %v; both must be finite, and the uncertainty above zero", i+1, e.Value, e.U)
		}
	}
	return nil
}

// weight returns that of an estimate for a variance between them.
func weight(e Estimate, variance float64) float64 { return 1 / (e.U*e.U + variance) }

// fixed returns the weighted mean for a variance between the estimates, and the
// weighted sum of squares about it.
func fixed(estimates []Estimate, variance float64) (mean, squares float64) {
	var sum float64
	for _, e := range estimates {
		w := weight(e, variance)
		sum += w
		mean += w * e.Value
	}
	mean /= sum
	for _, e := range estimates {
		d := e.Value - mean
		squares += weight(e, variance) * d * d
	}
	return mean, squares
}

// DerSimonianLaird returns the variance between estimates by moments (R.
// DerSimonian and N. Laird, Control. Clin. Trials 7, 177 (1986), eq. 8).
func DerSimonianLaird(estimates []Estimate) float64 {
	_, q := fixed(estimates, 0)
	var sum, squares float64
	for _, e := range estimates {
		w := weight(e, 0)
		sum += w
		squares += w * w
	}
	return max(0, (q-float64(len(estimates)-1))/(sum-squares/sum))
}

// PauleMandel returns the variance between estimates for which their weighted
// squares about the mean add up to what is expected of them, their number less
// one (R. C. Paule and J. Mandel, J. Res. Natl. Bur. Stand. 87, 377 (1982)).
func PauleMandel(estimates []Estimate) float64 {
	wanted := float64(len(estimates) - 1)
	if _, q := fixed(estimates, 0); q <= wanted {
		return 0
	}
	return bisect(func(variance float64) float64 {
		_, q := fixed(estimates, variance)
		return q - wanted
	}, highest(estimates))
}

// RestrictedLikelihood returns the variance between estimates that is most
// likely given their differences (D. A. Harville, J. Am. Stat. Assoc. 72, 320
// (1977)): the root of the slope of the restricted likelihood.
func RestrictedLikelihood(estimates []Estimate) float64 {
	slope := func(variance float64) float64 {
		mean, _ := fixed(estimates, variance)
		var sum, squares, pull float64
		for _, e := range estimates {
			w := weight(e, variance)
			d := e.Value - mean
			sum += w
			squares += w * w
			pull += w * w * d * d
		}
		return pull - sum + squares/sum
	}
	if slope(0) <= 0 {
		return 0
	}
	return bisect(slope, highest(estimates))
}

// highest returns a variance that is above any that estimates can show: the
// square of their whole spread and of their uncertainties, with room.
func highest(estimates []Estimate) float64 {
	low, high := estimates[0].Value, estimates[0].Value
	var variance float64
	for _, e := range estimates {
		low, high = min(low, e.Value), max(high, e.Value)
		variance = max(variance, e.U*e.U)
	}
	return 4*(high-low)*(high-low) + variance
}

// bisect returns the root of a function that is above zero at zero and falls to
// below zero before high.
func bisect(f func(float64) float64, high float64) float64 {
	low := 0.0
	for range 200 {
		middle := low + (high-low)/2
		if middle == low || middle == high {
			break
		}
		if f(middle) > 0 {
			low = middle
		} else {
			high = middle
		}
	}
	return low + (high-low)/2
}
