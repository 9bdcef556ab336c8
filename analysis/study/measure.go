package study

import "math"

// A Measure is an estimate with its Monte Carlo standard error, that is, the
// standard deviation it would have if the study were repeated with other seeds.
// Both are NaN where there are too few replicates to tell. The errors allow for
// the two experiments of a bench being alike.
type Measure struct {
	Value, Error float64
}

// Measures are the performance of an estimator over experiments, as defined with
// their standard errors by T. P. Morris, I. R. White and M. J. Crowther, Stat.
// Med. 38, 2074 (2019), table 6, where the errors are not said to be others. All
// but the counts and coverages are relative to the truth.
type Measures struct {
	// Replicates is the number of experiments and Benches that of the benches
	// they were done at; Failures is how many gave no finite estimate with a
	// finite uncertainty. The other measures are over those that did.
	Replicates, Benches, Failures int
	// FailureCount is Failures with its error, and Answers the share of
	// experiments that are none.
	FailureCount, Answers Measure
	// Bias is the mean error, and MedianBias the median error.
	Bias, MedianBias Measure
	// EmpiricalSE is the standard deviation of all estimates. Between is that of
	// the benches' own means, and Within that of the experiments at one bench.
	EmpiricalSE, Between, Within Measure
	// RMSE is the root of the mean squared error, and MedianAbsolute the median
	// of the errors' sizes.
	RMSE, MedianAbsolute Measure
	// MeanU is the root of the mean squared stated uncertainty, and UError its
	// relative error: how much of the empirical standard error it misses.
	MeanU, UError Measure
	// Coverage is the fraction of stated 95 % intervals that hold the truth,
	// CoverageOfAll that with failures counted as misses, and CoverageOfMean
	// the fraction that hold the mean estimate, which a bias does not spoil.
	Coverage, CoverageOfAll, CoverageOfMean Measure
}

// Summarise returns the performance of estimates of a truth that is not zero,
// each at a bench of its own, in units of the truth's magnitude.
func Summarise(estimates []Estimate, truth float64) Measures {
	t := newTally()
	for _, e := range estimates {
		t.add([]outcome{newOutcome(e, truth, math.Abs(truth))})
	}
	return t.measures()
}

// unknown is the measure of nothing.
var unknown = Measure{math.NaN(), math.NaN()}

// measures returns the performance that a tally shows.
func (t *tally) measures() Measures {
	all := t.Answers + t.Failures
	m := Measures{
		Replicates: int(all), Benches: int(t.Benches), Failures: int(t.Failures),
		FailureCount: t.failures(), Answers: unknown,
		Coverage:       t.Holds.fraction(t.Answers, t.Both),
		CoverageOfAll:  unknown,
		CoverageOfMean: unknown,
		Bias:           unknown, MedianBias: unknown, EmpiricalSE: unknown, Between: unknown, Within: unknown,
		RMSE: unknown, MedianAbsolute: unknown, MeanU: unknown, UError: unknown,
	}
	if all > 0 {
		f := m.FailureCount
		m.Answers = Measure{1 - f.Value/float64(all), f.Error / float64(all)}
		every := counted{All: t.Holds.All, Squares: t.Holds.Squares}
		if all > t.Benches {
			// All benches have two experiments, but for a last one of an odd
			// number.
			every.Both = every.All
		}
		m.CoverageOfAll = every.fraction(all, all-t.Benches)
	}
	if t.Answers == 0 {
		return m
	}
	n := float64(t.Answers)
	m.Bias = t.X.mean(t.Answers, t.Both)
	mean, deviation := moments(t.Answers, t.X.All, t.X2.All)
	// An interval holds the mean if it begins below it and ends above it.
	holds := t.Lows.below(mean) - t.Highs.below(mean)
	m.CoverageOfMean = fraction(min(max(holds, 0), n), n)
	if t.Answers == 1 {
		m.MedianBias.Value, m.MedianAbsolute.Value = t.Errors.quantile(0.5), t.Errors.folded().quantile(0.5)
		return m
	}
	likeness := t.spreads(&m)
	effective := n / (1 + likeness)
	m.EmpiricalSE = Measure{deviation, deviation / math.Sqrt(2*(effective-1))}
	m.MedianBias = middle(t.Errors, effective)
	m.MedianAbsolute = middle(t.Errors.folded(), effective)
	m.RMSE = root(t.X2.mean(t.Answers, t.Both))
	m.MeanU = root(t.U2.mean(t.Answers, t.Both))
	if deviation > 0 {
		ratio := m.MeanU.Value / deviation
		relative := m.MeanU.Error / m.MeanU.Value
		m.UError = Measure{ratio - 1, ratio * math.Sqrt(relative*relative+1/(2*(effective-1)))}
	}
	return m
}

// failures returns the number of failures with its standard error, which for
// benches of one experiment is that of a binomial count.
func (t *tally) failures() Measure {
	one := t.Answers - 2*t.Both // benches with one answer
	none := t.Benches - t.Both - one
	// A bench with one answer has a failure only if it has two experiments, and
	// one without answers has two unless it is the last of an odd number.
	single := 2*t.Benches - t.Answers - t.Failures
	sum := float64(t.Failures)
	squares := float64(t.Failures) + 2*max(float64(none-single), 0)
	if t.Benches == 0 {
		return unknown
	}
	return Measure{sum, math.Sqrt(max(squares-sum*sum/float64(t.Benches), 0))}
}

// spreads fills the spreads between and within benches by the analysis of
// variance of the benches that have two answers, and returns the share of the
// variance that is between benches (R. A. Fisher's intraclass correlation), 0
// where it cannot be told.
func (t *tally) spreads(m *Measures) (likeness float64) {
	if t.Both == 0 {
		return 0
	}
	both := float64(t.Both)
	within := t.Differences.Float() / (2 * both)
	m.Within = Measure{math.Sqrt(within), math.Sqrt(within / (2 * both))}
	if t.Both < 2 {
		return 0
	}
	// The squares of the sums of two are twice the squares less those of the
	// differences.
	squares := t.X2.Both
	squares.Merge(t.X2.Both)
	squares.subtract(t.Differences.words)
	_, deviation := moments(t.Both, t.X.Both, squares)
	means := deviation * deviation / 4
	between := max(means-within/2, 0)
	m.Between.Value = math.Sqrt(between)
	// The delta method, from the variances of two mean squares.
	if between > 0 {
		m.Between.Error = math.Sqrt(2*means*means/(both-1)+within*within/(2*both)) / (2 * m.Between.Value)
	}
	if between+within == 0 {
		return 0
	}
	return between / (between + within)
}

// middle returns the median of a histogram's numbers. Its standard error is half
// the distance of the quantiles one standard deviation of a binomial count of n
// to either side, which asks nothing of their distribution.
func middle(h histogram, n float64) Measure {
	step := min(0.5/math.Sqrt(n), 0.5)
	return Measure{h.quantile(0.5), (h.quantile(0.5+step) - h.quantile(0.5-step)) / 2}
}

// root returns the root of a mean of squares, with the delta method's error.
func root(square Measure) Measure {
	r := math.Sqrt(square.Value)
	if r == 0 {
		return Measure{0, 0}
	}
	return Measure{r, square.Error / (2 * r)}
}

// fraction returns k of n as a binomial proportion.
func fraction(k, n float64) Measure {
	if n == 0 {
		return unknown
	}
	p := k / n
	return Measure{p, math.Sqrt(p * (1 - p) / n)}
}
