package figure

import (
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// shownDecades is how many powers of ten a logarithmic axis of currents shows.
const shownDecades = 5

// leastCurrent in A is far below one electron in the age of the universe.
const leastCurrent = 1e-40

// logRange returns the range of a logarithmic axis for currents in A, of which
// those above zero count: five powers of ten at most. Without any it is from
// 1 fA to 10 fA.
func logRange(values ...[]float64) extent {
	r := nowhere()
	for _, list := range values {
		for _, v := range list {
			if v > leastCurrent {
				r = r.with(v)
			}
		}
	}
	if r.low > r.high {
		return extent{1e-15, 1e-14}
	}
	// Half a mark's height above the largest value, and one power at least.
	r.high *= 1.8
	r.low = math.Min(math.Max(r.low/1.5, r.high/math.Pow(10, shownDecades)), r.high/10)
	return r
}

// newLogPlot returns an empty plot with a logarithmic vertical axis.
func newLogPlot(x, y extent, label string) *plot.Plot {
	p := newPlot(x, y)
	p.Y.Scale, p.Y.Tick.Marker = plot.LogScale{}, decades{6}
	p.Y.Min, p.Y.Max = y.low, y.high
	p.Y.Label.Text = label
	return p
}

// throughPositive draws a line through points on a plot with a logarithmic
// axis; where it falls below the axis it leaves the plot through its floor.
func throughPositive(x, y []float64, style draw.LineStyle) plot.Plotter {
	return painter(func(c draw.Canvas, p *plot.Plot) {
		// Far below the floor a line is as good as one to minus infinity.
		floor := p.Y.Min * 1e-3
		for _, run := range positiveRuns(x, y, floor) {
			var line []vg.Point
			for _, xy := range run {
				line = append(line, spot(c, p, xy[0], xy[1]))
			}
			c.StrokeLines(style, clipped(c, line)...)
		}
	})
}

// positiveRuns splits points where y is not above a floor, and ends each run at
// the floor, where the straight line to the next point meets it.
func positiveRuns(x, y []float64, floor float64) [][][2]float64 {
	var runs [][][2]float64
	var run [][2]float64
	for i := range min(len(x), len(y)) {
		above := y[i] > floor
		if i > 0 && above != (y[i-1] > floor) {
			t := (floor - y[i-1]) / (y[i] - y[i-1])
			run = append(run, [2]float64{x[i-1] + t*(x[i]-x[i-1]), floor})
		}
		if above {
			run = append(run, [2]float64{x[i], y[i]})
		} else if len(run) > 0 {
			runs = append(runs, run)
			run = nil
		}
	}
	if len(run) > 0 {
		runs = append(runs, run)
	}
	return runs
}

// notPositive is the look of a value that a logarithmic axis cannot show.
func notPositive() draw.GlyphStyle {
	return draw.GlyphStyle{Color: shade, Radius: 1.8, Shape: shape{corners: ring(3, -math.Pi/2, 1.3)}}
}

// addPositive adds data to a plot with a logarithmic axis. A bar that reaches
// below the axis is cut off there, and what is not above zero is a small arrow
// at the floor.
func addPositive(p *plot.Plot, data []datum, mark draw.GlyphStyle, bar draw.LineStyle) {
	limits := extent{p.X.Min, p.X.Max}
	arrow := notPositive()
	p.Add(painter(func(c draw.Canvas, p *plot.Plot) {
		floor := p.Y.Min * 1e-3
		for _, d := range data {
			if !limits.holds(d.x) {
				continue
			}
			if d.uy > 0 && d.y+d.uy > floor {
				whisker(c, bar, spot(c, p, d.x, max(d.y-d.uy, floor)), spot(c, p, d.x, d.y+d.uy), mark.Radius*0.8)
			}
			if d.y >= p.Y.Min {
				c.DrawGlyph(mark, spot(c, p, d.x, d.y))
			} else {
				c.DrawGlyph(arrow, vg.Point{X: c.X(p.X.Norm(d.x)), Y: c.Min.Y + 2.5})
			}
		}
	}))
}
