package analysis

import (
	"math"
	"testing"
)

// planeOf returns a noisy curve made ready, a method's cutoff on it and its
// plane.
func planeOf(t *testing.T, m Planar) (*Prepared, Cutoff, Plane) {
	t.Helper()
	const sigma = 1e-12
	// Between planes the two lines of semi-log meet where the current still flows.
	p := &Prepared{asDrawn: true}
	planes := planePair()
	planes.step = 0.02
	if err := p.Prepare(planes.noisy(404.656, sigma, 0, source(11)), runFacts(0)); err != nil {
		t.Fatal(err)
	}
	c := m.Cutoff(p)
	if _, ok := m.(Joint); ok {
		c = CellFit{}.Cutoff(p)
	}
	if c.Status != OK {
		t.Fatalf("%s: %s", m.Name(), c.Reason)
	}
	return p, c, m.Plane(p, c)
}

// In its own plane a construction is made of straight lines: the middle of each
// stroke lies on the chord of its ends.
func TestConstructionsAreStraightInTheirOwnPlane(t *testing.T) {
	for _, m := range []Planar{SquareRoot{}, FirstDerivative{}, SecondDerivative{}, SemiLog{}, FowlerFit{}, CellFit{}, PowerLaw{}} {
		_, _, pl := planeOf(t, m)
		for _, s := range pl.Strokes {
			if len(s.V) < 3 {
				continue
			}
			y := func(k int) float64 {
				if pl.Kind == Logarithms {
					return math.Log(s.I[k])
				}
				return s.I[k]
			}
			last := len(s.V) - 1
			for k := range s.V {
				chord := y(0) + (y(last)-y(0))*(s.V[k]-s.V[0])/(s.V[last]-s.V[0])
				if math.Abs(y(k)-chord) > 1e-6*math.Abs(y(0)-y(last)) {
					t.Errorf("%s: %s bends at %v V: %v, not %v", m.Name(), s.Role, s.V[k], y(k), chord)
					break
				}
			}
		}
	}
}

// The construction meets its goal where the method reads the cutoff, and that
// point is marked.
func TestPlanesMarkTheCutoff(t *testing.T) {
	for _, m := range []Planar{SquareRoot{}, FirstDerivative{}, SecondDerivative{}, SemiLog{}, FowlerFit{}, CellFit{}, PowerLaw{}, JointFit{}} {
		_, c, pl := planeOf(t, m)
		marked := false
		for _, s := range pl.Strokes {
			marked = marked || len(s.V) == 1 && s.V[0] == c.Stopping
		}
		if !marked || len(pl.V) < 5 || len(pl.V) != len(pl.Y) || len(pl.V) != len(pl.U) {
			t.Errorf("%s: marked %v, %d voltages, %d values, %d uncertainties", m.Name(), marked, len(pl.V), len(pl.Y), len(pl.U))
		}
	}
}

// The line of roots runs through the roots that it was fitted to, and that of
// the slopes through the slopes: within four standard uncertainties of each
// (seed 11; a false alarm in fewer than one of a thousand seeds).
func TestStraightLinesRunThroughThePoints(t *testing.T) {
	for _, m := range []Planar{SquareRoot{}, FirstDerivative{}} {
		p, c, pl := planeOf(t, m)
		line := pl.Strokes[0]
		last, seen := len(line.V)-1, 0
		for i, v := range pl.V {
			// Well within the stretch: the ends bend into the tail.
			if v < line.V[0] || v > line.V[0]+0.7*(c.Stopping-line.V[0]) {
				continue
			}
			seen++
			at := line.I[0] + (line.I[last]-line.I[0])*(v-line.V[0])/(line.V[last]-line.V[0])
			if math.Abs(pl.Y[i]-at) > 4*pl.U[i] {
				t.Errorf("%s at %v V: %v, the line has %v, the uncertainty is %v", m.Name(), v, pl.Y[i], at, pl.U[i])
			}
		}
		if seen < 3 {
			t.Errorf("%s: %d points on the line of %d readings", m.Name(), seen, len(p.V))
		}
	}
}

// Deviations from a fit that fits are the noise: their mean square in
// uncertainties is one, to within 0.55 (chi-squared of some forty degrees of
// freedom has a relative standard deviation of 0.22; a false alarm in about one
// of a hundred seeds; seed 11).
func TestDeviationsFromAFitAreTheNoise(t *testing.T) {
	for _, m := range []Planar{FowlerFit{}, CellFit{}} {
		_, _, pl := planeOf(t, m)
		square := 0.0
		for i := range pl.Y {
			square += pl.Y[i] * pl.Y[i] / (pl.U[i] * pl.U[i]) / float64(len(pl.Y))
		}
		if math.Abs(square-1) > 0.55 {
			t.Errorf("%s: the mean square is %v over %d readings", m.Name(), square, len(pl.Y))
		}
	}
}

// Without a cutoff the points are still there, to see why.
func TestPlanesWithoutACutoffHaveTheirPoints(t *testing.T) {
	p := new(Prepared)
	if err := p.Prepare(planePair().noisy(404.656, 1e-12, 0, source(11)), runFacts(0)); err != nil {
		t.Fatal(err)
	}
	none := fail(NotConverged, "none")
	for _, m := range []Planar{SquareRoot{}, FirstDerivative{}, SecondDerivative{}, SemiLog{}} {
		if pl := m.Plane(p, none); len(pl.V) == 0 || len(pl.Strokes) > 0 {
			t.Errorf("%s: %d points and %d strokes", m.Name(), len(pl.V), len(pl.Strokes))
		}
	}
	for _, m := range []Planar{FowlerFit{}, CellFit{}, PowerLaw{}, JointFit{}} {
		if pl := m.Plane(p, none); len(pl.V) > 0 || len(pl.Strokes) > 0 {
			t.Errorf("%s: %d points and %d strokes", m.Name(), len(pl.V), len(pl.Strokes))
		}
	}
}
