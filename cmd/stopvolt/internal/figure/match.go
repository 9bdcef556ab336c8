package figure

import (
	"fmt"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Bands shows measured curves over the bands that simulated benches fill, and
// beside each where in its band the curve runs.
type Bands struct {
	// Title stands above the picture.
	Title string
	// Curves has an entry for each, drawn from above; there is at least one.
	Curves []BandOfCurve
}

// A BandOfCurve is a curve with the band about it, in parts of its current near
// 0 V. The slices have equal lengths.
type BandOfCurve struct {
	// Name is that of the setting, and Cutoff the one that was read, in V.
	Name   string
	Cutoff float64
	// V is in V and rises.
	V, Current, Low, High []float64
}

// bandHeight is that of one curve's row in points.
const bandHeight = 96

// Picture lays the rows out. The error says which curve does not fit.
func (f Bands) Picture() (Picture, error) {
	if len(f.Curves) == 0 {
		return Picture{}, fmt.Errorf("no curve to draw over its band")
	}
	for _, c := range f.Curves {
		n := len(c.V)
		if n < 2 || len(c.Current) != n || len(c.Low) != n || len(c.High) != n {
			return Picture{}, fmt.Errorf("%s: %d voltages for %d currents and a band of %d and %d", c.Name, n, len(c.Current), len(c.Low), len(c.High))
		}
		if !finite(c.V...) || !finite(c.Current...) || !finite(c.Low...) || !finite(c.High...) {
			return Picture{}, fmt.Errorf("%s: a value is not finite", c.Name)
		}
	}
	band, mark := stroke(haze, 6), readingMark()
	cutoff := stroke(shade, 1)
	keys := []key{{text: "readings", mark: &mark}, {text: "95 % of the benches like this one", line: &band}, {text: "cutoff as read", line: &cutoff}}
	alt := fmt.Sprintf("%d curves over the bands of simulated benches.", len(f.Curves))
	return head{title: f.Title, keys: keys}.page(alt, f.lay), nil
}

// lay lays the rows out: a curve and its place in the band beside each other, or under
// one another on a small screen.
func (f Bands) lay(width vg.Length) (vg.Length, func(draw.Canvas)) {
	const apart = 12
	each := vg.Length(bandHeight)
	if isNarrow(width) {
		each = 2*bandHeight + 2*apart
	}
	return each*vg.Length(len(f.Curves)) + 34, func(c draw.Canvas) {
		middle := (c.Min.X + c.Max.X) / 2
		voltages := f.voltages()
		for i, curve := range f.Curves {
			top := c.Max.Y - 4 - each*vg.Length(i)
			last := i == len(f.Curves)-1
			if isNarrow(width) {
				area := vg.Rectangle{Min: vg.Point{X: c.Min.X + axisRoom, Y: top - bandHeight + 14}, Max: vg.Point{X: c.Max.X - 10, Y: top}}
				place(curve.plot(voltages, false), c, area)
				area.Min.Y, area.Max.Y = area.Min.Y-bandHeight, area.Max.Y-bandHeight
				place(curve.rest(voltages, last), c, area)
				continue
			}
			place(curve.plot(voltages, last), c, vg.Rectangle{
				Min: vg.Point{X: c.Min.X + axisRoom, Y: top - bandHeight + 14},
				Max: vg.Point{X: middle - 8, Y: top},
			})
			place(curve.rest(voltages, last), c, vg.Rectangle{
				Min: vg.Point{X: middle + axisRoom, Y: top - bandHeight + 14},
				Max: vg.Point{X: c.Max.X - 4, Y: top},
			})
		}
	}
}

// voltages are those of all rows, so that the numbers under the last hold for each.
func (f Bands) voltages() extent {
	x := nowhere()
	for _, c := range f.Curves {
		x = x.with(c.V...)
		if finite(c.Cutoff) {
			x = x.with(c.Cutoff)
		}
	}
	return x.padded(0.02, 0.1)
}

// root keeps the knee in sight beside the steep part.
func root(x float64) float64 { return math.Copysign(math.Sqrt(math.Abs(x)), x) }

func roots(x []float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = root(v)
	}
	return out
}

// plot returns the curve over its band.
func (b BandOfCurve) plot(voltages extent, last bool) *plot.Plot {
	low, high, current := roots(b.Low), roots(b.High), roots(b.Current)
	p := newPlot(voltages, nowhere().with(low...).with(high...).with(current...).padded(0.06, 0.1))
	p.Y.Label.Text = b.Name + ", √(I/I₀)"
	underVoltages(p, last)
	p.Add(between(b.V, low, high))
	p.Add(upright(b.Cutoff, stroke(shade, 1)))
	points := make([]datum, len(b.V))
	for i, v := range b.V {
		points[i] = datum{x: v, y: current[i]}
	}
	add(p, points, readingMark(), readingBar())
	return p
}

// rest returns where in the band the curve runs: the ends are at -1 and 1.
func (b BandOfCurve) rest(voltages extent, last bool) *plot.Plot {
	points := make([]datum, len(b.V))
	values := extent{-1.5, 1.5}
	for i, v := range b.V {
		low, high, at := root(b.Low[i]), root(b.High[i]), root(b.Current[i])
		half := max((high-low)/2, 1e-3)
		points[i] = datum{x: v, y: min(max((at-(low+high)/2)/half, -4), 4)}
		values = values.with(points[i].y)
	}
	p := newPlot(voltages, values.padded(0.05, 0.1))
	p.Y.Label.Text = "in the band"
	underVoltages(p, last)
	ends := []float64{p.X.Min, p.X.Max}
	p.Add(between(ends, []float64{-1, -1}, []float64{1, 1}))
	p.Add(upright(b.Cutoff, stroke(shade, 1)))
	add(p, points, readingMark(), readingBar())
	return p
}

// underVoltages names the voltages under the last of several plots.
func underVoltages(p *plot.Plot, last bool) {
	if last {
		p.X.Label.Text = "retarding voltage / V"
		return
	}
	p.X.Tick.Marker = withoutTickLabels{}
}

// between fills what lies between two curves.
func between(x, low, high []float64) plot.Plotter {
	return painter(func(c draw.Canvas, p *plot.Plot) {
		at := func(i int, y []float64) vg.Point {
			return vg.Point{X: c.X(min(max(p.X.Norm(x[i]), 0), 1)), Y: c.Y(min(max(p.Y.Norm(y[i]), 0), 1))}
		}
		var outline []vg.Point
		for i := range x {
			outline = append(outline, at(i, high))
		}
		for i := len(x) - 1; i >= 0; i-- {
			outline = append(outline, at(i, low))
		}
		c.FillPolygon(haze, outline)
	})
}

// Correction shows for simulated benches by how much the truth was more than what
// was read, against what was predicted of it, and the interval of a measured run.
type Correction struct {
	// Title stands above the picture.
	Title string
	// Predicted and True are factors true over read, of equal lengths.
	Predicted, True []float64
	// At, Low and High are the factor of the run and the ends of its interval.
	At, Low, High float64
}

// Picture lays the figure out. The error says what does not fit.
func (f Correction) Picture() (Picture, error) {
	if len(f.Predicted) == 0 || len(f.Predicted) != len(f.True) {
		return Picture{}, fmt.Errorf("%d predictions for %d truths", len(f.Predicted), len(f.True))
	}
	if !finite(f.Predicted...) || !finite(f.True...) || !finite(f.At, f.Low, f.High) {
		return Picture{}, fmt.Errorf("a factor is not finite")
	}
	mark := draw.GlyphStyle{Color: faint, Radius: 1.6, Shape: marks[0]}
	run := draw.GlyphStyle{Color: hues[1], Radius: 4, Shape: marks[0]}
	bar, equal := stroke(hues[1], 2), truthLine()
	keys := []key{{text: "simulated benches that had no part in the learning", mark: &mark}, {text: "this run, with its interval", mark: &run, line: &bar}, {text: "predicted rightly", line: &equal}}
	x := nowhere().with(f.Predicted...).with(f.At).padded(0.05, 0.05)
	y := nowhere().with(f.True...).with(f.Low, f.High).padded(0.05, 0.05)
	alt := fmt.Sprintf("Factor true over read of %d benches against the predicted one; this run %.3f, from %.3f to %.3f.", len(f.True), f.At, f.Low, f.High)
	return head{title: f.Title, keys: keys}.page(alt, panels(300, func(c draw.Canvas) {
		p := newPlot(x, y)
		p.X.Label.Text, p.Y.Label.Text = "predicted factor true/read", "true factor true/read"
		ends := []float64{max(x.low, y.low), min(x.high, y.high)}
		p.Add(through(ends, ends, truthLine()))
		points := make([]datum, len(f.True))
		for i := range points {
			points[i] = datum{x: f.Predicted[i], y: f.True[i]}
		}
		add(p, points, mark, readingBar())
		p.Add(through([]float64{f.At, f.At}, []float64{f.Low, f.High}, bar))
		add(p, []datum{{x: f.At, y: f.At}}, run, bar)
		place(p, c, vg.Rectangle{Min: vg.Point{X: c.Min.X + axisRoom, Y: c.Min.Y + 34}, Max: vg.Point{X: c.Max.X - 10, Y: c.Max.Y - 4}})
	})), nil
}
