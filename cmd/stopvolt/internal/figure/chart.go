package figure

import (
	"fmt"
	"image/color"
	"math"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Chart shows the factor that corrects h/e against something that is read off a
// run, a step for each row of a table: the middle, what holds two thirds of the
// benches, and what holds 95 %.
type Chart struct {
	// Title stands above the picture; it may be empty.
	Title string
	// Reading names what is read off, with its unit.
	Reading string
	// Steps has at least one entry, in rising order.
	Steps []ChartStep
}

// A ChartStep is the factor for readings from From to To.
type ChartStep struct {
	From, To float64
	// Median is the factor. The ends of its ranges may be NaN where they are
	// not known, and the upper ones infinite.
	Median                float64
	Low, High             float64
	LikelyLow, LikelyHigh float64
}

// mostFactor is where the axis of factors ends, whatever the rows say: beyond it
// nobody corrects.
const mostFactor = 3

// Picture lays the chart out. The error says which step does not fit.
func (f Chart) Picture() (Picture, error) {
	if len(f.Steps) == 0 {
		return Picture{}, fmt.Errorf("chart to draw: no steps; at least one is needed")
	}
	x, y := nowhere(), nowhere().with(1)
	for i, s := range f.Steps {
		if !finite(s.From) || !finite(s.To) || !finite(s.Median) || s.To < s.From || i > 0 && s.From < f.Steps[i-1].To {
			return Picture{}, fmt.Errorf("step %d of the chart is from %g to %g with the factor %g; steps must be finite and rising", i+1, s.From, s.To, s.Median)
		}
		x = x.with(s.From, s.To)
		for _, v := range []float64{s.Median, s.Low, s.High, s.LikelyLow, s.LikelyHigh} {
			if !math.IsNaN(v) {
				y = y.with(min(v, mostFactor))
			}
		}
	}
	middle := stroke(ink, 1.6)
	h := head{title: f.Title, keys: []key{
		{text: "factor", line: &middle}, {text: "two thirds of the benches", fill: haze}, {text: "95 % of the benches", fill: wash},
	}}
	alt := fmt.Sprintf("Factor to correct h/e by against %s, in %d steps.", f.Reading, len(f.Steps))
	return h.page(alt, func(width vg.Length) (vg.Length, func(draw.Canvas)) { return f.lay(x, y, width) }), nil
}

// lay lays the panel out, with as many lines for the name of its axis as that needs.
func (f Chart) lay(x, y extent, width vg.Length) (vg.Length, func(draw.Canvas)) {
	middle := stroke(ink, 1.6)
	reading := wrap(f.Reading, lettering(labelSize, ink), 0.8*width)
	return 300 + vg.Length(len(reading)-1)*keyHeight, func(c draw.Canvas) {
		p := newPlot(x.padded(0.02, 1), y.padded(0.05, 0.1))
		p.X.Label.Text = strings.Join(reading, "\n")
		p.Y.Label.Text = "factor, true over read"
		for _, s := range f.Steps {
			p.Add(block(s.From, s.To, s.Low, s.High, wash), block(s.From, s.To, s.LikelyLow, s.LikelyHigh, haze), step(s.From, s.To, s.Median, middle))
		}
		p.Add(across(1, stroke(shade, 0.6)))
		place(p, c, vg.Rectangle{
			Min: vg.Point{X: c.Min.X + axisRoom, Y: c.Max.Y - 256},
			Max: vg.Point{X: c.Max.X - 14, Y: c.Max.Y - 4},
		})
	}
}

// block fills a rectangle; one whose ends are not known is none, and one without
// an upper end goes to the top.
func block(left, right, low, high float64, fill color.Color) plot.Plotter {
	return painter(func(c draw.Canvas, p *plot.Plot) {
		if math.IsNaN(low) || math.IsNaN(high) {
			return
		}
		norm := func(y float64) float64 {
			if math.IsInf(y, 1) {
				return 1
			}
			return min(max(p.Y.Norm(y), 0), 1)
		}
		r := vg.Rectangle{
			Min: vg.Point{X: c.X(p.X.Norm(left)), Y: c.Y(norm(low))},
			Max: vg.Point{X: c.X(p.X.Norm(right)), Y: c.Y(norm(high))},
		}
		c.SetColor(fill)
		c.Fill(r.Path())
	})
}

// step draws a level line.
func step(left, right, y float64, style draw.LineStyle) plot.Plotter {
	return painter(func(c draw.Canvas, p *plot.Plot) {
		if n := p.Y.Norm(y); n >= 0 && n <= 1 {
			c.StrokeLine2(style, c.X(p.X.Norm(left)), c.Y(n), c.X(p.X.Norm(right)), c.Y(n))
		}
	})
}
