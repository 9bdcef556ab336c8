package figure

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/plot"
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
	const width = pageWidth - 2*pageMargin
	head := head{title: f.Title, keys: f.keys()}
	grid := f.grid()
	rows := (len(f.Run.Curves) + grid.columns - 1) / grid.columns
	height := 2*pageMargin + head.height(width) + vg.Length(rows)*grid.height()
	return Picture{
		Alt: fmt.Sprintf("Current against retarding voltage at %d settings of the light, the knee of each curve enlarged, "+
			"with the stopping voltages read by %d methods.", len(f.Run.Curves), len(f.Methods)),
		width: pageWidth, height: height,
		draw: func(c draw.Canvas) {
			c = draw.Crop(c, pageMargin, -pageMargin, pageMargin, -pageMargin)
			head.draw(c)
			c.Max.Y -= head.height(width)
			for i := range f.Run.Curves {
				column, row := i%grid.columns, i/grid.columns
				f.cell(c, grid, i, c.Min.X+vg.Length(column)*grid.width, c.Max.Y-vg.Length(row)*grid.height(), column == 0)
			}
		},
	}, nil
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

// checkCurve says what makes a curve unfit to be drawn.
func checkCurve(c run.Curve) error {
	if len(c.Readings) < 2 {
		return fmt.Errorf("setting %q has %d readings; at least two are needed", c.Setting, len(c.Readings))
	}
	v := nowhere()
	for i, r := range c.Readings {
		if !finite(r.Retarding, r.Current, r.Uncertainty) {
			return fmt.Errorf("setting %q, reading %d: a value is not finite", c.Setting, i+1)
		}
		v = v.with(r.Retarding)
	}
	if v.low == v.high {
		return fmt.Errorf("setting %q has readings at one voltage only; at least two are needed", c.Setting)
	}
	return nil
}

// readingMark is the look of a reading, and readingBar that of its
// uncertainty.
func readingMark() draw.GlyphStyle {
	return draw.GlyphStyle{Color: ink, Radius: 1.5, Shape: marks[0]}
}

func readingBar() draw.LineStyle { return stroke(shade, 0.7) }

// overloadMark is the look of a reading at the end of the meter's range.
func overloadMark() draw.GlyphStyle {
	return draw.GlyphStyle{Color: shade, Radius: 2, Shape: shape{open: true}}
}

// readingKeys explain the marks of some curves.
func readingKeys(curves ...run.Curve) []key {
	mark, bar, over := readingMark(), readingBar(), overloadMark()
	known, overloaded := false, false
	for _, c := range curves {
		for _, r := range c.Readings {
			known = known || r.Uncertainty > 0
			overloaded = overloaded || r.Flags&run.Overload != 0
		}
	}
	keys := []key{{text: "reading, with standard uncertainty", mark: &mark, bar: &bar}}
	if !known {
		keys = []key{{text: "reading, uncertainty not known", mark: &mark}}
	}
	if overloaded {
		keys = append(keys, key{text: "meter overloaded", mark: &over})
	}
	return keys
}

// keys explain the marks.
func (f Curves) keys() []key {
	keys := readingKeys(f.Run.Curves...)
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
func (f Curves) grid() curveGrid {
	n := len(f.Run.Curves)
	g := curveGrid{columns: min(n, 3), strip: methodRow * vg.Length(len(f.Methods))}
	if n == 4 {
		g.columns = 2
	}
	for _, m := range f.Methods {
		// The names may use the room of the knee's axis above them.
		over := lettering(tickSize, ink).Width(m.Method) + 8 - cellAxis
		g.names = max(g.names, min(over, 60))
	}
	g.width = (pageWidth - 2*pageMargin - g.names) / vg.Length(g.columns)
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

	whole, _ := currentPlot(curve, f.voltages(), 0)
	addTruth(whole, truth)
	whole.X.Label.Text = voltageLabel
	place(whole, c, area(cellWhole))
	top -= cellTicks + cellLabel

	knee, _ := currentPlot(curve, window, kneeShare)
	addTruth(knee, truth)
	if len(f.Methods) == 0 {
		knee.X.Label.Text = voltageLabel
		place(knee, c, area(cellKnee))
		return
	}
	knee.X.Tick.Marker = plot.ConstantTicks(nil)
	place(knee, c, area(cellKnee))
	top -= cellGap
	strip := f.strip(i, window, first)
	strip.X.Label.Text = voltageLabel
	place(strip, c, area(g.strip))
}

// voltageLabel names the axis of the retarding voltage.
const voltageLabel = "retarding voltage / V"

// curveName names a curve by its setting and wavelength.
func curveName(c run.Curve) string {
	if c.Wavelength > 0 {
		return fmt.Sprintf("%s, %.1f nm", c.Setting, c.Wavelength)
	}
	return c.Setting
}

// truth returns the true cutoff of curve i in V, NaN where it is not known.
func (f Curves) truth(i int) float64 {
	if f.Truth == nil {
		return math.NaN()
	}
	return f.Truth[i]
}

// voltages returns the range of the voltages of all curves.
func (f Curves) voltages() extent {
	all := nowhere()
	for _, c := range f.Run.Curves {
		for _, r := range c.Readings {
			all = all.with(r.Retarding)
		}
	}
	return all.padded(0.03, 0.1)
}

// The half-width in V of the windows on the knees is chosen between these.
const (
	narrowest = 0.2
	widest    = 0.5
)

// windows returns the range of voltages in which each knee is enlarged: all of
// the same width, around the truth or else the median of the cutoffs, wide
// enough for the cutoffs unless one is far off, and wider on the steep side.
func (f Curves) windows() []extent {
	windows := make([]extent, len(f.Run.Curves))
	half := narrowest
	for i, c := range f.Run.Curves {
		centre := f.centre(i, c)
		windows[i] = extent{centre, centre}
		for _, m := range f.Methods {
			if cut := m.Cutoffs[i]; cut.Status == analysis.OK {
				half = math.Max(half, 1.15*math.Abs(cut.Stopping-centre))
			}
		}
	}
	half = math.Min(half, widest)
	for i := range windows {
		windows[i] = extent{windows[i].low - 1.5*half, windows[i].high + half}
	}
	return windows
}

// centre returns where the knee of curve i is looked for, in V. It lies within
// the sweep, beyond which there is nothing to enlarge.
func (f Curves) centre(i int, c run.Curve) float64 {
	sweep := nowhere()
	for _, r := range c.Readings {
		sweep = sweep.with(r.Retarding)
	}
	return min(max(f.likely(i, c), sweep.low), sweep.high)
}

// likely returns the truth, or else the median of the cutoffs, or else where
// the curve becomes flat, in V.
func (f Curves) likely(i int, c run.Curve) float64 {
	if t := f.truth(i); finite(t) {
		return t
	}
	var answers []float64
	for _, m := range f.Methods {
		if cut := m.Cutoffs[i]; cut.Status == analysis.OK {
			answers = append(answers, cut.Stopping)
		}
	}
	if len(answers) > 0 {
		slices.Sort(answers)
		return answers[len(answers)/2]
	}
	return kneeVoltage(c)
}

// kneeVoltage returns the least retarding voltage in V at which the current
// has fallen to a fiftieth of its range, for curves without any cutoff.
func kneeVoltage(c run.Curve) float64 {
	i := nowhere()
	for _, r := range c.Readings {
		i = i.with(r.Current)
	}
	v := math.Inf(1)
	for _, r := range c.Readings {
		if r.Current <= i.low+(i.high-i.low)/50 {
			v = math.Min(v, r.Retarding)
		}
	}
	return v
}

// kneeShare is the share of a window on a knee, at its steep end, whose
// readings may run out of the top.
const kneeShare = 0.2

// currentPlot returns the plot of the readings of a curve in a range of
// voltages, and the unit of its currents; readings in the share of the range at
// its steep end do not count for the range of currents. What is given to be
// under the readings is drawn first.
func currentPlot(c run.Curve, window extent, share float64, under ...plot.Plotter) (*plot.Plot, unit) {
	from := window.low + share*(window.high-window.low)
	y := nowhere().with(0)
	for _, r := range c.Readings {
		if r.Retarding >= from && r.Retarding <= window.high {
			y = y.with(r.Current-r.Uncertainty, r.Current+r.Uncertainty)
		}
	}
	// The side of zero on which the current crosses it is to be seen as well.
	y.high = math.Max(y.high, -y.low)
	u := currentUnit(y.high)
	p := newPlot(window, extent{y.low / u.size, y.high / u.size}.padded(0.07, 1))
	p.Y.Label.Text = "current / " + u.name
	p.Y.Tick.Marker = ticks{5}
	p.Add(under...)
	p.Add(across(0, stroke(faint, 0.8)))
	addReadings(p, c, u)
	return p, u
}

// addReadings adds the readings of a curve.
func addReadings(p *plot.Plot, c run.Curve, u unit) {
	var good, over []datum
	for _, r := range c.Readings {
		d := datum{x: r.Retarding, y: r.Current / u.size, uy: r.Uncertainty / u.size}
		if r.Flags&run.Overload != 0 {
			over = append(over, d)
		} else {
			good = append(good, d)
		}
	}
	add(p, good, readingMark(), readingBar())
	add(p, over, overloadMark(), readingBar())
}

// addTruth marks a true cutoff, if it is known.
func addTruth(p *plot.Plot, v float64) {
	if finite(v) {
		p.Add(upright(v, truthLine()))
	}
}

// strip returns the plot of the methods' cutoffs on curve i, a row to each
// method in their order from above.
func (f Curves) strip(i int, window extent, named bool) *plot.Plot {
	n := len(f.Methods)
	p := newPlot(window, extent{-0.5, float64(n) - 0.5})
	var names plot.ConstantTicks
	for k, m := range f.Methods {
		row := float64(n - 1 - k)
		if named {
			name := fit(m.Method, p.Y.Tick.Label, cellAxis+f.grid().names-4)
			names = append(names, plot.Tick{Value: row, Label: name})
		}
		p.Add(across(row, stroke(wash, 0.8)))
	}
	p.Y.Tick.Marker = names
	p.Y.Tick.Length = 0
	addTruth(p, f.truth(i))
	for k, m := range f.Methods {
		p.Add(cutoffRow(m.Cutoffs[i], float64(n-1-k), looks(k)))
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
		if cut.U > 0 {
			low, high := c.X(p.X.Norm(cut.Stopping-cut.U)), c.X(p.X.Norm(cut.Stopping+cut.U))
			whisker(c, l.bar, vg.Point{X: low, Y: y}, vg.Point{X: high, Y: y}, 2.6)
		}
		c.DrawGlyph(l.mark, vg.Point{X: c.X(x), Y: y})
	})
}

// note writes a remark on a white ground, so that no line runs through it.
func note(c draw.Canvas, s string, at vg.Point, align draw.XAlignment) {
	style := lettering(tickSize, shade)
	width := widthOf(s, style)
	left := at.X + vg.Length(align)*width
	r := vg.Rectangle{Min: vg.Point{X: left - 2, Y: at.Y - tickSize*0.5}, Max: vg.Point{X: left + width + 2, Y: at.Y + tickSize*0.5}}
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
