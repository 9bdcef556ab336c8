package analysis

import (
	"math"
	"testing"
)

// A line is never surer than the points on it: where these lie closer to it by chance
// than their own uncertainties let expect, slope and intercept have the uncertainties
// of an independent sum over the points.
func TestALineIsNotSurerThanItsPoints(t *testing.T) {
	const u = 0.02
	for claim, scatter := range map[string]float64{"close to the line": 0.001, "far off the line": 0.1} {
		var points []Point
		var sw, sx, sxx float64
		for i, off := range []float64{1, -1, -1, 1} {
			f := (5 + float64(i)) * 1e14
			points = append(points, Point{Setting: "light", Frequency: f, Stopping: 4e-15*f - 1.5 + scatter*off, UStopping: u})
			sw, sx, sxx = sw+1/(u*u), sx+f/(u*u), sxx+f*f/(u*u)
		}
		line, err := Weighted{}.Fit(points)
		if err != nil {
			t.Fatal(err)
		}
		slope, intercept := math.Sqrt(sw/(sw*sxx-sx*sx)), math.Sqrt(sxx/(sw*sxx-sx*sx))
		got := line.Whole()
		if scatter > u {
			slope, intercept = line.USlope, line.UIntercept
		} else if line.USlope > slope/2 {
			t.Fatalf("%s: the scatter asks for %.2g V s, which tests nothing beside %.2g", claim, line.USlope, slope)
		}
		if math.Abs(got.USlope/slope-1) > 1e-9 || math.Abs(got.UIntercept/intercept-1) > 1e-9 {
			t.Errorf("%s: %.3g V s and %.3g V, want %.3g and %.3g", claim, got.USlope, got.UIntercept, slope, intercept)
		}
		if r, want := got.Covariance/(got.USlope*got.UIntercept), line.Covariance/(line.USlope*line.UIntercept); math.Abs(r-want) > 1e-9 {
			t.Errorf("%s: the correlation is %v, and was %v", claim, r, want)
		}
	}
}
