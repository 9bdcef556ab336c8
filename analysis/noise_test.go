package analysis

import (
	"math"
	"math/rand/v2"
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

// TestNoiseHasAFloorAndAShare: over many curves the squares of both come to those
// that the readings were made with, within a tenth.
func TestNoiseHasAFloorAndAShare(t *testing.T) {
	const curves, seed, floor, share = 60, 9, 2e-12, 0.01
	c := planePair()
	c.from, c.step = -1, 0.02
	noise := rand.New(source(seed))
	var floors, shares float64
	for range curves {
		curve := c.curve(404.656)
		for i := range curve.Readings {
			r := &curve.Readings[i]
			r.Current += math.Hypot(floor, share*r.Current) * noise.NormFloat64()
		}
		f, s := prepared(t, curve, run.Facts{}).Noise()
		floors, shares = floors+f*f/curves, shares+s*s/curves
	}
	near(t, "floor", math.Sqrt(floors), floor, 0.1)
	near(t, "share", math.Sqrt(shares), share, 0.1)
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
