package sim

import (
	"math"
	"testing"
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
