package figure

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"stopvolt/analysis"
	"stopvolt/instrument/run"
)

// Curves shows the curves of a run, a cell to each setting: the whole curve on
// a voltage axis that all cells share, below it the knee enlarged, and below
// that the cutoffs of the methods on the knee's own voltage axis. All knees
// are enlarged alike, so that the spread of the methods can be compared.
type Curves struct {
	// Title stands above the picture; it may be empty.
	Title string
	// Run holds at least one curve, each with at least two readings.
	Run run.Run
	// Methods may be empty.
	Methods []MethodCutoffs
	// Truth has the true stopping voltage of each curve in V, NaN where one is
	// not known; nil where none is.
	Truth []float64
}

// MethodCutoffs are the cutoffs that one method read from the curves of a run.
type MethodCutoffs struct {
	// Method is the method's name.
	Method string
	// Cutoffs has one entry for each curve.
	Cutoffs []analysis.Cutoff
}

// Picture lays the curves out. The error says which curve or method does not
// fit.
func (f Curves) Picture() (Picture, error) {
	if err := f.check(); err != nil {
		return Picture{}, err
	}
	alt := fmt.Sprintf("Current against retarding voltage at %d settings of the light, the knee of each curve enlarged, "+
		"with the stopping voltages read by %d methods.", len(f.Run.Curves), len(f.Methods))
	return head{title: f.Title, keys: f.keys()}.page(alt, f.lay), nil
}

// lay lays the cells out.
func (f Curves) lay(width vg.Length) (vg.Length, func(draw.Canvas)) {
	grid := f.grid(width)
	rows := (len(f.Run.Curves) + grid.columns - 1) / grid.columns
	return vg.Length(rows) * grid.height(), func(c draw.Canvas) {
		for i := range f.Run.Curves {
			column, row := i%grid.columns, i/grid.columns
			f.cell(c, grid, i, c.Min.X+vg.Length(column)*grid.width, c.Max.Y-vg.Length(row)*grid.height(), column == 0)
		}
	}
}

// check says what does not fit.
func (f Curves) check() error {
	n := len(f.Run.Curves)
	if n == 0 {
		return fmt.Errorf("curves to draw: none; a run needs at least one")
	}
	for _, c := range f.Run.Curves {
		if err := checkCurve(c); err != nil {
			return err
		}
	}
	for _, m := range f.Methods {
		if len(m.Cutoffs) != n {
			return fmt.Errorf("method %q has %d cutoffs for %d curves; it needs one for each", m.Method, len(m.Cutoffs), n)
		}
		for i, c := range m.Cutoffs {
			if c.Status == analysis.OK && !finite(c.Stopping) {
				return fmt.Errorf("method %q, setting %q: the cutoff is OK but not a number", m.Method, f.Run.Curves[i].Setting)
			}
		}
	}
	if f.Truth != nil && len(f.Truth) != n {
		return fmt.Errorf("%d true cutoffs for %d curves; one for each is needed", len(f.Truth), n)
	}
	return nil
}

// keys explain the marks.
func (f Curves) keys() []key {
	keys := readingKeys(f.Run.Curves...)
	if len(f.Methods) > 0 {
		keys = append(keys, methodKeys()...)
	}
	if slices.ContainsFunc(f.Truth, func(v float64) bool { return finite(v) }) {
		line := truthLine()
		keys = append(keys, key{text: "true cutoff", line: &line})
	}
	return keys
}

// A curveGrid says how large the cells of Curves are, in points.
type curveGrid struct {
	columns int
	// names is the room for the methods' names left of each row of cells, and
	// width that of a cell.
	names, width vg.Length
	// strip is the height of the methods' rows.
	strip vg.Length
}

// Heights and widths within a cell in points.
const (
	cellTitle = 20
	cellWhole = 84
	cellKnee  = 104
	cellTicks = 16
	cellLabel = 22
	cellGap   = 5
	methodRow = 12.5
	cellAxis  = 50
)

// grid returns the layout for the number of curves and methods.
func (f Curves) grid(width vg.Length) curveGrid {
	n := len(f.Run.Curves)
	g := curveGrid{columns: min(n, 3), strip: methodRow * vg.Length(len(f.Methods))}
	switch {
	case isNarrow(width):
		g.columns = 1
	case n == 4:
		g.columns = 2
	}
	for _, m := range f.Methods {
		// The names may use the room of the knee's axis above them.
		over := lettering(tickSize, ink).Width(m.Method) + 8 - cellAxis
		g.names = max(g.names, min(over, 60))
	}
	g.width = (width - g.names) / vg.Length(g.columns)
	return g
}

// height returns the height of a cell with its axes.
func (g curveGrid) height() vg.Length {
	return cellTitle + cellWhole + cellKnee + cellGap + g.strip + 2*(cellTicks+cellLabel)
}

// cell draws curve i with its upper left corner at a place; the first cell of
// a row has the names of the methods.
func (f Curves) cell(c draw.Canvas, g curveGrid, i int, left, top vg.Length, first bool) {
	curve, truth, window := f.Run.Curves[i], f.truth(i), f.windows()[i]
	x0, x1 := left+g.names+cellAxis, left+g.names+g.width-4
	area := func(height vg.Length) vg.Rectangle {
		r := vg.Rectangle{Min: vg.Point{X: x0, Y: top - height}, Max: vg.Point{X: x1, Y: top}}
		top -= height
		return r
	}
	title := lettering(labelSize, ink)
	write(c, fit(curveName(curve), title, x1-x0), title, vg.Point{X: x0, Y: top - cellTitle/2}, draw.XLeft)
	top -= cellTitle

	whole := f.plot(curve, voltages(f.Run.Curves...).padded(0.03, 0.1), 0)
	addTruth(whole, truth)
	place(whole, c, area(cellWhole))
	top -= cellTicks + cellLabel

	knee := f.plot(curve, window, kneeShare)
	addTruth(knee, truth)
	if len(f.Methods) == 0 {
		place(knee, c, area(cellKnee))
		return
	}
	knee.X.Label.Text, knee.X.Tick.Marker = "", plot.ConstantTicks(nil)
	place(knee, c, area(cellKnee))
	top -= cellGap
	names := f.methods()
	look := methodLooks(names)
	if !first {
		names = nil
	}
	strip := cutoffStrip(window, truth, f.cutoffs(i), names, cellAxis+g.names-4, look)
	place(strip, c, area(g.strip))
}

// methods returns the names of the methods.
func (f Curves) methods() []string {
	names := make([]string, len(f.Methods))
	for i, m := range f.Methods {
		names[i] = m.Method
	}
	return names
}

// plot returns the plot of a curve in a range of voltages.
func (f Curves) plot(c run.Curve, window extent, share float64) *plot.Plot {
	p, u := currentPlot(window, share, plain(c))
	addReadings(p, u, plain(c))
	return p
}

// truth returns the true cutoff of curve i in V, NaN where it is not known.
func (f Curves) truth(i int) float64 {
	if f.Truth == nil {
		return math.NaN()
	}
	return f.Truth[i]
}

// cutoffs returns the cutoffs on curve i.
func (f Curves) cutoffs(i int) []analysis.Cutoff {
	cutoffs := make([]analysis.Cutoff, len(f.Methods))
	for k, m := range f.Methods {
		cutoffs[k] = m.Cutoffs[i]
	}
	return cutoffs
}

// windows returns the range of voltages in which each knee is enlarged, all of
// the same width.
func (f Curves) windows() []extent {
	centres := make([]float64, len(f.Run.Curves))
	half := narrowest
	for i, c := range f.Run.Curves {
		centres[i] = kneeCentre(c, f.truth(i), f.cutoffs(i))
		half = math.Max(half, kneeHalf(centres[i], f.cutoffs(i)))
	}
	windows := make([]extent, len(centres))
	for i, centre := range centres {
		windows[i] = kneeWindow(centre, half)
	}
	return windows
}

// cutoffStrip returns the plot of cutoffs, a row to each from above; names may
// be nil for rows that are named elsewhere.
func cutoffStrip(window extent, truth float64, cutoffs []analysis.Cutoff, names []string, room vg.Length, look func(int) look) *plot.Plot {
	n := len(cutoffs)
	p := newPlot(window, extent{-0.5, float64(n) - 0.5})
	p.X.Label.Text = voltageLabel
	var marks plot.ConstantTicks
	for k := range cutoffs {
		row := float64(n - 1 - k)
		if names != nil {
			marks = append(marks, plot.Tick{Value: row, Label: fit(names[k], p.Y.Tick.Label, room)})
		}
		p.Add(across(row, stroke(wash, 0.8)))
	}
	p.Y.Tick.Marker = marks
	p.Y.Tick.Length = 0
	addTruth(p, truth)
	for k, cut := range cutoffs {
		p.Add(cutoffRow(cut, float64(n-1-k), look(k)))
	}
	return p
}

// cutoffRow draws a cutoff with its uncertainty at a height. A cutoff beyond
// the plot is an arrow with the value, and no answer is said to be none.
func cutoffRow(cut analysis.Cutoff, row float64, l look) plot.Plotter {
	return painter(func(c draw.Canvas, p *plot.Plot) {
		y := c.Y(p.Y.Norm(row))
		if cut.Status != analysis.OK {
			note(c, "no answer", vg.Point{X: c.Center().X, Y: y}, draw.XCenter)
			return
		}
		x := p.X.Norm(cut.Stopping)
		if x < 0 || x > 1 {
			pointer(c, x > 1, y, measured(cut.Stopping, cut.U)+" V", l)
			return
		}
		if cut.U > 0 && finite(cut.U) {
			low, high := c.X(p.X.Norm(cut.Stopping-cut.U)), c.X(p.X.Norm(cut.Stopping+cut.U))
			whisker(c, l.bar, vg.Point{X: low, Y: y}, vg.Point{X: high, Y: y}, 2.6)
		}
		c.DrawGlyph(l.mark, vg.Point{X: c.X(x), Y: y})
	})
}

// note writes a remark on a white ground, so that no line runs through it.
func note(c draw.Canvas, s string, at vg.Point, align draw.XAlignment) {
	noteIn(c, s, lettering(tickSize, shade), at, align)
}

// noteIn is note in a style.
func noteIn(c draw.Canvas, s string, style text.Style, at vg.Point, align draw.XAlignment) {
	width := widthOf(s, style)
	left := at.X + vg.Length(align)*width
	r := vg.Rectangle{Min: vg.Point{X: left - 2, Y: at.Y - tickSize*0.6}, Max: vg.Point{X: left + width + 2, Y: at.Y + tickSize*0.6}}
	c.SetColor(ground)
	c.Fill(r.Path())
	write(c, s, style, at, align)
}

// pointer draws an arrow at the left or right edge of a canvas, for a value
// that lies beyond it, and writes the value beside.
func pointer(c draw.Canvas, right bool, y vg.Length, value string, l look) {
	edge, inward, align := c.Min.X+1, vg.Length(1), draw.XLeft
	if right {
		edge, inward, align = c.Max.X-1, -1, draw.XRight
	}
	c.FillPolygon(l.mark.Color, []vg.Point{
		{X: edge, Y: y}, {X: edge + 7*inward, Y: y + 4}, {X: edge + 7*inward, Y: y - 4},
	})
	note(c, value, vg.Point{X: edge + 10*inward, Y: y}, align)
}
