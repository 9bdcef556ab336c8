package analysis

import (
	"math"
	"testing"

	"stopvolt/instrument/run"
)

// TestNoiseIsEstimatedFromTheScatter: the median estimate over many curves is the
// noise that was put in, to a tenth, with and without repeated readings, and with
// a part that is a share of the current.
func TestNoiseIsEstimatedFromTheScatter(t *testing.T) {
	const curves, seed = 200, 3
	src := source(seed)
	for _, c := range []struct {
		name    string
		repeats int
		sigma   float64
	}{{"single readings", 1, 5e-12}, {"two readings each", 2, 5e-12}, {"four readings each", 4, 5e-12}} {
		var sum float64
		for range curves {
			var all run.Curve
			for range c.repeats {
				one := planePair().noisy(435.833, c.sigma, 0, src)
				all.Readings = append(all.Readings, one.Readings...)
			}
			for i := range all.Readings {
				all.Readings[i].Uncertainty = 0
			}
			p := prepared(t, all, run.Facts{Resolution: 1e-15})
			if p.NoiseKnown {
				t.Fatal("noise that was not stated is called known")
			}
			last := len(p.U) - 1
			sum += p.U[last] * p.U[last] / curves
		}
		near(t, c.name, math.Sqrt(sum), c.sigma/math.Sqrt(float64(c.repeats)), 0.1)
	}
}

func TestACoarseLastDigitIsRemarkedOn(t *testing.T) {
	const sigma = 1e-12
	for _, c := range []struct {
		resolution float64
		remark     bool
	}{{0, false}, {sigma, false}, {2 * sigma, false}, {4 * sigma, true}} {
		r := planePair().noisyRun(sigma, c.resolution, source(1))
		for _, s := range Extract(r, []Method{FowlerFit{}, CellFit{}, JointFit{}}).Settings {
			for _, k := range s.Cutoffs {
				if k.Status == OK && (k.Remark != "") != c.remark {
					t.Errorf("last digit %g A, noise %g A: remark %q", c.resolution, sigma, k.Remark)
				}
			}
		}
	}
}
