package study_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"

	"stopvolt/analysis/study"
)

// The estimates are five draws of a truth of 2 with stated uncertainties. The
// expected numbers come from the formulas of Morris, White and Crowther, Stat.
// Med. 38, 2074 (2019), table 6, evaluated with Python's fractions and math
// modules from the raw lists, not from these functions.
func TestMeasuresAgreeWithTheirDefinitions(t *testing.T) {
	values := []float64{1.9, 2.2, 2.05, 1.7, 2.4}
	us := []float64{0.2, 0.15, 0.25, 0.1, 0.3}
	var estimates []study.Estimate
	for i := range values {
		estimates = append(estimates, study.Estimate{Value: values[i], U: us[i], Factor: 2})
	}
	estimates = append(estimates, study.Estimate{Value: math.NaN(), U: math.NaN(), Factor: math.NaN()})
	m := study.Summarise(estimates, 2)
	if m.Replicates != 6 || m.Failures != 1 {
		t.Errorf("%d replicates, %d failures", m.Replicates, m.Failures)
	}
	for _, test := range []struct {
		name                string
		got                 study.Measure
		value, mcse, within float64
	}{
		{"bias", m.Bias, 0.024999999999999977, 0.06020797289396148, 0},
		{"median bias", m.MedianBias, 0.024999999999999911, 0.075, 5e-5},
		{"empirical standard error", m.EmpiricalSE, 0.13462912017836262, 0.04759858191164943, 0},
		{"root mean square error", m.RMSE, 0.12298373876248843, 0.029724110201530447, 0},
		{"stated uncertainty", m.MeanU, 0.10606601717798213, 0.016847972182629772, 0},
		{"its relative error", m.UError, -0.21216140284166474, 0.30536392458308098, 0},
		{"coverage", m.Coverage, 0.80000000000000004, 0.17888543819998315, 0},
		{"coverage of all", m.CoverageOfAll, 0.66666666666666663, 0.19245008972987526, 0},
		{"coverage of the mean", m.CoverageOfMean, 0.80000000000000004, 0.17888543819998315, 0},
	} {
		// The median is good to the width of a bin, and so is its error: half the
		// distance of the second error from the fourth of five, -0.05 and 0.1.
		if !scalar.EqualWithinAbsOrRel(test.got.Value, test.value, test.within, 1e-12) || !scalar.EqualWithinAbsOrRel(test.got.Error, test.mcse, 3*test.within, 1e-12) {
			t.Errorf("%s is %.15g +- %.15g, want %.15g +- %.15g", test.name, test.got.Value, test.got.Error, test.value, test.mcse)
		}
	}
}
