package figure

import (
	"math"
	"slices"

	"gonum.org/v1/plot/vg/draw"
)

// A method has one mark and one ink in every picture, whichever methods are shown
// with it. Those that a person can do by hand have filled marks, and those that
// need a computer open ones. A method keeps its place in these lists for good, and
// a new one comes at the end of its kind; what stands in neither list takes marks
// of the reserve.
var (
	drawnByHand = []string{
		"null-reading", "zero-crossing", "fixed-current", "tangent", "two-tangent",
		"square-root", "power-law", "first-derivative", "semi-log",
	}
	drawnByComputer = []string{"second-derivative", "fowler-fit", "cell-fit", "joint-fit"}
)

// handMarks and computerMarks are those of the lists, in their order, and
// reserveMarks those of what no list has.
var (
	handMarks = []shape{
		{},
		{corners: ring(4, math.Pi/4, 1.2)},
		{corners: ring(3, math.Pi/2, 1.4)},
		{corners: ring(4, 0, 1.4)},
		{corners: ring(3, -math.Pi/2, 1.4)},
		{corners: cross(0)},
		{corners: star(5, 1.55, 0.6)},
		{corners: [][2]float64{{-1.2, -1.1}, {1.2, 1.1}, {1.2, -1.1}, {-1.2, 1.1}}},
		{corners: cross(math.Pi / 4)},
		{corners: ring(3, 0, 1.4)},
		{corners: ring(3, math.Pi, 1.4)},
	}
	computerMarks = []shape{
		{open: true},
		{corners: ring(4, math.Pi/4, 1.2), open: true},
		{corners: ring(4, 0, 1.4), open: true},
		{corners: ring(3, math.Pi/2, 1.4), open: true},
		{corners: ring(3, -math.Pi/2, 1.4), open: true},
		{corners: star(5, 1.55, 0.6), open: true},
		{corners: cross(0), open: true},
	}
	reserveMarks = []shape{
		{corners: ring(4, math.Pi/4, 1.4), spokes: true},
		{corners: ring(4, 0, 1.4), spokes: true},
		{corners: ring(6, math.Pi/2, 1.4), spokes: true},
	}
)

// lookOf returns the look of a method by its name; i counts the series of the
// picture from zero, and serves what is no method of the lists.
func lookOf(method string, i int) look {
	l := looks(i)
	l.mark.Shape = reserveMarks[i%len(reserveMarks)]
	if k := slices.Index(drawnByHand, method); k >= 0 {
		l = looks(k)
		l.mark.Shape = handMarks[k%len(handMarks)]
	} else if k := slices.Index(drawnByComputer, method); k >= 0 {
		l = looks(len(drawnByHand) + k)
		l.mark.Shape = computerMarks[k%len(computerMarks)]
	}
	return l
}

// methodLooks returns the looks of methods by their names, for a picture that
// numbers them.
func methodLooks(methods []string) func(int) look {
	return func(i int) look { return lookOf(methods[i], i) }
}

// methodKeys explain what filled and open marks mean.
func methodKeys() []key {
	hand := draw.GlyphStyle{Color: shade, Radius: 3.2, Shape: handMarks[0]}
	computer := draw.GlyphStyle{Color: shade, Radius: 3.2, Shape: computerMarks[0]}
	return []key{{text: "filled: by hand", mark: &hand}, {text: "open: by computer", mark: &computer}}
}

// star returns the corners of a star of n rays.
func star(n int, outer, inner float64) [][2]float64 {
	corners := make([][2]float64, 2*n)
	for i := range corners {
		r := outer
		if i%2 == 1 {
			r = inner
		}
		sin, cos := math.Sincos(math.Pi/2 + math.Pi*float64(i)/float64(n))
		corners[i] = [2]float64{r * cos, r * sin}
	}
	return corners
}

// cross returns the corners of an upright cross turned by an angle in rad.
func cross(turn float64) [][2]float64 {
	const long, short = 1.35, 0.42
	sin, cos := math.Sincos(turn)
	var corners [][2]float64
	for k := range 4 {
		s, c := math.Sincos(math.Pi / 2 * float64(k))
		for _, at := range [][2]float64{{long, -short}, {long, short}, {short, short}} {
			x, y := at[0]*c-at[1]*s, at[0]*s+at[1]*c
			corners = append(corners, [2]float64{x*cos - y*sin, x*sin + y*cos})
		}
	}
	return corners
}
