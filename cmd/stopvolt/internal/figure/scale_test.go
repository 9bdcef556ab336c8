package figure

import (
	"math"
	"testing"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

func TestNumbersAreWrittenToTheirUncertainty(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{measured(0.8419, 0.0131), "0.842 ± 0.013"},
		{measured(-1.25, 0.5), "−1.25 ± 0.50"},
		{measured(1234, 56), "1234 ± 56"},
		{measured(1.5, 0), "1.500"},
		{measured(1.5, math.NaN()), "1.500"},
		{number(-0.0004, 2), "0.00"},
		{number(-3, 0), "−3"},
		{number(2e-7, 7), "2e−7"},
		{number(3e12, 0), "3e12"},
		{threeFigures(0.0712), "0.0712"},
		{threeFigures(380.4), "380"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

func TestCurrentsAreScaledToTheirSize(t *testing.T) {
	for largest, want := range map[float64]string{1.9e-9: "nA", 0.95e-9: "nA", 0.62e-9: "pA", 3e-12: "pA", 4e-14: "fA", 2e-6: "µA", 0: "fA"} {
		if got := currentUnit(largest).name; got != want {
			t.Errorf("%g A is shown in %s, want %s", largest, got, want)
		}
	}
}

// One method that is off by a hundred times the others does not flatten them,
// and a large effect among small ones is still drawn to scale.
func TestOneWildRowDoesNotFlattenTheOthers(t *testing.T) {
	calm := []extent{{-3, 3}, {-5, -2}, {-12, -8}, {1, 2}}
	if got := reachOf(calm); !got.holds(-12) || got.high > 4 {
		t.Errorf("range %v does not fit rows from -12 to 3", got)
	}
	if got := reachOf(append(calm, extent{100, 400})); got.high > 4 {
		t.Errorf("range %v follows the wild row", got)
	}
	if got := reachOf([]extent{{100, 400}}); !got.holds(400) {
		t.Errorf("range %v leaves out the only row", got)
	}
}

// A stroke from very far off enters the canvas exactly at its edge.
func TestFarStrokeIsCutAtTheEdge(t *testing.T) {
	c := draw.Canvas{Rectangle: vg.Rectangle{Max: vg.Point{X: 100, Y: 50}}}
	parts := clipped(c, []vg.Point{{X: 40, Y: 1e17}, {X: 60, Y: -1e17}, {X: 60, Y: 25}, {X: 200, Y: 25}})
	want := [][]vg.Point{{{X: 50, Y: 50}, {X: 50, Y: 0}}, {{X: 60, Y: 0}, {X: 60, Y: 25}, {X: 100, Y: 25}}}
	if len(parts) != len(want) {
		t.Fatalf("got %v, want %v", parts, want)
	}
	for i := range want {
		for k := range want[i] {
			if d := parts[i][k].Sub(want[i][k]); math.Hypot(float64(d.X), float64(d.Y)) > 1e-9 {
				t.Errorf("got %v, want %v", parts, want)
			}
		}
	}
}
