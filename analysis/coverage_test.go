package analysis

import (
	"fmt"
	"math"
	"testing"

	"stopvolt/physics"
)

// TestIntervalsCoverWhereTheModelHolds counts how often the 95 % interval of h/e
// holds the true value in 2,000 runs of five settings. Noise is normal, the last
// digit none, twice and four times its standard deviation, and both are stated
// with the readings; from twice on the fits take the likelihood of rounded
// readings. The cutoffs are weighted by what their fits say of the readings alone:
// what a cutoff's uncertainty has in it for steps and the unseen foot is no noise. An
// interval that is right leaves 93.5 to 96.5 % by chance in one of
// 500 seeds (the standard error of the count is 0.49 %); the seed is fixed.
func TestIntervalsCoverWhereTheModelHolds(t *testing.T) {
	const (
		runs  = 2000
		seed  = 20
		sigma = 1e-12
	)
	// Yellow light stops at 0.15 V: at 0.05 V all of its curve from zero volts on is
	// warm tail.
	planes := planePair()
	planes.emitter, planes.collector = 1.85, 2
	spheres := planes
	spheres.radiusRatio, spheres.from = 0.7, -1
	for _, c := range []struct {
		cell   cell
		method Method
	}{
		{planes, FowlerFit{}},
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
					line, ok := byReadings(x.Extract(c.cell.noisyRun(sigma, resolution, src)), c.method)
					if !ok {
						continue
					}
					answered++
					if low, high := line.Interval(0.95); low <= physics.HOverE && physics.HOverE <= high {
						covered++
					}
				}
				share := float64(covered) / float64(answered)
				t.Logf("%d of %d runs answered, coverage %.4f (seed %d)", answered, runs, share, seed)
				if answered < runs || share < 0.935 || share > 0.965 {
					t.Errorf("%d of %d runs answered, coverage %.4f, want 0.935 to 0.965 (seed %d)", answered, runs, share, seed)
				}
			})
		}
	}
}

// byReadings returns the line of the first method of an extraction, with the
// cutoffs weighted by their fits' own uncertainties.
func byReadings(e Extraction, m Method) (Line, bool) {
	if _, ok := m.(Joint); ok {
		return e.Lines[0].Line, e.Lines[0].Status == OK
	}
	var points []Point
	for _, s := range e.Settings {
		c := s.Cutoffs[0]
		if c.Status != OK {
			return Line{}, false
		}
		variance := s.Prepared.cell().variance
		if m.Name() == (FowlerFit{}).Name() {
			from, to := s.Prepared.bent(fowlerFrom)
			_, variance, _ = s.Prepared.fowlerFit(from, to)
		}
		points = append(points, Point{Frequency: s.Frequency, Stopping: c.Stopping, UStopping: math.Sqrt(variance)})
	}
	l, err := Weighted{}.Fit(points)
	return l, err == nil
}
