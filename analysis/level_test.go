package analysis

import (
	"math"
	"testing"
)

// fixed-current says at what current it read, whether given or taken from the
// last digit and the noise, and the curve has that current there.
func TestFixedCurrentSaysItsCurrent(t *testing.T) {
	c := planePair()
	for _, given := range []float64{0, 5e-12} {
		p := new(Prepared)
		if err := p.Prepare(c.noisy(404.656, 1e-12, 0, source(3)), runFacts(0)); err != nil {
			t.Fatal(err)
		}
		got := FixedCurrent{Current: given}.Cutoff(p)
		if got.Status != OK || got.Level <= 0 || given > 0 && got.Level != given {
			t.Fatalf("given %v A: %+v", given, got)
		}
		// Four standard deviations of the noise, and a step's curvature.
		if there := c.current(404.656, got.Stopping); math.Abs(there-got.Level) > 6e-12 {
			t.Errorf("given %v A it says %v A, and the curve has %v A at %v V", given, got.Level, there, got.Stopping)
		}
	}
}

// A current that is far above the noise is fixed soon, and no cutoff: more of it
// flows at the next voltages.
func TestAFixedCurrentFarAboveTheNoiseIsNoCutoff(t *testing.T) {
	c := planePair()
	p := new(Prepared)
	if err := p.Prepare(c.noisy(404.656, 1e-12, 0, source(3)), runFacts(0)); err != nil {
		t.Fatal(err)
	}
	if got := (FixedCurrent{Current: 100e-12}).Cutoff(p); got.Status != OutsideKnee {
		t.Errorf("a hundred times the noise: %+v", got)
	}
}
