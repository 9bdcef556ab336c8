package population_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"
	"gonum.org/v1/gonum/stat/distuv"

	"stopvolt/instrument/population"
)

// must returns a law that is right.
func must[L population.Law](t *testing.T, law L, err error) population.Law {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	return law
}

func uniform(t *testing.T, low, high float64) population.Law {
	law, err := population.NewUniform(low, high)
	return must(t, law, err)
}

func logUniform(t *testing.T, low, high float64) population.Law {
	law, err := population.NewLogUniform(low, high)
	return must(t, law, err)
}

func normal(t *testing.T, mean, sd float64) population.Law {
	law, err := population.NewNormal(mean, sd)
	return must(t, law, err)
}

func halfNormal(t *testing.T, sd float64) population.Law {
	law, err := population.NewHalfNormal(sd)
	return must(t, law, err)
}

func oneOf(t *testing.T, numbers, weights []float64) population.Law {
	law, err := population.NewOneOf(numbers, weights)
	return must(t, law, err)
}

func mixture(t *testing.T, weights []float64, parts ...population.Law) population.Law {
	law, err := population.NewMixture(parts, weights)
	return must(t, law, err)
}

// shares are those at which laws are compared.
var shares = []float64{1e-12, 1e-6, 0.001, 0.025, 0.2, 0.4, 0.5, 0.7, 0.975, 0.999, 1 - 1e-6}

// gonum's distuv has two of the laws; the others follow from them.
func TestLawsHaveTheQuantilesOfDistuv(t *testing.T) {
	for _, test := range []struct {
		law  population.Law
		want func(share float64) float64
	}{
		{uniform(t, -1, 3), distuv.Uniform{Min: -1, Max: 3}.Quantile},
		{normal(t, 2, 0.3), distuv.Normal{Mu: 2, Sigma: 0.3}.Quantile},
		{logUniform(t, 1e-4, 1e-2), func(share float64) float64 {
			return math.Exp(distuv.Uniform{Min: math.Log(1e-4), Max: math.Log(1e-2)}.Quantile(share))
		}},
		{halfNormal(t, 0.05), func(share float64) float64 {
			return distuv.Normal{Sigma: 0.05}.Quantile(0.5 + share/2)
		}},
	} {
		for _, share := range shares {
			got, want := test.law.Quantile(share), test.want(share)
			// 0.5 + share/2 rounds.
			if !scalar.EqualWithinAbsOrRel(got, want, 1e-15, 1e-8) {
				t.Errorf("%v at %g: %g, want %g", test.law, share, got, want)
			}
		}
	}
}

// Tables of the normal law (M. Abramowitz and I. A. Stegun, Handbook of Mathematical
// Functions, 1964, table 26.5, from memory).
func TestNormalLawHasTheTablesQuantiles(t *testing.T) {
	for share, z := range map[float64]float64{0.025: -1.959964, 0.84134475: 1, 0.999: 3.090232, 1e-6: -4.753424} {
		if got := normal(t, 10, 2).Quantile(share); math.Abs(got-10-2*z) > 2e-6 {
			t.Errorf("at %g: %g, want %g", share, got, 10+2*z)
		}
	}
}

// Whatever a law is made of, the share of the numbers up to a quantile is the one
// asked for, and nothing lies beyond the ends.
func TestSharesAndQuantilesAgree(t *testing.T) {
	half := halfNormal(t, 0.05)
	cut, err := population.Within(half, 0, 0.2)
	if err != nil {
		t.Fatal(err)
	}
	tail, err := population.Within(normal(t, 0, 1), 2, math.Inf(1))
	if err != nil {
		t.Fatal(err)
	}
	for _, law := range []population.Law{
		uniform(t, -1, 3), normal(t, 2, 0.3), logUniform(t, 1e-4, 1e-2), half, cut, tail,
		mixture(t, []float64{0.4, 0.6}, logUniform(t, 0.2, 0.9), logUniform(t, 1.1, 8)),
		// These two overlap.
		mixture(t, []float64{1, 3}, uniform(t, 0, 2), normal(t, 1, 0.5)),
		population.Scaled{Law: half, Factor: 2, Low: 0, High: math.Inf(1)},
	} {
		low, high := law.Ends()
		before := low
		for _, share := range shares {
			x := law.Quantile(share)
			if got := law.CDF(x); !scalar.EqualWithinAbsOrRel(got, share, 1e-12, 1e-9) {
				t.Errorf("%v: a share of %g lies up to %g, want %g", law, got, x, share)
			}
			if x < before || x > high {
				t.Errorf("%v: the quantile of %g is %g, beyond %g or %g", law, share, x, before, high)
			}
			before = x
		}
	}
}

// A law that is cut keeps the proportions of what is left: twice as likely
// stays twice as likely.
func TestCutLawKeepsItsProportions(t *testing.T) {
	whole := normal(t, 0, 1)
	cut, err := population.Within(whole, -0.5, 2)
	if err != nil {
		t.Fatal(err)
	}
	between := func(law population.Law, low, high float64) float64 { return law.CDF(high) - law.CDF(low) }
	want := between(whole, 0, 1) / between(whole, 1, 2)
	if got := between(cut, 0, 1) / between(cut, 1, 2); !scalar.EqualWithinRel(got, want, 1e-12) {
		t.Errorf("the ratio of two ranges is %g, want %g", got, want)
	}
	mixed, err := population.Within(mixture(t, []float64{0.4, 0.6}, oneOf(t, []float64{0, 9}, nil), uniform(t, 0, 8)), 0, 2)
	if err != nil {
		t.Fatal(err)
	}
	// Of 0.4 half is left, and of 0.6 a quarter.
	if got, want := mixed.CDF(0), 0.2/(0.2+0.15); !scalar.EqualWithinRel(got, want, 1e-12) {
		t.Errorf("the part of zero is %g, want %g", got, want)
	}
	if _, err := population.Within(whole, 6, 7); err == nil {
		t.Error("a law was cut to where it has a billionth of its numbers")
	}
}

func TestOneOfGoesByItsWeights(t *testing.T) {
	law := oneOf(t, []float64{50, 0}, []float64{1, 4})
	for share, want := range map[float64]float64{1e-9: 0, 0.79: 0, 0.81: 50, 1 - 1e-9: 50} {
		if got := law.Quantile(share); got != want {
			t.Errorf("%v at %g is %g, want %g", law, share, got, want)
		}
	}
	words, err := population.OneWordOf([]string{"spheres", "plane"}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if got := words.Quantile(0.6); got != 1 {
		t.Errorf("the second word is number %g", got)
	}
}

func TestLawsThatCannotBeAreRefused(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for name, err := range map[string]error{
		"a reversed range":         func() error { _, err := population.NewUniform(2, 1); return err }(),
		"an infinite range":        func() error { _, err := population.NewUniform(0, inf); return err }(),
		"a range of no number":     func() error { _, err := population.NewUniform(nan, 1); return err }(),
		"a range too wide":         func() error { _, err := population.NewUniform(-math.MaxFloat64, math.MaxFloat64); return err }(),
		"a logarithm of zero":      func() error { _, err := population.NewLogUniform(0, 1); return err }(),
		"an infinite mean":         func() error { _, err := population.NewNormal(inf, 1); return err }(),
		"a deviation below zero":   func() error { _, err := population.NewNormal(0, -1); return err }(),
		"an infinite deviation":    func() error { _, err := population.NewHalfNormal(inf); return err }(),
		"nothing to choose from":   func() error { _, err := population.NewOneOf(nil, nil); return err }(),
		"a choice of no number":    func() error { _, err := population.NewOneOf([]float64{nan}, nil); return err }(),
		"weights below zero":       func() error { _, err := population.NewOneOf([]float64{1, 2}, []float64{1, -1}); return err }(),
		"weights of zero":          func() error { _, err := population.NewOneOf([]float64{1}, []float64{0}); return err }(),
		"too few weights":          func() error { _, err := population.NewOneOf([]float64{1, 2}, []float64{1}); return err }(),
		"a mixture of nothing":     func() error { _, err := population.NewMixture(nil, nil); return err }(),
		"weights that are endless": func() error { _, err := population.NewOneOf([]float64{1}, []float64{inf}); return err }(),
	} {
		if err == nil {
			t.Errorf("%s was taken for a law", name)
		}
	}
}
