package figure

import (
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// clipped returns the parts of a line that lie on a canvas. The canvas's own
// clipping adds a small part of a length to one end, which goes astray where
// the other end is very far off; here a point on an edge is put there exactly.
func clipped(c draw.Canvas, line []vg.Point) [][]vg.Point {
	var parts [][]vg.Point
	var part []vg.Point
	flush := func() {
		if len(part) > 1 {
			parts = append(parts, part)
		}
		part = nil
	}
	for i := 1; i < len(line); i++ {
		a, b, ok := clippedSegment(c.Rectangle, line[i-1], line[i])
		if !ok {
			flush()
			continue
		}
		if len(part) == 0 || part[len(part)-1] != a {
			flush()
			part = []vg.Point{a}
		}
		part = append(part, b)
	}
	flush()
	return parts
}

// clippedSegment returns the part of a segment in a rectangle, if there is one.
func clippedSegment(r vg.Rectangle, a, b vg.Point) (vg.Point, vg.Point, bool) {
	cut := func(inside func(vg.Point) bool, onto func(a, b vg.Point) vg.Point) bool {
		switch in, out := inside(a), inside(b); {
		case !in && !out:
			return false
		case !in:
			a = onto(a, b)
		case !out:
			b = onto(a, b)
		}
		return true
	}
	upright := func(x vg.Length) func(a, b vg.Point) vg.Point {
		return func(a, b vg.Point) vg.Point {
			return vg.Point{X: x, Y: a.Y + (b.Y-a.Y)*((x-a.X)/(b.X-a.X))}
		}
	}
	level := func(y vg.Length) func(a, b vg.Point) vg.Point {
		return func(a, b vg.Point) vg.Point {
			return vg.Point{X: a.X + (b.X-a.X)*((y-a.Y)/(b.Y-a.Y)), Y: y}
		}
	}
	ok := cut(func(p vg.Point) bool { return p.X >= r.Min.X }, upright(r.Min.X)) &&
		cut(func(p vg.Point) bool { return p.X <= r.Max.X }, upright(r.Max.X)) &&
		cut(func(p vg.Point) bool { return p.Y >= r.Min.Y }, level(r.Min.Y)) &&
		cut(func(p vg.Point) bool { return p.Y <= r.Max.Y }, level(r.Max.Y))
	if ok {
		// What the interpolation along x left over.
		a, b = onto(r, a), onto(r, b)
	}
	return a, b, ok
}

// onto moves a point to the nearest one in a rectangle.
func onto(r vg.Rectangle, p vg.Point) vg.Point {
	return vg.Point{
		X: min(max(p.X, r.Min.X), r.Max.X),
		Y: min(max(p.Y, r.Min.Y), r.Max.Y),
	}
}

// through draws a line through points, clipped to the plot.
func through(x, y []float64, style draw.LineStyle) plot.Plotter {
	return painter(func(c draw.Canvas, p *plot.Plot) {
		line := make([]vg.Point, min(len(x), len(y)))
		for i := range line {
			line[i] = spot(c, p, x[i], y[i])
		}
		c.StrokeLines(style, clipped(c, line)...)
	})
}
