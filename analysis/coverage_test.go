package analysis

import (
	"fmt"
	"testing"

	"stopvolt/physics"
)

// TestIntervalsCoverWhereTheModelHolds counts how often the 95 % interval of h/e
// holds the true value in 2,000 runs of five settings. Noise is normal, the last
// digit none, twice and four times its standard deviation, and both are stated
// with the readings; from twice on the fits take the likelihood of rounded
// readings. An interval that is right leaves 93.5 to 96.5 % by chance in one of
// 500 seeds (the standard error of the count is 0.49 %); the seed is fixed.
func TestIntervalsCoverWhereTheModelHolds(t *testing.T) {
	const (
		runs  = 2000
		seed  = 20
		sigma = 1e-12
	)
	spheres := planePair()
	spheres.radiusRatio, spheres.from = 0.7, -1
	for _, c := range []struct {
		cell   cell
		method Method
	}{
		{planePair(), FowlerFit{}},
		{spheres, CellFit{}},
		{spheres, JointFit{}},
	} {
		for _, resolution := range []float64{0, 2 * sigma, 4 * sigma} {
			t.Run(fmt.Sprintf("%s, last digit %g A", c.method.Name(), resolution), func(t *testing.T) {
				t.Parallel()
				x := Extractor{Methods: []Method{c.method}, Fits: []LineFit{Weighted{}}}
				src := source(seed)
				covered, answered := 0, 0
				for range runs {
					l := x.Extract(c.cell.noisyRun(sigma, resolution, src)).Lines[0]
					if l.Status != OK {
						continue
					}
					answered++
					if low, high := l.Line.Interval(0.95); low <= physics.HOverE && physics.HOverE <= high {
						covered++
					}
				}
				share := float64(covered) / runs
				t.Logf("%d of %d runs answered, coverage %.4f (seed %d)", answered, runs, share, seed)
				if answered < runs-runs/200 || share < 0.935 || share > 0.965 {
					t.Errorf("%d of %d runs answered, coverage %.4f, want 0.935 to 0.965 (seed %d)", answered, runs, share, seed)
				}
			})
		}
	}
}
