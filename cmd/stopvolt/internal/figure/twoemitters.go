package figure

import (
	"cmp"
	"fmt"
	"image/color"
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"stopvolt/analysis"
)

// TwoEmitters shows the stopping voltages of emitters of different metals in
// front of one collector: each begins at its own threshold, yet all lie on one
// line, which meets the axis at the collector's work function and at no
// emitter's.
type TwoEmitters struct {
	// Title stands above the picture; it may be empty.
	Title string
	// Emitters has at least one entry.
	Emitters []EmitterLine
	// Collector is the collector's work function in eV.
	Collector float64
}

// An EmitterLine is what one emitter gives.
type EmitterLine struct {
	// Name is that of the emitter.
	Name string
	// WorkFunction is the emitter's in eV, and Threshold its threshold in Hz.
	WorkFunction, Threshold float64
	// Points has at least one point, and Line is the line through them.
	Points []analysis.Point
	Line   analysis.Line
}

// Picture lays the lines out. The error says which emitter does not fit.
func (f TwoEmitters) Picture() (Picture, error) {
	if len(f.Emitters) == 0 || !finite(f.Collector) {
		return Picture{}, fmt.Errorf("%d emitters and a collector of %g eV; at least one emitter and a finite work function are needed",
			len(f.Emitters), f.Collector)
	}
	for _, e := range f.Emitters {
		if len(e.Points) == 0 || !finite(e.WorkFunction, e.Threshold, e.Line.Slope, e.Line.Intercept) {
			return Picture{}, fmt.Errorf("emitter %q: points, finite work function, threshold and line are needed", e.Name)
		}
		for _, pt := range e.Points {
			if !finite(pt.Frequency, pt.UFrequency, pt.Stopping, pt.UStopping) {
				return Picture{}, fmt.Errorf("emitter %q, setting %q: a value is not finite", e.Name, pt.Setting)
			}
		}
	}
	alt := fmt.Sprintf("Stopping voltage against frequency for %d emitters: one slope, and the intercept of the collector.", len(f.Emitters))
	const height = emittersHeight
	return head{title: f.Title, keys: f.keys()}.page(alt, panels(height+48, func(c draw.Canvas) {
		place(f.plot(), c, vg.Rectangle{
			Min: vg.Point{X: c.Min.X + axisRoom, Y: c.Max.Y - height - 4},
			Max: vg.Point{X: c.Max.X - marginRight, Y: c.Max.Y - 4},
		})
	})), nil
}

// Lengths of the picture in points: the height of its panel, how far the name
// of a work function stands below its mark, and below the name before.
const (
	emittersHeight = 300
	nameBelow      = 9
	nameApart      = 13
)

// emitterLook is the look of emitter i. The marks grow, since they lie on one
// another.
func emitterLook(i int) look {
	l := looks(i)
	l.mark.Radius = 2.8 + 1.7*vg.Length(i)
	return l
}

// keys say what each emitter gives.
func (f TwoEmitters) keys() []key {
	var keys []key
	for i, e := range f.Emitters {
		l := emitterLook(i)
		keys = append(keys, key{
			text: fmt.Sprintf("%s: slope %s × 10^{−15} V s, intercept %s V", e.Name,
				bracketed(e.Line.Slope/1e-15, e.Line.USlope/1e-15), bracketed(e.Line.Intercept, e.Line.UIntercept)),
			mark: &l.mark, line: &l.line, bar: &l.bar,
		})
	}
	threshold := stroke(shade, 1, 1.5, 2.5)
	return append(keys, key{text: "threshold of each emitter", line: &threshold})
}

// plot returns the plot from frequency zero on.
func (f TwoEmitters) plot() *plot.Plot {
	x, y := nowhere().with(0), nowhere().with(-f.Collector, 0)
	for _, e := range f.Emitters {
		y = y.with(-e.WorkFunction, e.Line.Intercept)
		x = x.with(e.Threshold / terahertz)
		for _, pt := range e.Points {
			x = x.with(pt.Frequency / terahertz)
			y = y.with(pt.Stopping-pt.UStopping, pt.Stopping+pt.UStopping)
		}
	}
	x.high += 0.05 * (x.high - x.low)
	y = y.padded(0.06, 0.1)
	y.low = f.lowestName(y)
	p := newPlot(x, y)
	p.X.Label.Text = "frequency / THz"
	p.Y.Label.Text = "stopping voltage / V"
	p.Add(across(0, stroke(faint, 0.8)))
	for i := len(f.Emitters) - 1; i >= 0; i-- {
		e, l := f.Emitters[i], emitterLook(i)
		p.Add(straight(e.Line.Slope, e.Line.Intercept, x, l.line))
		p.Add(thresholdMark(e.Threshold/terahertz, l.mark.Color))
		var points []datum
		for _, pt := range e.Points {
			points = append(points, datum{x: pt.Frequency / terahertz, y: pt.Stopping, ux: pt.UFrequency / terahertz, uy: pt.UStopping})
		}
		add(p, points, l.mark, l.bar)
	}
	p.Add(painter(f.intercepts))
	return p
}

// lowestName returns the lower end of the vertical axis that leaves room for
// the names of the work functions, each of which is below the one before.
func (f TwoEmitters) lowestName(y extent) float64 {
	values := []float64{-f.Collector}
	for _, e := range f.Emitters {
		values = append(values, -e.WorkFunction)
	}
	slices.SortFunc(values, func(a, b float64) int { return cmp.Compare(b, a) })
	low := y.low
	// A lower end makes the scale coarser, so it takes a few rounds.
	for range 8 {
		perPoint := (y.high - low) / emittersHeight
		free := math.Inf(1)
		for _, v := range values {
			free = math.Min(v-nameBelow*perPoint, free) - nameApart*perPoint
		}
		low = math.Min(y.low, free)
	}
	return low
}

// thresholdMark draws a short dotted line across that of zero voltage.
func thresholdMark(frequency float64, c color.Color) plot.Plotter {
	return painter(func(canvas draw.Canvas, p *plot.Plot) {
		at := spot(canvas, p, frequency, 0)
		line := clipped(canvas, []vg.Point{{X: at.X, Y: at.Y - 28}, {X: at.X, Y: at.Y + 28}})
		canvas.StrokeLines(stroke(c, 1.4, 1.5, 2.5), line...)
	})
}

// intercepts names the work functions beside the vertical axis, below one
// another where they are close.
func (f TwoEmitters) intercepts(c draw.Canvas, p *plot.Plot) {
	type label struct {
		value float64
		// text stands where there is room for it, and short elsewhere.
		text, short string
		mark        draw.GlyphStyle
	}
	labels := []label{{-f.Collector, "collector's work function: the lines end here", "the collector's", draw.GlyphStyle{Color: ink, Radius: 4, Shape: marks[6]}}}
	for i, e := range f.Emitters {
		l := looks(i)
		labels = append(labels, label{-e.WorkFunction, "that of " + e.Name + ": no line ends here", e.Name,
			draw.GlyphStyle{Color: l.mark.Color, Radius: 3.6, Shape: shape{corners: ring(4, math.Pi/4, 1.3), spokes: true}}})
	}
	slices.SortStableFunc(labels, func(a, b label) int { return cmp.Compare(b.value, a.value) })
	style := lettering(tickSize, ink)
	// The rising lines leave the room below them free.
	free := vg.Length(math.Inf(1))
	for _, l := range labels {
		at := spot(c, p, 0, l.value)
		c.DrawGlyphNoClip(l.mark, at)
		y := min(at.Y-nameBelow, free)
		free = y - nameApart
		value := number(l.value, 2) + " V, "
		text := value + l.text
		if widthOf(text, style) > c.Max.X-at.X-22 {
			text = value + l.short
		}
		left := vg.Point{X: at.X + 22, Y: y}
		c.StrokeLines(stroke(faint, 0.8), []vg.Point{{X: at.X + 6, Y: at.Y - 1}, {X: left.X - 3, Y: left.Y}})
		write(c, fit(text, style, c.Max.X-left.X), style, left, draw.XLeft)
	}
}
