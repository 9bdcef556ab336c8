package sim

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// distuv.Poisson does not return for a mean that is not a number.
func TestCurrentThatIsNoneCarriesNoElectrons(t *testing.T) {
	src := NewStream(StreamName{Seed: 1, Purpose: "test"})
	next := *src
	for _, current := range []float64{0, -1e-9, math.NaN(), math.Inf(1), math.Inf(-1)} {
		if excess, variance := shot(current, 0.5, src); excess != 0 || variance != 0 {
			t.Errorf("a current of %g A: %g C, %g C^2", current, excess, variance)
		}
	}
	if normal(0, src) != 0 || normal(math.NaN(), src) != 0 || uniform(0, src) != 0 {
		t.Error("noise without a spread")
	}
	if *src != next {
		t.Error("random numbers were drawn for nothing")
	}
}

// The cosine of a random angle is below x with the probability
// 1 - arccos(x)/pi; the deciles are tested by chi-square at a false-alarm rate
// of 1e-6.
func TestWaveIsTheCosineOfARandomAngle(t *testing.T) {
	const n, cells = 100_000, 10
	src := NewStream(StreamName{Seed: 1, Purpose: "test"})
	found, expected := make([]float64, cells), make([]float64, cells)
	for range n {
		found[int(cells*(1-math.Acos(wave(src))/math.Pi)*(1-1e-15))]++
	}
	for i := range expected {
		expected[i] = n / cells
	}
	limit := distuv.ChiSquared{K: cells - 1}.Quantile(1 - 1e-6)
	if x := stat.ChiSquare(found, expected); x > limit {
		t.Errorf("chi-square %g over the deciles %v", x, found)
	}
}
