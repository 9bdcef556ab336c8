package analysis

import (
	"math"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat/distuv"
)

// TestTheilSenOfManyPointsIsQuickAndRight: of a hundred thousand points a third lies
// far off, and the slope is still found within four of its standard uncertainties,
// which chance misses in one seed of 16,000; all pairs would take a gigabyte for
// each ten thousand points.
func TestTheilSenOfManyPointsIsQuickAndRight(t *testing.T) {
	const n, slope, seed = 100_000, 4e-15, 3
	noise := distuv.Normal{Sigma: 0.02, Src: source(seed)}
	var points []Point
	for k := range n {
		p := Point{Frequency: 5e14 + 3e14*float64(k)/n}
		p.Stopping = slope*p.Frequency - 2 + noise.Rand()
		if k%3 == 0 {
			p.Stopping += 1
		}
		points = append(points, p)
	}
	began := time.Now()
	l, err := TheilSen{}.Fit(points)
	if err != nil {
		t.Fatal(err)
	}
	if took := time.Since(began); took > 5*time.Second {
		t.Errorf("took %v", took)
	}
	if math.Abs(l.Slope-slope) > 4*l.USlope || l.USlope > 0.01*slope {
		t.Errorf("slope %g with %g, want %g (seed %d)", l.Slope, l.USlope, slope, seed)
	}
}
