package analysis

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// TestUnroundedReadingsAreANewtonStepOfTheLikelihood compares slope and curvature
// with differences of the logarithm of the probability that a normal value falls
// on a step, from gonum's distuv.
func TestUnroundedReadingsAreANewtonStepOfTheLikelihood(t *testing.T) {
	const step = 1.0
	for _, sigma := range []float64{0.12, 0.3, 1, 4} {
		for _, model := range []float64{-0.9, -0.5, -0.31, 0, 0.2, 0.49, 0.77} {
			likelihood := func(m float64) float64 {
				n := distuv.Normal{Mu: m, Sigma: sigma}
				return math.Log(n.CDF(step/2) - n.CDF(-step/2))
			}
			const h = 1e-3
			up, here, down := likelihood(model+h), likelihood(model), likelihood(model-h)
			slope, bend := (up-down)/(2*h), -(up-2*here+down)/(h*h)
			reading, weight := unrounded(0, model, step, sigma)
			if got := weight * (reading - model); math.Abs(got-slope) > 1e-3*(1+math.Abs(slope)) {
				t.Errorf("noise %g, model %g: slope %g, want %g", sigma, model, got, slope)
			}
			if least := 1e-3 / (sigma * sigma); math.Abs(weight-max(bend, least)) > 2e-3*(1+bend) {
				t.Errorf("noise %g, model %g: curvature %g, want %g", sigma, model, weight, bend)
			}
		}
	}
	for _, model := range []float64{-1e3, -20, 20, 1e3} {
		if reading, weight := unrounded(0, model, step, 0.1); !finite(reading) || !(weight > 0) || math.Abs(reading) > step {
			t.Errorf("model %g far from the step: %g with weight %g", model, reading, weight)
		}
	}
}

// TestTabulatedHazard compares with gonum's distuv.
func TestTabulatedHazard(t *testing.T) {
	n := distuv.UnitNormal
	for z := hazardFrom - 1.0; z <= hazardTo; z += 0.0137 {
		if got, want := hazard(z), n.Prob(z)/n.Survival(z); !(math.Abs(got-want) <= 1e-8) {
			t.Errorf("hazard at %g = %.12g, want %.12g", z, got, want)
		}
	}
}

// TestAllowingForRoundingBringsTheFitNearer: with a last digit ten times the
// noise, and the plateau anywhere on a step, the fit that allows for rounding has
// a smaller rms error than the one that takes it as noise, and states no less
// than it has.
func TestAllowingForRoundingBringsTheFitNearer(t *testing.T) {
	const (
		sigma, step = 1e-12, 1e-11
		curves      = 400
		seed        = 6
	)
	src := source(seed)
	var plain, allowed, stated float64
	for range curves {
		c := planePair()
		c.reverse += step * (distuv.Uniform{Max: 1, Src: src}).Rand()
		curve := c.noisy(435.833, sigma, step, src)
		p := prepared(t, curve, runFacts(step))
		from := p.parts.Begin
		to := len(p.V)
		got, variance, failure := p.fowlerFit(from, to)
		// The same readings and uncertainties, without saying that they are
		// rounded.
		as, _, other := prepared(t, curve, runFacts(step*1e-6)).fowlerFit(from, to)
		if failure.Status != OK || other.Status != OK {
			t.Fatal(failure, other)
		}
		allowed += math.Pow(got-c.cutoff(435.833), 2)
		plain += math.Pow(as-c.cutoff(435.833), 2)
		stated += variance
	}
	// The rms error of each is known to 1/sqrt(2 curves), 4 %.
	if math.Sqrt(allowed/plain) > 0.9 {
		t.Errorf("rms error %.3g V with and %.3g V without allowing for rounding (seed %d)",
			math.Sqrt(allowed/curves), math.Sqrt(plain/curves), seed)
	}
	if math.Sqrt(stated/allowed) < 0.9 {
		t.Errorf("rms error %.3g V, stated %.3g V (seed %d)", math.Sqrt(allowed/curves), math.Sqrt(stated/curves), seed)
	}
}
