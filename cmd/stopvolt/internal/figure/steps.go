package figure

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"stopvolt/instrument/run"
)

// Steps shows why the knee is round: the curve of one setting built up cause by
// cause, each over the curve before in grey, on a linear and on a logarithmic
// axis, with the energies of the electrons beside.
type Steps struct {
	// Title stands above the picture; it may be empty.
	Title string
	// Truth is the true stopping voltage in V.
	Truth float64
	// Limit is the photon energy less the emitter's work function in eV, the
	// largest energy of an electron without heat; NaN leaves its mark out.
	Limit float64
	// Top is the largest current in A on the linear axis, which enlarges the
	// knee; 0 shows all.
	Top float64
	// Steps has at least one entry, in the order in which the causes are
	// added.
	Steps []Step
}

// A Step is the curve after one more cause.
type Step struct {
	// Cause names what is added, such as "heat of the electrons".
	Cause string
	// Caption explains it in plain words with the number that matters; it may
	// be empty.
	Caption string
	// V are retarding voltages in V, rising, and I the mean currents in A.
	V, I []float64
	// Readings are drawn over the curve, with their uncertainties, where the
	// cause is the noise.
	Readings []run.Reading
	// Energies is the histogram of the electrons' energies; nil where the
	// cause leaves them as they were.
	Energies *Energies
}

// Energies is a histogram of kinetic energies on leaving the emitter.
type Energies struct {
	// Edges are the bounds of the bins in eV, rising, one more than there are
	// Counts of electrons.
	Edges, Counts []float64
}

// orderMatters is said wherever steps are shown.
const orderMatters = "How large a step looks depends on the order in which the causes are added."

// Picture lays all steps out on one page, a row to each. The error says which
// step does not fit.
func (f Steps) Picture() (Picture, error) {
	if err := f.check(); err != nil {
		return Picture{}, err
	}
	h := head{title: f.Title, keys: append(f.keys(f.Steps...), key{text: orderMatters})}
	var body vg.Length = 40
	for _, s := range f.Steps {
		body += s.rowHeight()
	}
	alt := fmt.Sprintf("Current against retarding voltage, built up in %d steps from a sharp corner to a curve of the bench.", len(f.Steps))
	// Each step has a slide of its own for small screens.
	return h.pageOf(pageWidth, alt, panels(body, func(c draw.Canvas) {
		for i, s := range f.Steps {
			last := i == len(f.Steps)-1
			s.words(c, i)
			area := stepColumns(c, s.rowHeight()-20)
			for k, p := range f.plots(i) {
				if !last {
					p.X.Label.Text = ""
				}
				place(p, c, area[k])
			}
			c.Max.Y -= s.rowHeight()
		}
	})), nil
}

// Slide lays out step i, counted from zero, in a picture of its own. The error
// says what does not fit.
func (f Steps) Slide(i int) (Picture, error) {
	if err := f.check(); err != nil {
		return Picture{}, err
	}
	if i < 0 || i >= len(f.Steps) {
		return Picture{}, fmt.Errorf("step %d of %d", i+1, len(f.Steps))
	}
	s := f.Steps[i]
	h := head{title: fmt.Sprintf("%d. %s", i+1, s.Cause), keys: f.slideKeys(i)}
	alt := fmt.Sprintf("Step %d: %s. %s", i+1, s.Cause, s.Caption)
	return h.page(alt, func(width vg.Length) (vg.Length, func(draw.Canvas)) { return f.laySlide(i, width) }), nil
}

// laySlide lays the panels of step i out, beside or under one another.
func (f Steps) laySlide(i int, width vg.Length) (vg.Length, func(draw.Canvas)) {
	const high, low, axes = 190, 150, 44
	style := lettering(labelSize, ink)
	caption := wrap(f.Steps[i].Caption, style, width)
	words := vg.Length(len(caption)) * keyHeight
	height := words + high + 48
	if isNarrow(width) {
		height = words + 3*(low+axes)
	}
	return height, func(c draw.Canvas) {
		for _, line := range caption {
			write(c, line, style, vg.Point{X: c.Min.X, Y: c.Max.Y - keyHeight/2}, draw.XLeft)
			c.Max.Y -= keyHeight
		}
		c.Max.Y -= 6
		const axis, gap = 46, 8
		if isNarrow(width) {
			for _, p := range f.plots(i) {
				place(p, c, vg.Rectangle{Min: vg.Point{X: c.Min.X + axis, Y: c.Max.Y - low}, Max: vg.Point{X: c.Max.X - gap, Y: c.Max.Y}})
				c.Max.Y -= low + axes
			}
			return
		}
		each := (c.Max.X-c.Min.X)/3 - axis - gap
		for k, p := range f.plots(i) {
			left := c.Min.X + axis + vg.Length(k)*(each+axis+gap)
			place(p, c, vg.Rectangle{Min: vg.Point{X: left, Y: c.Max.Y - high}, Max: vg.Point{X: left + each, Y: c.Max.Y}})
		}
	}
}

// slideKeys explain what step i shows.
func (f Steps) slideKeys(i int) []key {
	keys := f.keys(f.Steps[i])
	if _, small := f.change(i); small {
		line := changeLine()
		keys = append(keys, key{text: "the change, magnified", line: &line})
	}
	return keys
}

// check says what does not fit.
func (f Steps) check() error {
	if len(f.Steps) == 0 {
		return fmt.Errorf("steps to draw: none; at least one is needed")
	}
	if !finite(f.Truth, f.Top) || unbounded(f.Limit) {
		return fmt.Errorf("true cutoff %g V, limit %g eV, largest current %g A; they must be finite", f.Truth, f.Limit, f.Top)
	}
	for _, s := range f.Steps {
		if len(s.V) != len(s.I) || len(s.V) < 2 {
			return fmt.Errorf("step %q: %d voltages and %d currents; as many of both are needed, and at least two", s.Cause, len(s.V), len(s.I))
		}
		if !finite(s.V...) || !finite(s.I...) {
			return fmt.Errorf("step %q: a value of the curve is not finite", s.Cause)
		}
		for i, r := range s.Readings {
			if !finite(r.Retarding, r.Current, r.Uncertainty) {
				return fmt.Errorf("step %q, reading %d: a value is not finite", s.Cause, i+1)
			}
		}
		if e := s.Energies; e != nil && (len(e.Edges) != len(e.Counts)+1 || len(e.Counts) == 0 || !finite(e.Edges...) || !finite(e.Counts...)) {
			return fmt.Errorf("step %q: %d edges and %d counts of energies; one edge more is needed, and all finite", s.Cause, len(e.Edges), len(e.Counts))
		}
	}
	return nil
}

// oldLine and newLine are the styles of the curve before a step and after.
func oldLine() draw.LineStyle { return stroke(faint, 2.2) }
func newLine() draw.LineStyle { return stroke(hues[0], 1.4) }

// limitLine is the style of the largest energy without heat.
func limitLine() draw.LineStyle { return stroke(ink, 1, 1.5, 2.5) }

// keys explain the lines and marks of some steps.
func (f Steps) keys(steps ...Step) []key {
	before, after, truth, limit := oldLine(), newLine(), truthLine(), limitLine()
	keys := []key{
		{text: "before the step", line: &before},
		{text: "after", line: &after},
		{text: "true cutoff", line: &truth},
	}
	for _, s := range steps {
		if len(s.Readings) > 0 {
			mark, bar := readingMark(), readingBar()
			below := notPositive()
			keys = append(keys, key{text: "reading, with standard uncertainty", mark: &mark, bar: &bar},
				key{text: "reading not above zero", mark: &below})
			break
		}
	}
	if finite(f.Limit) {
		keys = append(keys, key{text: "photon energy less the emitter's work function", line: &limit})
	}
	return keys
}

// Widths of the words beside the panels of a step in points, and the least
// height of a row.
const (
	wordsWidth = 152
	stepHeight = 98
)

// captionLines breaks the caption into the lines of the words' column.
func (s Step) captionLines() []string {
	return wrap(s.Caption, lettering(tickSize, shade), wordsWidth-6)
}

// causeLines breaks the numbered cause into lines.
func (s Step) causeLines(i int) []string {
	return wrap(fmt.Sprintf("%d. %s", i+1, s.Cause), lettering(labelSize, ink), wordsWidth-6)
}

// rowHeight returns the height of the step's row in points.
func (s Step) rowHeight() vg.Length {
	lines := len(s.causeLines(98)) + len(s.captionLines())
	return max(stepHeight, vg.Length(lines)*12.5+16)
}

// words writes cause and caption into the upper left of a canvas.
func (s Step) words(c draw.Canvas, i int) {
	y := c.Max.Y - 6
	for _, line := range s.causeLines(i) {
		write(c, line, lettering(labelSize, ink), vg.Point{X: c.Min.X, Y: y}, draw.XLeft)
		y -= 12.5
	}
	y -= 2
	for _, line := range s.captionLines() {
		write(c, line, lettering(tickSize, shade), vg.Point{X: c.Min.X, Y: y}, draw.XLeft)
		y -= 12.5
	}
}

// stepColumns returns the areas of the three panels of a row.
func stepColumns(c draw.Canvas, height vg.Length) [3]vg.Rectangle {
	const axis, gap = 44, 6
	each := (c.Max.X - c.Min.X - wordsWidth) / 3
	var areas [3]vg.Rectangle
	for k := range areas {
		left := c.Min.X + wordsWidth + vg.Length(k)*each
		areas[k] = vg.Rectangle{
			Min: vg.Point{X: left + axis, Y: c.Max.Y - height},
			Max: vg.Point{X: left + each - gap, Y: c.Max.Y},
		}
	}
	return areas
}

// plots returns the plots of step i: linear, logarithmic and energies. The
// axes are those of all steps.
func (f Steps) plots(i int) [3]*plot.Plot {
	v, y := nowhere(), nowhere().with(0)
	var currents [][]float64
	for _, s := range f.Steps {
		v, y = v.with(s.V...), y.with(s.I...)
		currents = append(currents, s.I)
		for _, r := range s.Readings {
			y = y.with(r.Current-r.Uncertainty, r.Current+r.Uncertainty)
			currents = append(currents, []float64{r.Current + r.Uncertainty})
		}
	}
	if f.Top > 0 {
		y.high = math.Min(y.high, f.Top)
	}
	axis, u := currentAxis(y)
	linear := newPlot(f.enlarged(v).padded(0.02, 0.1), axis)
	linear.Y.Label.Text = "current / " + u.name
	linear.Add(across(0, stroke(faint, 0.8)))
	logs := logRange(currents...)
	small := currentUnit(math.Sqrt(logs.low * logs.high))
	logarithmic := newLogPlot(v.padded(0.02, 0.1), extent{logs.low / small.size, logs.high / small.size}, "current / "+small.name)
	for _, p := range []*plot.Plot{linear, logarithmic} {
		p.X.Label.Text = voltageLabel
		p.Add(upright(f.Truth, truthLine()))
	}
	if i > 0 {
		before := f.Steps[i-1]
		linear.Add(through(before.V, scaled(before.I, u.size), oldLine()))
		logarithmic.Add(throughPositive(before.V, scaled(before.I, small.size), oldLine()))
	}
	s := f.Steps[i]
	linear.Add(through(s.V, scaled(s.I, u.size), newLine()))
	logarithmic.Add(throughPositive(s.V, scaled(s.I, small.size), newLine()))
	add(linear, data(s.Readings, u), readingMark(), readingBar())
	addPositive(logarithmic, data(s.Readings, small), readingMark(), readingBar())
	third := f.energies(i)
	if most, small := f.change(i); small {
		third = f.difference(i, most)
	}
	return [3]*plot.Plot{linear, logarithmic, third}
}

// lineShare is the width of the curve's line over the height of a slide's panel. A
// step that moves the curve by less cannot be seen there.
const lineShare = 1.4 / 190

// change returns the largest change in A that step i makes in the linear panel, and
// whether it is less than the width of the line.
func (f Steps) change(i int) (most float64, small bool) {
	if i == 0 || len(f.Steps[i].Readings) > 0 {
		return 0, false
	}
	v, y := nowhere(), nowhere().with(0)
	for _, s := range f.Steps {
		v, y = v.with(s.V...), y.with(s.I...)
	}
	if f.Top > 0 {
		y.high = math.Min(y.high, f.Top)
	}
	window := f.enlarged(v)
	for k, d := range f.differences(i) {
		if window.holds(f.Steps[i].V[k]) {
			most = math.Max(most, math.Abs(d))
		}
	}
	return most, most < lineShare*(y.high-y.low)
}

// differences returns the current of step i less that of the step before in A, and
// nothing where they have other voltages.
func (f Steps) differences(i int) []float64 {
	now, before := f.Steps[i], f.Steps[i-1]
	if !slices.Equal(now.V, before.V) {
		return nil
	}
	d := make([]float64, len(now.I))
	for k := range d {
		d[k] = now.I[k] - before.I[k]
	}
	return d
}

// changeLine is the style of a difference.
func changeLine() draw.LineStyle { return stroke(hues[2], 1.4) }

// difference returns the plot of what step i changes, on a scale of its own, and says
// how much that is.
func (f Steps) difference(i int, most float64) *plot.Plot {
	v := nowhere()
	for _, s := range f.Steps {
		v = v.with(s.V...)
	}
	window := f.enlarged(v)
	y := nowhere().with(0)
	d := f.differences(i)
	for k, x := range d {
		if window.holds(f.Steps[i].V[k]) {
			y = y.with(x)
		}
	}
	axis, u := currentAxis(y.padded(0.25, 1e-18))
	p := newPlot(window.padded(0.02, 0.1), axis)
	p.X.Label.Text, p.Y.Label.Text = voltageLabel, "change / "+u.name
	p.Add(across(0, stroke(faint, 0.8)), upright(f.Truth, truthLine()))
	p.Add(through(f.Steps[i].V, scaled(d, u.size), changeLine()))
	said := "no change here"
	if most > 0 {
		said = fmt.Sprintf("at most %s %s", number(most/u.size, decimalsFor(most/u.size)), u.name)
	}
	p.Add(painter(func(c draw.Canvas, _ *plot.Plot) {
		note(c, said, vg.Point{X: c.Min.X + 5, Y: c.Max.Y - 8}, draw.XLeft)
	}))
	return p
}

// enlarged returns the range of voltages of the linear axis out of that of all
// curves: where the currents are below the largest shown, and as far beyond
// the cutoff.
func (f Steps) enlarged(all extent) extent {
	if f.Top <= 0 {
		return all
	}
	low := all.high
	for _, s := range f.Steps {
		for i, current := range s.I {
			if current <= f.Top {
				low = math.Min(low, s.V[i])
				break
			}
		}
	}
	if low >= f.Truth {
		return all
	}
	high := 2*f.Truth - low
	if finite(f.Limit) && len(f.Steps) > 1 {
		// The corner lies there before the contact potential moves it.
		high = math.Max(high, f.Limit+0.1*(high-low))
	}
	return extent{math.Max(all.low, low), math.Min(all.high, high)}
}

// data returns readings as points in a unit.
func data(readings []run.Reading, u unit) []datum {
	var out []datum
	for _, r := range readings {
		out = append(out, datum{x: r.Retarding, y: r.Current / u.size, uy: r.Uncertainty / u.size})
	}
	return out
}

// energies returns the plot of the energies at step i over those before.
func (f Steps) energies(i int) *plot.Plot {
	x, y := nowhere(), nowhere().with(0)
	for _, s := range f.Steps {
		if e := s.Energies; e != nil {
			x = x.with(e.Edges...)
			for _, n := range e.Counts {
				y = y.with(n + math.Sqrt(math.Max(n, 0)))
			}
		}
	}
	y.high *= 1.06
	if !(y.high > 0) {
		y.high = 1
	}
	p := newPlot(x.padded(0.02, 0.5), y)
	p.X.Label.Text = "kinetic energy / eV"
	p.Y.Label.Text = "electrons"
	now, before := f.Steps[i].Energies, f.energiesBefore(i)
	switch {
	case now != nil:
		p.Add(now.filled())
	case before != nil:
		p.Add(painter(func(c draw.Canvas, _ *plot.Plot) {
			write(c, "as before", lettering(tickSize, shade), vg.Point{X: c.Min.X + 5, Y: c.Max.Y - 7}, draw.XLeft)
		}))
	}
	if before != nil {
		p.Add(before.outline(oldLine()))
	}
	if now != nil {
		p.Add(now.outline(newLine()), now.errors())
	}
	if finite(f.Limit) {
		p.Add(upright(f.Limit, limitLine()))
	}
	return p
}

// energiesBefore returns the last histogram before step i, nil for none.
func (f Steps) energiesBefore(i int) *Energies {
	for k := i - 1; k >= 0; k-- {
		if e := f.Steps[k].Energies; e != nil {
			return e
		}
	}
	return nil
}

// corners returns the outline of the histogram.
func (e *Energies) corners() (x, y []float64) {
	x, y = append(x, e.Edges[0]), append(y, 0)
	for i, n := range e.Counts {
		x, y = append(x, e.Edges[i], e.Edges[i+1]), append(y, n, n)
	}
	return append(x, e.Edges[len(e.Counts)]), append(y, 0)
}

// outline draws the outline of the histogram.
func (e *Energies) outline(style draw.LineStyle) plot.Plotter {
	x, y := e.corners()
	return through(x, y, style)
}

// filled draws the area of the histogram.
func (e *Energies) filled() plot.Plotter {
	x, y := e.corners()
	return painter(func(c draw.Canvas, p *plot.Plot) {
		var area []vg.Point
		for i := range x {
			area = append(area, spot(c, p, x[i], y[i]))
		}
		c.FillPolygon(haze, c.ClipPolygonXY(area))
	})
}

// errors draws the standard uncertainty of each count, its square root.
func (e *Energies) errors() plot.Plotter {
	return painter(func(c draw.Canvas, p *plot.Plot) {
		var bars vg.Path
		for i, n := range e.Counts {
			if n <= 0 {
				continue
			}
			middle, u := (e.Edges[i]+e.Edges[i+1])/2, math.Sqrt(n)
			bars = append(bars, whiskerPath(c, spot(c, p, middle, n-u), spot(c, p, middle, n+u), 1)...)
		}
		if len(bars) > 0 {
			c.SetLineStyle(stroke(hues[0], 0.6))
			c.Stroke(bars)
		}
	})
}
