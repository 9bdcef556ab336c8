package study

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
)

// A Measure is an estimate with its Monte Carlo standard error, that is, the
// standard deviation it would have if the study were repeated with other seeds.
// Both are NaN where there are too few replicates to tell.
type Measure struct {
	Value, Error float64
}

// Measures are the performance of an estimator over replicates, as defined with
// their standard errors by T. P. Morris, I. R. White and M. J. Crowther, Stat.
// Med. 38, 2074 (2019), table 6. All but the counts and coverages are relative
// to the truth.
type Measures struct {
	// Replicates is the number of experiments, and Failures how many gave no
	// finite estimate with a finite uncertainty. The other measures are over
	// those that did.
	Replicates, Failures int
	// Bias is the mean error, and MedianBias the median error with the
	// standard error of a median of normal errors.
	Bias, MedianBias Measure
	// EmpiricalSE is the standard deviation of the estimates.
	EmpiricalSE Measure
	// RMSE is the root of the mean squared error.
	RMSE Measure
	// MeanU is the root of the mean squared stated uncertainty, and UError its
	// relative error: how much of the empirical standard error it misses.
	MeanU, UError Measure
	// Coverage is the fraction of stated 95 % intervals that hold the truth,
	// CoverageOfAll that with failures counted as misses, and CoverageOfMean
	// the fraction that hold the mean estimate, which a bias does not spoil.
	Coverage, CoverageOfAll, CoverageOfMean Measure
}

// FailureCount returns the number of failures with its standard error, that of
// a binomial count.
func (m Measures) FailureCount() Measure {
	f := fraction(m.Failures, m.Replicates)
	n := float64(m.Replicates)
	return Measure{f.Value * n, f.Error * n}
}

// An Estimate is the outcome of one replicate.
type Estimate struct {
	// Value and U are the estimate and its standard uncertainty, NaN for a
	// failure.
	Value, U float64
	// Factor is the number of standard uncertainties on either side that make
	// a 95 % interval.
	Factor float64
}

// ok reports whether there is an answer.
func (e Estimate) ok() bool {
	return !math.IsNaN(e.Value-e.Value) && !math.IsNaN(e.U-e.U) && !math.IsNaN(e.Factor-e.Factor)
}

// holds reports whether the 95 % interval holds a value.
func (e Estimate) holds(value float64) bool { return math.Abs(e.Value-value) <= e.Factor*e.U }

// Summarise returns the performance of estimates of a truth that is not zero, in
// units of the truth's magnitude.
func Summarise(estimates []Estimate, truth float64) Measures {
	var errors, squares, uSquares []float64
	var holdTruth int
	scale := math.Abs(truth)
	for _, e := range estimates {
		if !e.ok() {
			continue
		}
		x := (e.Value - truth) / scale
		errors = append(errors, x)
		squares = append(squares, x*x)
		uSquares = append(uSquares, e.U*e.U/(scale*scale))
		if e.holds(truth) {
			holdTruth++
		}
	}
	m := Measures{Replicates: len(estimates), Failures: len(estimates) - len(errors)}
	m.CoverageOfAll = fraction(holdTruth, len(estimates))
	m.Coverage = fraction(holdTruth, len(errors))
	m.location(errors)
	m.spread(errors, squares, uSquares)
	mean := truth + m.Bias.Value*scale
	var holdMean int
	for _, e := range estimates {
		if e.ok() && e.holds(mean) {
			holdMean++
		}
	}
	m.CoverageOfMean = fraction(holdMean, len(errors))
	return m
}

// location fills the biases.
func (m *Measures) location(errors []float64) {
	n := float64(len(errors))
	if n == 0 {
		m.Bias, m.MedianBias = unknown, unknown
		return
	}
	deviation := stat.StdDev(errors, nil)
	m.Bias = Measure{stat.Mean(errors, nil), deviation / math.Sqrt(n)}
	sorted := slices.Sorted(slices.Values(errors))
	m.MedianBias = Measure{median(sorted), deviation * math.Sqrt(math.Pi/2/n)}
}

// unknown is the measure of nothing.
var unknown = Measure{math.NaN(), math.NaN()}

// median returns that of sorted numbers.
func median(sorted []float64) float64 {
	half := len(sorted) / 2
	if len(sorted)%2 == 1 {
		return sorted[half]
	}
	return (sorted[half-1] + sorted[half]) / 2
}

// spread fills the measures of second order.
func (m *Measures) spread(errors, squares, uSquares []float64) {
	n := float64(len(errors))
	if n < 2 {
		m.EmpiricalSE, m.RMSE, m.MeanU, m.UError = unknown, unknown, unknown, unknown
		return
	}
	deviation := stat.StdDev(errors, nil)
	m.EmpiricalSE = Measure{deviation, deviation / math.Sqrt(2*(n-1))}
	m.RMSE = rootMean(squares)
	m.MeanU = rootMean(uSquares)
	ratio := m.MeanU.Value / deviation
	relative := m.MeanU.Error / m.MeanU.Value
	m.UError = Measure{ratio - 1, ratio * math.Sqrt(relative*relative+1/(2*(n-1)))}
}

// rootMean returns the root of the mean of squares with its standard error,
// that of the mean over twice the root.
func rootMean(squares []float64) Measure {
	mean, deviation := stat.MeanStdDev(squares, nil)
	root := math.Sqrt(mean)
	if root == 0 {
		return Measure{0, 0}
	}
	return Measure{root, deviation / math.Sqrt(float64(len(squares))) / (2 * root)}
}

// fraction returns k of n as a binomial proportion.
func fraction(k, n int) Measure {
	if n == 0 {
		return unknown
	}
	p := float64(k) / float64(n)
	return Measure{p, math.Sqrt(p * (1 - p) / float64(n))}
}
