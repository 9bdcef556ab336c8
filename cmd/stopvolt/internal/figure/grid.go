package figure

import (
	"fmt"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Grid shows the bias of h/e of each method as one property of the apparatus
// is varied. A few methods share a panel; of many, each has a panel of its own
// with the others in grey behind it.
type Grid struct {
	// Title stands above the picture; it may be empty.
	Title string
	// Parameter names the property with its unit, such as "stray light / %".
	Parameter string
	// Values are those of the property in that unit, at least two and rising.
	// Logarithmic asks for a logarithmic axis, for which all must be above
	// zero.
	Values      []float64
	Logarithmic bool
	// Series has at least one entry.
	Series []GridSeries
}

// A GridSeries is how the bias of one method goes with the property.
type GridSeries struct {
	// Method is the method's name.
	Method string
	// Bias has one entry for each value: the mean deviation of h/e over the
	// true one, as a fraction, NaN where the method has no answer. Error is its
	// Monte Carlo standard error, NaN or 0 where not known.
	Bias, Error []float64
}

// together is the most methods that share a panel.
const together = 5

// Picture lays the panels out. The error says what does not fit.
func (f Grid) Picture() (Picture, error) {
	if err := f.check(); err != nil {
		return Picture{}, err
	}
	alt := fmt.Sprintf("Relative bias of h/e of %d methods against %s.", len(f.Series), f.Parameter)
	n := len(f.Series)
	if n <= together {
		h := head{title: f.Title, keys: f.keys()}
		return h.page(alt, panels(300, func(c draw.Canvas) {
			p := f.plot(nil, c.Max.X-c.Min.X)
			place(p, c, vg.Rectangle{
				Min: vg.Point{X: c.Min.X + axisRoom, Y: c.Max.Y - 256},
				Max: vg.Point{X: c.Max.X - 14, Y: c.Max.Y - 4},
			})
		})), nil
	}
	h := head{title: f.Title, keys: []key{{text: "bars: Monte Carlo standard error; gaps: no answer; grey: the other methods"}}}
	return h.page(alt, f.lay), nil
}

// lay gives each method a panel, three in a row, or one on a small screen.
func (f Grid) lay(text vg.Length) (vg.Length, func(draw.Canvas)) {
	const height = 160
	n, columns := len(f.Series), 3
	if isNarrow(text) {
		columns = 1
	}
	width := text / vg.Length(columns)
	return height * vg.Length((n+columns-1)/columns), func(c draw.Canvas) {
		for i, s := range f.Series {
			left := c.Min.X + width*vg.Length(i%columns) + 44
			top := c.Max.Y - height*vg.Length(i/columns)
			l, style := lookOf(s.Method, i), lettering(labelSize, ink)
			c.DrawGlyphNoClip(l.mark, vg.Point{X: left + 6, Y: top - 8})
			write(c, fit(s.Method, style, width-70), style, vg.Point{X: left + 14, Y: top - 8}, draw.XLeft)
			place(f.plot(&i, width), c, vg.Rectangle{
				Min: vg.Point{X: left, Y: top - height + 44},
				Max: vg.Point{X: left + width - 56, Y: top - 18},
			})
		}
	}
}

// check says what does not fit.
func (f Grid) check() error {
	if len(f.Values) < 2 || len(f.Series) == 0 {
		return fmt.Errorf("grid to draw: %d values and %d methods; at least two values and one method are needed", len(f.Values), len(f.Series))
	}
	for i, v := range f.Values {
		if !finite(v) || f.Logarithmic && v < 1/beyondDrawing || i > 0 && v <= f.Values[i-1] {
			return fmt.Errorf("value %d of %q is %g; values must be finite and rising, and above zero on a logarithmic axis", i+1, f.Parameter, v)
		}
	}
	for _, s := range f.Series {
		if len(s.Bias) != len(f.Values) || len(s.Error) != len(f.Values) {
			return fmt.Errorf("method %q: %d biases and %d errors for %d values; it needs one of each", s.Method, len(s.Bias), len(s.Error), len(f.Values))
		}
		for i := range s.Bias {
			if unbounded(s.Bias[i], s.Error[i]) {
				return fmt.Errorf("method %q: the bias at %g is infinite", s.Method, f.Values[i])
			}
		}
	}
	return nil
}

// keys name the methods of a shared panel.
func (f Grid) keys() []key {
	var keys []key
	for i, s := range f.Series {
		l := lookOf(s.Method, i)
		keys = append(keys, key{text: s.Method, mark: &l.mark, line: &l.line, bar: &l.bar})
	}
	return append(keys, key{text: "bars: Monte Carlo standard error; gaps: no answer"})
}

// plot returns the plot of all series, or of one with the others in grey, for a
// width in points.
func (f Grid) plot(only *int, width vg.Length) *plot.Plot {
	x := nowhere().with(f.Values...)
	y := nowhere().with(0)
	for _, s := range f.Series {
		for i, b := range s.Bias {
			if finite(b) {
				u := known(s.Error[i])
				y = y.with(100*(b-u), 100*(b+u))
			}
		}
	}
	if f.Logarithmic {
		ratio := math.Pow(x.high/x.low, 0.05)
		x = extent{x.low / ratio, x.high * ratio}
	} else {
		x = x.padded(0.05, 1)
	}
	p := newPlot(x, y.padded(0.08, 1))
	if f.Logarithmic {
		p.X.Min, p.X.Max = x.low, x.high
		p.X.Scale, p.X.Tick.Marker = plot.LogScale{}, levelTicks{logarithmic: true}
	}
	p.X.Label.Text = fit(f.Parameter, p.X.Label.TextStyle, 0.75*width)
	p.Y.Label.Text = "bias of h/e / %"
	zero := across(0, stroke(ink, 0.8))
	if only == nil {
		p.Add(zero)
		for i, s := range f.Series {
			f.addSeries(p, s, lookOf(s.Method, i))
		}
		return p
	}
	for i, s := range f.Series {
		if i != *only {
			f.addLines(p, s, stroke(faint, 0.7))
		}
	}
	p.Add(zero)
	f.addSeries(p, f.Series[*only], lookOf(f.Series[*only].Method, *only))
	return p
}

// addSeries adds the marks, bars and joining lines of a series.
func (f Grid) addSeries(p *plot.Plot, s GridSeries, l look) {
	l.line.Width = 0.9
	f.addLines(p, s, l.line)
	var data []datum
	for i, b := range s.Bias {
		if finite(b) {
			data = append(data, datum{x: f.Values[i], y: 100 * b, uy: 100 * known(s.Error[i])})
		}
	}
	add(p, data, l.mark, l.bar)
}

// addLines joins the points of a series between its gaps.
func (f Grid) addLines(p *plot.Plot, s GridSeries, style draw.LineStyle) {
	var x, y []float64
	for i, b := range append(s.Bias[:len(s.Bias):len(s.Bias)], math.NaN()) {
		if finite(b) {
			x, y = append(x, f.Values[i]), append(y, 100*b)
			continue
		}
		if len(x) > 1 {
			p.Add(through(x, y, style))
		}
		x, y = nil, nil
	}
}
