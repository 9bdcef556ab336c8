package figure

import (
	"math"
	"testing"

	"gonum.org/v1/plot/vg"
)

// spread returns the rectangle around the corners of paths.
func spread(paths []vg.Path) vg.Rectangle {
	x, y := nowhere(), nowhere()
	for _, p := range paths {
		for _, comp := range p {
			x, y = x.with(float64(comp.Pos.X)), y.with(float64(comp.Pos.Y))
		}
	}
	return vg.Rectangle{
		Min: vg.Point{X: vg.Length(x.low), Y: vg.Length(y.low)},
		Max: vg.Point{X: vg.Length(x.high), Y: vg.Length(y.high)},
	}
}

// The outlines fill the width at which the layout was made. The height of the
// capital letters of Liberation Sans is 1409 of 2048 units, as its OS/2 table
// has it.
func TestOutlinesAreAsLargeAsTheText(t *testing.T) {
	const size = 100
	f := face(lettering(size, ink))
	got := spread(outlines(f, vg.Point{X: 7, Y: 11}, "H"))
	if d := float64(got.Min.Y - 11); math.Abs(d) > 1e-9 {
		t.Errorf("the foot of the H is %g off the line", d)
	}
	if d := float64(got.Max.Y-11) - size*1409./2048; math.Abs(d) > 1e-9 {
		t.Errorf("the H is %g too high", d)
	}
	text := "AVAT −15 µΩφ HH"
	paths := outlines(f, vg.Point{}, text)
	if len(paths) != len([]rune("AVAT−15µΩφHH")) {
		t.Errorf("%d letters of %q have an outline", len(paths), text)
	}
	side := f.Width("H") - (got.Max.X - 7)
	if end := spread(paths).Max.X; math.Abs(float64(end-(f.Width(text)-side))) > 1e-6 {
		t.Errorf("the outlines end at %g, the text at %g", end, f.Width(text)-side)
	}
}
