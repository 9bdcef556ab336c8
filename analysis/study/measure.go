package study

import "math"

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
	n := float64(m.Replicates)
	f := fraction(float64(m.Failures), n)
	return Measure{f.Value * n, f.Error * n}
}

// Summarise returns the performance of estimates of a truth that is not zero, in
// units of the truth's magnitude.
func Summarise(estimates []Estimate, truth float64) Measures {
	t := newTally(relativeBin)
	for _, e := range estimates {
		t.add(e, truth, math.Abs(truth))
	}
	return t.measures()
}

// unknown is the measure of nothing.
var unknown = Measure{math.NaN(), math.NaN()}

// measures returns the performance that a tally shows.
func (t *tally) measures() Measures {
	all := t.Answers + t.Failures
	m := Measures{
		Replicates:     int(all),
		Failures:       int(t.Failures),
		Coverage:       fraction(float64(t.Holds), float64(t.Answers)),
		CoverageOfAll:  fraction(float64(t.Holds), float64(all)),
		CoverageOfMean: unknown,
		Bias:           unknown, MedianBias: unknown, EmpiricalSE: unknown,
		RMSE: unknown, MeanU: unknown, UError: unknown,
	}
	if t.Answers == 0 {
		return m
	}
	n := float64(t.Answers)
	mean, deviation := moments(t.Answers, t.X, t.X2)
	m.Bias = Measure{mean, deviation / math.Sqrt(n)}
	m.MedianBias = Measure{t.Errors.median(t.Answers), deviation * math.Sqrt(math.Pi/2/n)}
	// An interval holds the mean if it begins below it and ends above it.
	holds := t.Lows.below(mean) - t.Highs.below(mean)
	m.CoverageOfMean = fraction(min(max(holds, 0), n), n)
	if t.Answers == 1 {
		return m
	}
	m.EmpiricalSE = Measure{deviation, deviation / math.Sqrt(2*(n-1))}
	m.RMSE = rootMean(t.Answers, t.X2, t.X4)
	m.MeanU = rootMean(t.Answers, t.U2, t.U4)
	if deviation > 0 {
		ratio := m.MeanU.Value / deviation
		relative := m.MeanU.Error / m.MeanU.Value
		m.UError = Measure{ratio - 1, ratio * math.Sqrt(relative*relative+1/(2*(n-1)))}
	}
	return m
}

// rootMean returns the root of the mean of n squares, given their sum and the
// sum of their squares, with its standard error, that of the mean over twice the
// root.
func rootMean(n int64, squares, fourths Sum) Measure {
	mean, deviation := moments(n, squares, fourths)
	root := math.Sqrt(mean)
	if root == 0 {
		return Measure{0, 0}
	}
	return Measure{root, deviation / math.Sqrt(float64(n)) / (2 * root)}
}

// fraction returns k of n as a binomial proportion.
func fraction(k, n float64) Measure {
	if n == 0 {
		return unknown
	}
	p := k / n
	return Measure{p, math.Sqrt(p * (1 - p) / n)}
}
