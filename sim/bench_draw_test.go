package sim_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"stopvolt/instrument"
	"stopvolt/instrument/population"
	"stopvolt/sim"
)

// twoNumbers is a population of two work functions.
func twoNumbers(t *testing.T, emitter, collector population.Law, build population.Build) population.Population {
	t.Helper()
	p, err := population.New("", []population.Variable{
		{Key: "emitter.work_function_eV", Law: emitter}, {Key: "collector.work_function_eV", Law: collector},
	}, nil, build)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// workFunctions puts the two numbers of a bench where they belong.
func workFunctions(values []float64) (instrument.Apparatus, error) {
	var a instrument.Apparatus
	a.Emitter.WorkFunction, a.Collector.WorkFunction = values[0], values[1]
	return a, nil
}

func TestAnotherKeyMovesNoOther(t *testing.T) {
	wide := twoNumbers(t, population.Uniform{Low: 1, High: 2}, population.Uniform{Low: 1, High: 2}, workFunctions)
	other := twoNumbers(t, population.Uniform{Low: 1, High: 2}, population.Normal{Mean: 2, SD: 0.1}, workFunctions)
	alone := twoNumbers(t, population.Uniform{Low: 1, High: 2}, population.Constant(2), workFunctions)
	for bench := range 50 {
		want, _, err := sim.DrawBench(wide, 7, bench)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range []population.Population{other, alone} {
			got, _, err := sim.DrawBench(p, 7, bench)
			if err != nil {
				t.Fatal(err)
			}
			if got.Emitter != want.Emitter {
				t.Errorf("bench %d: the emitter moved from %g to %g eV", bench, want.Emitter.WorkFunction, got.Emitter.WorkFunction)
			}
			if got.Collector == want.Collector {
				t.Errorf("bench %d: another law left the collector at %g eV", bench, got.Collector.WorkFunction)
			}
		}
	}
}

// The numbers of many benches follow the law, and know nothing of each other: the
// correlation of independent numbers is beyond 4/sqrt(n) once in 16,000 seeds.
// Kolmogorov's distance is below 1.95
// over the root of the number in all but one case in a thousand (A. N.
// Kolmogorov, 1933). The seed is fixed, so that the test always says the same.
func TestBenchesFollowTheirLaw(t *testing.T) {
	const n, seed = 5000, 11
	p := twoNumbers(t, population.Uniform{Low: 1, High: 2}, population.Normal{Mean: 2, SD: 0.1}, workFunctions)
	var emitters, collectors []float64
	for bench := range n {
		a, attempts, err := sim.DrawBench(p, seed, bench)
		if err != nil || attempts != 1 {
			t.Fatalf("bench %d: %d attempts, %v", bench, attempts, err)
		}
		emitters = append(emitters, a.Emitter.WorkFunction)
		collectors = append(collectors, a.Collector.WorkFunction)
	}
	if r := stat.Correlation(emitters, collectors, nil); math.Abs(r) > 4/math.Sqrt(n) {
		t.Errorf("seed %d: two keys are correlated by %g", seed, r)
	}
	for _, test := range []struct {
		numbers []float64
		cdf     func(float64) float64
	}{
		{emitters, distuv.Uniform{Min: 1, Max: 2}.CDF}, {collectors, distuv.Normal{Mu: 2, Sigma: 0.1}.CDF},
	} {
		slices.Sort(test.numbers)
		var distance float64
		for i, x := range test.numbers {
			distance = max(distance, math.Abs(test.cdf(x)-(float64(i)+0.5)/n))
		}
		if distance > 1.95/math.Sqrt(n) {
			t.Errorf("seed %d: the distance from the law is %g", seed, distance)
		}
	}
}

// What can be is what a law says given that it can be.
func TestImpossibleBenchesAreDrawnAgainAndCounted(t *testing.T) {
	p := twoNumbers(t, population.Uniform{Low: 1, High: 2}, population.Uniform{Low: 1, High: 2}, func(values []float64) (instrument.Apparatus, error) {
		if values[0] > values[1] {
			return instrument.Apparatus{}, errors.New("the emitter has the larger work function")
		}
		return workFunctions(values)
	})
	sum := 0
	const n, seed = 2000, 3
	for bench := range n {
		a, attempts, err := sim.DrawBench(p, seed, bench)
		if err != nil {
			t.Fatal(err)
		}
		if a.Emitter.WorkFunction > a.Collector.WorkFunction {
			t.Fatalf("bench %d cannot be", bench)
		}
		sum += attempts
	}
	// Half of the draws can be: the mean number of attempts is 2, with a
	// standard error of sqrt(2/n). Four of them are passed once in 16,000 seeds.
	if mean := float64(sum) / n; math.Abs(mean-2) > 4*math.Sqrt(2./n) {
		t.Errorf("seed %d: %g attempts a bench", seed, mean)
	}
}

func TestImpossiblePopulationsAreGivenUp(t *testing.T) {
	first := true
	p := twoNumbers(t, population.Uniform{Low: 1, High: 2}, population.Uniform{Low: 1, High: 2}, func(values []float64) (instrument.Apparatus, error) {
		if first {
			// The bench of the medians.
			first = false
			return workFunctions(values)
		}
		return instrument.Apparatus{}, errors.New("yellow light frees no electrons")
	})
	_, attempts, err := sim.DrawBench(p, 1, 0)
	if err == nil || attempts != sim.MostAttempts || !strings.Contains(err.Error(), "yellow light frees no electrons") {
		t.Errorf("after %d attempts: %v", attempts, err)
	}
}

func TestPhaseOfTheGridIsAPartOfAStep(t *testing.T) {
	var a instrument.Apparatus
	a.Plan = instrument.Plan{Start: -1, Stop: 2, Step: 0.05}
	low, high := math.Inf(1), math.Inf(-1)
	for bench := range 200 {
		p := sim.DrawPhase(a, 1, bench).Plan
		if math.Abs(p.Stop-p.Start-3) > 1e-12 || p.Step != 0.05 {
			t.Fatalf("the plan has become %+v", p)
		}
		low, high = min(low, p.Start), max(high, p.Start)
	}
	if low < -1.025 || low > -1.02 || high > -0.975 || high < -0.98 {
		t.Errorf("grids start from %g to %g V", low, high)
	}
}
