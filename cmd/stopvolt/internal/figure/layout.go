package figure

import (
	"image/color"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// newPlot returns an empty plot in the style, with the ranges of its axes.
func newPlot(x, y extent) *plot.Plot {
	x, y = x.drawable(), y.drawable()
	p := plot.New()
	p.BackgroundColor = nil
	for _, a := range []*plot.Axis{&p.X, &p.Y} {
		a.Padding = 0
		a.LineStyle = stroke(shade, 0.8)
		a.Tick.LineStyle = stroke(shade, 0.8)
		a.Tick.Length = tickLength
		a.Tick.Label.Font = sans(tickSize)
		a.Tick.Label.Color = ink
		a.Label.TextStyle.Font = sans(labelSize)
		a.Label.TextStyle.Color = ink
		a.Label.Padding = 3
	}
	p.X.Tick.Marker = levelTicks{}
	p.Y.Tick.Marker = ticks{}
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = x.low, x.high, y.low, y.high
	return p
}

// place draws a plot so that its data fill an area exactly; the axes lie
// outside it and get as many numbers as have room.
func place(p *plot.Plot, c draw.Canvas, area vg.Rectangle) {
	width := area.Max.X - area.Min.X
	switch t := p.X.Tick.Marker.(type) {
	case levelTicks:
		p.X.Tick.Marker = levelTicks{width, t.logarithmic}
	case withoutTickLabels:
		p.X.Tick.Marker = withoutTickLabels{levelTicks{width, t.logarithmic}}
	}
	if p.Y.Tick.Marker == (ticks{}) {
		p.Y.Tick.Marker = ticks{min(max(int((area.Max.Y-area.Min.Y)/16), 2), 8)}
	}
	c.Rectangle = area
	for range 3 {
		got := p.DataCanvas(c).Rectangle
		c.Min = c.Min.Add(area.Min.Sub(got.Min))
		c.Max = c.Max.Add(area.Max.Sub(got.Max))
	}
	p.Draw(c)
}

// withoutTickLabels keeps the marks and drops the numbers, for a panel over
// another with the same axis.
type withoutTickLabels struct{ levelTicks }

// Ticks returns the marks, as long as before and without a number.
func (t withoutTickLabels) Ticks(low, high float64) []plot.Tick {
	marks := t.levelTicks.Ticks(low, high)
	for i := range marks {
		if marks[i].Label != "" {
			marks[i].Label = " "
		}
	}
	return marks
}

// painter is a plotter made of a function.
type painter func(draw.Canvas, *plot.Plot)

// Plot draws it.
func (f painter) Plot(c draw.Canvas, p *plot.Plot) { f(c, p) }

// across draws a horizontal line at y over the whole plot.
func across(y float64, style draw.LineStyle) plot.Plotter {
	return painter(func(c draw.Canvas, p *plot.Plot) {
		if n := p.Y.Norm(y); n >= 0 && n <= 1 {
			c.StrokeLine2(style, c.Min.X, c.Y(n), c.Max.X, c.Y(n))
		}
	})
}

// upright draws a vertical line at x over the whole plot.
func upright(x float64, style draw.LineStyle) plot.Plotter {
	return painter(func(c draw.Canvas, p *plot.Plot) {
		if n := p.X.Norm(x); n >= 0 && n <= 1 {
			c.StrokeLine2(style, c.X(n), c.Min.Y, c.X(n), c.Max.Y)
		}
	})
}

// band fills the plot between two values of x.
func band(low, high float64, fill color.Color) plot.Plotter {
	return painter(func(c draw.Canvas, p *plot.Plot) {
		a, b := max(p.X.Norm(low), 0), min(p.X.Norm(high), 1)
		if a < b {
			r := vg.Rectangle{Min: vg.Point{X: c.X(a), Y: c.Min.Y}, Max: vg.Point{X: c.X(b), Y: c.Max.Y}}
			c.SetColor(fill)
			c.Fill(r.Path())
		}
	})
}

// A datum is a point with its standard uncertainties, which may be zero.
type datum struct{ x, y, ux, uy float64 }

// add adds the points of data that lie in the plot's range of x, with bars of
// one standard uncertainty.
func add(p *plot.Plot, data []datum, mark draw.GlyphStyle, bar draw.LineStyle) {
	limits := extent{p.X.Min, p.X.Max}
	p.Add(painter(func(c draw.Canvas, p *plot.Plot) {
		// All bars are one path, which keeps the files small.
		var bars vg.Path
		half := mark.Radius * 0.8
		for _, d := range data {
			if !limits.holds(d.x) {
				continue
			}
			if d.uy > 0 {
				bars = append(bars, whiskerPath(c, spot(c, p, d.x, d.y-d.uy), spot(c, p, d.x, d.y+d.uy), half)...)
			}
			if d.ux > 0 {
				bars = append(bars, whiskerPath(c, spot(c, p, d.x-d.ux, d.y), spot(c, p, d.x+d.ux, d.y), half)...)
			}
		}
		if len(bars) > 0 {
			c.SetLineStyle(bar)
			c.Stroke(bars)
		}
		for _, d := range data {
			if limits.holds(d.x) {
				c.DrawGlyph(mark, spot(c, p, d.x, d.y))
			}
		}
	}))
}

// spot returns where the values x and y are on the canvas of a plot.
func spot(c draw.Canvas, p *plot.Plot, x, y float64) vg.Point {
	return vg.Point{X: c.X(p.X.Norm(x)), Y: c.Y(p.Y.Norm(y))}
}

// whisker draws an upright or level bar with caps of a half-width; what lies
// outside the canvas is cut off, caps included.
func whisker(c draw.Canvas, bar draw.LineStyle, a, b vg.Point, half vg.Length) {
	if p := whiskerPath(c, a, b, half); len(p) > 0 {
		c.SetLineStyle(bar)
		c.Stroke(p)
	}
}

// whiskerPath returns the strokes of a whisker.
func whiskerPath(c draw.Canvas, a, b vg.Point, half vg.Length) vg.Path {
	var p vg.Path
	for _, line := range clipped(c, []vg.Point{a, b}) {
		p.Move(line[0])
		p.Line(line[len(line)-1])
	}
	side := vg.Point{X: half}
	if a.Y == b.Y {
		side = vg.Point{Y: half}
	}
	for _, end := range []vg.Point{a, b} {
		if c.Contains(end) {
			p.Move(end.Sub(side))
			p.Line(end.Add(side))
		}
	}
	return p
}

// A key is an entry of the legend: a sample and what it stands for.
type key struct {
	text string
	mark *draw.GlyphStyle
	line *draw.LineStyle
	// fill is a patch of colour.
	fill color.Color
	// bar puts an upright error bar through the mark.
	bar *draw.LineStyle
	// continues says that the text goes on from the key before.
	continues bool
}

// width of a key's sample, and of the space after a key, in points.
const (
	sampleWidth = 24
	keySpace    = 16
	keyHeight   = 15
)

// A head is what stands above the panels: a title and the keys.
type head struct {
	title string
	keys  []key
}

// textWidth is the width between the margins of a page in points.
const textWidth = pageWidth - 2*pageMargin

// A layout lays out what stands under a head for a width of text in points: its height,
// and what draws it.
type layout func(width vg.Length) (height vg.Length, draws func(draw.Canvas))

// panels is the layout of what fills any width and has one height.
func panels(height vg.Length, draws func(draw.Canvas)) layout {
	return func(vg.Length) (vg.Length, func(draw.Canvas)) { return height, draws }
}

// isNarrow reports whether a width of text is that of a small screen.
func isNarrow(width vg.Length) bool { return width < textWidth }

// narrowPage is the width of a picture for a screen of some 390 pixels in points: there
// its smallest letters are some 11 pixels high.
const narrowPage = 300

// page returns the picture of a head over a body, with a layout for small screens.
func (h head) page(alt string, body layout) Picture {
	p := h.pageOf(pageWidth, alt, body)
	p.narrow = func() Picture { return h.pageOf(narrowPage, alt, body) }
	return p
}

// pageOf is page for a width in points.
func (h head) pageOf(width vg.Length, alt string, body layout) Picture {
	top := h.height(width - 2*pageMargin)
	height, draws := body(width - 2*pageMargin)
	return Picture{
		Alt: alt, width: width, height: 2*pageMargin + top + height,
		draw: func(c draw.Canvas) {
			c = draw.Crop(c, pageMargin, -pageMargin, pageMargin, -pageMargin)
			h.draw(c)
			c.Max.Y -= top
			draws(c)
		},
	}
}

// rows breaks the keys into rows of a width.
func (h head) rows(width vg.Length) [][]key {
	style := lettering(labelSize, ink)
	var rows [][]key
	var x vg.Length
	for _, whole := range h.keys {
		for i, k := range whole.lines(style, width) {
			w := k.indent() + widthOf(k.text, style)
			if len(rows) == 0 || x+w > width || i > 0 {
				rows = append(rows, nil)
				x = 0
			}
			rows[len(rows)-1] = append(rows[len(rows)-1], k)
			x += w + keySpace
		}
	}
	return rows
}

// lines breaks a key that is wider than the width into keys that go on from it.
func (k key) lines(style text.Style, width vg.Length) []key {
	keys := []key{k}
	for i, line := range wrap(k.text, style, width-k.indent()) {
		if i > 0 {
			keys = append(keys, key{continues: k.indent() > 0})
		}
		keys[i].text = line
	}
	return keys
}

// height returns the height of the head over panels of a width.
func (h head) height(width vg.Length) vg.Length {
	height := vg.Length(len(h.rows(width))) * keyHeight
	for range h.titleLines(width) {
		height += titleSize * 1.4
	}
	if height > 0 {
		height += 8
	}
	return height
}

// titleLines breaks the title into lines.
func (h head) titleLines(width vg.Length) []string {
	return wrap(h.title, lettering(titleSize, ink), width)
}

// draw draws the head into the top of a canvas.
func (h head) draw(c draw.Canvas) {
	width := c.Max.X - c.Min.X
	y := c.Max.Y
	for _, line := range h.titleLines(width) {
		write(c, line, lettering(titleSize, ink), vg.Point{X: c.Min.X, Y: y - titleSize*0.7}, draw.XLeft)
		y -= titleSize * 1.4
	}
	y -= 3
	style := lettering(labelSize, ink)
	for _, row := range h.rows(width) {
		x := c.Min.X
		for _, k := range row {
			k.sample(c, vg.Point{X: x, Y: y - keyHeight/2})
			write(c, k.text, style, vg.Point{X: x + k.indent(), Y: y - keyHeight/2}, draw.XLeft)
			x += k.indent() + widthOf(k.text, style) + keySpace
		}
		y -= keyHeight
	}
}

// indent returns the room for the key's sample.
func (k key) indent() vg.Length {
	if k.mark == nil && k.line == nil && k.fill == nil && k.bar == nil && !k.continues {
		return 0
	}
	return sampleWidth + 4
}

// sample draws the key's sample to the right of a point.
func (k key) sample(c draw.Canvas, left vg.Point) {
	mid := vg.Point{X: left.X + sampleWidth/2, Y: left.Y}
	if k.fill != nil {
		r := vg.Rectangle{Min: mid.Sub(vg.Point{X: 8, Y: 4}), Max: mid.Add(vg.Point{X: 8, Y: 4})}
		c.SetColor(k.fill)
		c.Fill(r.Path())
	}
	if k.line != nil {
		c.StrokeLine2(*k.line, left.X, left.Y, left.X+sampleWidth, left.Y)
	}
	if k.bar != nil {
		whisker(c, *k.bar, mid.Sub(vg.Point{Y: 5.5}), mid.Add(vg.Point{Y: 5.5}), 2.5)
	}
	if k.mark != nil {
		c.DrawGlyphNoClip(*k.mark, mid)
	}
}
