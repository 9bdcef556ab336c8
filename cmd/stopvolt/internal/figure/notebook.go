package figure

import (
	"fmt"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"stopvolt/instrument/run"
)

// Notebook shows the readings on a page of a logbook, as whoever is taking them
// sees them: the whole curve with what was expected, and the knee enlarged, with a
// ruler and the cutoff that was read. It shows no truth.
type Notebook struct {
	// Words are those of the picture, in the reader's language.
	Words NotebookWords
	// Readings are those of the page, and Struck those that were struck out;
	// there may be none.
	Readings, Struck []run.Reading
	// Beside are the readings of another page in grey, such as the same light
	// undimmed, scaled to the page's by Scale, a factor.
	Beside []run.Reading
	Scale  float64
	// SketchV and SketchI are the expected curve, in V and in per cent of the
	// largest current of the page; they may be empty.
	SketchV, SketchI []float64
	// Ruler is laid between two points, in V and A; nil for none.
	Ruler *[2]struct{ V, I float64 }
	// Cutoff is what was read, with its standard uncertainty, in V; nil for
	// none.
	Cutoff *struct{ V, U float64 }
	// Smooth draws Readings and Beside as lines, for curves without noise.
	Smooth bool
	// Narrow is for a small screen.
	Narrow bool
}

// NotebookWords are the words of a Notebook.
type NotebookWords struct {
	// Alt says what is to be seen.
	Alt string
	// Voltage and Current name the axes, without units.
	Voltage, Current string
	// Whole and Knee name the two panels, and Share the axis of a sketch
	// without readings, which is in per cent.
	Whole, Knee, Share string
	// The keys.
	Reading, Struck, Beside, Sketch, Ruler, Cutoff, Overload string
}

// Measures of the picture in points.
const (
	notebookWidth  = pageWidth
	narrowWidth    = 350
	notebookHeight = 210
	notebookAxis   = 50
	notebookFoot   = 36
	panelGap       = 6
)

// A Panel says where a plot's data are, as parts of the picture's width and
// height from the upper left corner, and between which values, in V and A: so
// that a place on the picture can be turned into a reading.
type Panel struct {
	Left, Right, Top, Bottom float64
	LowV, HighV, LowI, HighI float64
}

// Picture lays the page out, and says where its panels are: the whole curve, and
// the knee; a blank page has none. The error says what is not finite.
func (f Notebook) Picture() (Picture, []Panel, error) {
	if err := f.check(); err != nil {
		return Picture{}, nil, err
	}
	width := vg.Length(notebookWidth)
	panels := vg.Length(1)
	if f.Narrow {
		width, panels = narrowWidth, 2
	}
	h := head{keys: f.keys()}
	inner := width - 2*pageMargin
	top := h.height(inner)
	height := 2*pageMargin + top + panels*(notebookHeight+notebookFoot)
	whole, wholeUnit := f.plot(f.sweep(), 0, true)
	knee, kneeUnit := f.plot(f.knee(), kneeShare, false)
	areas := f.areas(width, height-pageMargin-top-4)
	p := Picture{Alt: f.Words.Alt, width: width, height: height, draw: func(c draw.Canvas) {
		inside := draw.Crop(c, pageMargin, -pageMargin, pageMargin, -pageMargin)
		h.draw(inside)
		for i, panel := range []struct {
			p    *plot.Plot
			name string
		}{{whole, f.Words.Whole}, {knee, f.Words.Knee}} {
			place(panel.p, c, areas[i])
			// A curve leaves the upper right corner free.
			corner := lettering(labelSize, ink)
			corner.XAlign, corner.YAlign = draw.XRight, draw.YTop
			c.FillText(corner, vg.Point{X: areas[i].Max.X - 2, Y: areas[i].Max.Y}, panel.name)
		}
	}}
	if f.blank() {
		return p, nil, nil
	}
	return p, []Panel{
		panelOf(whole, wholeUnit, areas[0], width, height),
		panelOf(knee, kneeUnit, areas[1], width, height),
	}, nil
}

// areas returns where the data of the two panels are, below a height.
func (f Notebook) areas(width, top vg.Length) [2]vg.Rectangle {
	area := func(left, right, top vg.Length) vg.Rectangle {
		return vg.Rectangle{Min: vg.Point{X: left, Y: top - notebookHeight}, Max: vg.Point{X: right, Y: top}}
	}
	left, right := vg.Length(pageMargin+notebookAxis), width-pageMargin-panelGap
	if f.Narrow {
		return [2]vg.Rectangle{area(left, right, top), area(left, right, top-notebookHeight-notebookFoot)}
	}
	each := (right - left - notebookAxis - panelGap) / 2
	return [2]vg.Rectangle{area(left, left+each, top), area(right-each, right, top)}
}

// panelOf says where a plot's data are.
func panelOf(p *plot.Plot, u unit, r vg.Rectangle, width, height vg.Length) Panel {
	return Panel{
		Left: float64(r.Min.X / width), Right: float64(r.Max.X / width),
		Top: float64(1 - r.Max.Y/height), Bottom: float64(1 - r.Min.Y/height),
		LowV: p.X.Min, HighV: p.X.Max, LowI: p.Y.Min * u.size, HighI: p.Y.Max * u.size,
	}
}

// check says what is not finite.
func (f Notebook) check() error {
	for _, list := range [][]run.Reading{f.Readings, f.Struck, f.Beside} {
		for i, r := range list {
			if !finite(r.Retarding, r.Current, r.Uncertainty) {
				return fmt.Errorf("reading %d: a value is not finite", i+1)
			}
		}
	}
	if len(f.SketchV) != len(f.SketchI) || !finite(f.SketchV...) || !finite(f.SketchI...) {
		return fmt.Errorf("the sketch has %d voltages and %d currents; as many finite ones of both are needed", len(f.SketchV), len(f.SketchI))
	}
	if r := f.Ruler; r != nil && !finite(r[0].V, r[0].I, r[1].V, r[1].I) {
		return fmt.Errorf("the ruler's ends are not finite")
	}
	if c := f.Cutoff; c != nil && !finite(c.V, c.U) {
		return fmt.Errorf("the cutoff is not finite")
	}
	return nil
}

// curve returns the readings of the page as a curve.
func (f Notebook) curve() run.Curve { return run.Curve{Readings: f.Readings} }

// largest returns the largest current in A of the page, with any.
func (f Notebook) largest() float64 {
	most := 0.0
	for _, r := range f.Readings {
		most = math.Max(most, r.Current)
	}
	if most == 0 {
		for _, r := range f.Readings {
			most = math.Max(most, -r.Current)
		}
	}
	return most
}

// sweep returns the range of voltages of the whole.
func (f Notebook) sweep() extent {
	e := voltages(f.curve(), run.Curve{Readings: f.Struck}).with(f.SketchV...)
	if f.Cutoff != nil {
		e = e.with(f.Cutoff.V)
	}
	if math.IsInf(e.low, 0) || len(f.Readings) == 0 {
		e = e.with(-1, 2)
	}
	return e.padded(0.03, 0.1)
}

// knee returns the range that is enlarged.
func (f Notebook) knee() extent {
	switch {
	case f.Cutoff != nil:
		return f.holding(kneeWindow(f.Cutoff.V, narrowest+0.07))
	case len(f.Readings) < 3:
		return f.sweep()
	}
	centre := flatFrom(f.curve())
	if e := voltages(f.curve()); centre >= e.high || centre <= e.low {
		return e.padded(0.03, 0.1)
	}
	return f.holding(kneeWindow(centre, narrowest+0.07))
}

// fewest is the number of readings below which nothing is enlarged further.
const fewest = 4

// holding widens a range of voltages until it holds a few readings.
func (f Notebook) holding(e extent) extent {
	for range 12 {
		inside := 0
		for _, r := range f.Readings {
			if r.Retarding >= e.low && r.Retarding <= e.high {
				inside++
			}
		}
		if inside >= min(fewest, len(f.Readings)) {
			break
		}
		half := (e.high - e.low) / 2
		e = extent{e.low - half/2, e.high + half/2}
	}
	return e
}

// Looks of the picture's parts.
func (f Notebook) markStruck() draw.GlyphStyle {
	return draw.GlyphStyle{Color: shade, Radius: 3, Shape: marks[5]}
}

func (f Notebook) markBeside() draw.GlyphStyle {
	return draw.GlyphStyle{Color: hues[1], Radius: 2.2, Shape: marks[1]}
}

func (f Notebook) mark() draw.GlyphStyle {
	m := readingMark()
	m.Radius = 2.4
	return m
}

func smoothLine() draw.LineStyle { return stroke(ink, 1.5) }
func besideLine() draw.LineStyle { return stroke(hues[1], 1.3, 5, 2) }
func sketchLine() draw.LineStyle { return stroke(hues[4], 1.4, 2, 2.5) }
func rulerLine() draw.LineStyle  { return stroke(hues[2], 1.4, 9, 3, 2, 3) }

// keys explain what is drawn.
func (f Notebook) keys() []key {
	mark, bar := f.mark(), readingBar()
	keys := []key{{text: f.Words.Reading, mark: &mark, bar: &bar}}
	if f.Smooth {
		own := smoothLine()
		keys = []key{{text: f.Words.Reading, line: &own}}
	}
	for _, r := range f.Readings {
		if r.Flags&run.Overload != 0 {
			over := overloadMark()
			keys = append(keys, key{text: f.Words.Overload, mark: &over})
			break
		}
	}
	if len(f.Struck) > 0 {
		struck := f.markStruck()
		keys = append(keys, key{text: f.Words.Struck, mark: &struck})
	}
	if len(f.Beside) > 0 {
		if beside, line := f.markBeside(), besideLine(); f.Smooth {
			keys = append(keys, key{text: f.Words.Beside, line: &line})
		} else {
			keys = append(keys, key{text: f.Words.Beside, mark: &beside})
		}
	}
	if len(f.SketchV) > 0 {
		line := sketchLine()
		keys = append(keys, key{text: f.Words.Sketch, line: &line})
	}
	if f.Ruler != nil {
		line := rulerLine()
		keys = append(keys, key{text: f.Words.Ruler, line: &line})
	}
	if f.Cutoff != nil {
		line := cutoffLine()
		keys = append(keys, key{text: f.Words.Cutoff, line: &line, fill: haze})
	}
	return keys
}

// plot returns the plot of a range of voltages; the whole has the sketch.
func (f Notebook) plot(window extent, share float64, whole bool) (*plot.Plot, unit) {
	if f.blank() {
		return f.bare(window, whole)
	}
	own := readings{f.curve(), f.mark(), readingBar()}
	shown := []readings{own}
	beside := f.beside()
	if len(beside) > 0 {
		shown = append(shown, readings{run.Curve{Readings: beside}, f.markBeside(), readingBar()})
	}
	most := f.largest()
	var sketched []float64
	if whole && len(f.SketchV) > 0 {
		// Where nothing flows at all, what was expected is a finest current high.
		most = math.Max(most, finestCurrent)
		sketched = make([]float64, len(f.SketchI))
		for i, percent := range f.SketchI {
			sketched[i] = percent / 100 * most
		}
		// The sketch is to be seen whole.
		hidden := run.Curve{}
		for i, v := range f.SketchV {
			hidden.Readings = append(hidden.Readings, run.Reading{Retarding: v, Current: sketched[i]})
		}
		shown = append(shown, readings{Curve: hidden})
	}
	p, u := currentPlot(window, share, shown...)
	p.X.Label.Text = f.Words.Voltage + " / V"
	p.Y.Label.Text = f.Words.Current + " / " + u.name
	if c := f.Cutoff; c != nil {
		if c.U > 0 {
			p.Add(band(c.V-c.U, c.V+c.U, haze))
		}
		p.Add(upright(c.V, cutoffLine()))
	}
	if sketched != nil {
		p.Add(through(f.SketchV, scaled(sketched, u.size), sketchLine()))
	}
	if f.Smooth {
		addSmooth(p, u, beside, besideLine())
		addSmooth(p, u, f.Readings, smoothLine())
	} else {
		if len(beside) > 0 {
			addReadings(p, u, shown[1])
		}
		addReadings(p, u, own)
	}
	var struck []datum
	for _, r := range f.Struck {
		struck = append(struck, datum{x: r.Retarding, y: r.Current / u.size})
	}
	add(p, struck, f.markStruck(), readingBar())
	if r := f.Ruler; r != nil && r[0] != r[1] {
		v, i := ruled(r, window)
		p.Add(through(v, scaled(i, u.size), rulerLine()))
	}
	return p, u
}

// blank reports that nothing is written on the page.
func (f Notebook) blank() bool { return len(f.Readings) == 0 && len(f.Struck) == 0 }

// bare returns the plot of a page on which nothing is written: the whole has what
// was expected, in per cent, and the knee has nothing to enlarge.
func (f Notebook) bare(window extent, whole bool) (*plot.Plot, unit) {
	axis := nowhere().with(0, 100).with(f.SketchI...).padded(0.05, 1)
	p := newPlot(window, axis)
	p.X.Label.Text = f.Words.Voltage + " / V"
	p.Y.Label.Text = f.Words.Share
	p.Add(across(0, stroke(faint, 0.8)))
	if whole && len(f.SketchV) > 0 {
		p.Add(through(f.SketchV, f.SketchI, sketchLine()))
	}
	if !whole {
		p.Y.Label.Text = ""
		p.HideY()
	}
	return p, unit{size: 0}
}

// addSmooth adds readings as a line.
func addSmooth(p *plot.Plot, u unit, list []run.Reading, style draw.LineStyle) {
	var v, i []float64
	for _, r := range list {
		v, i = append(v, r.Retarding), append(i, r.Current/u.size)
	}
	if len(v) > 1 {
		p.Add(through(v, i, style))
	}
}

// beside returns the other page's readings, scaled.
func (f Notebook) beside() []run.Reading {
	if !(f.Scale > 0) {
		return nil
	}
	out := make([]run.Reading, len(f.Beside))
	for i, r := range f.Beside {
		r.Current *= f.Scale
		r.Uncertainty *= f.Scale
		out[i] = r
	}
	return out
}

// ruled returns the ruler's line across a range of voltages.
func ruled(r *[2]struct{ V, I float64 }, window extent) (v, i []float64) {
	if r[0].V == r[1].V {
		return []float64{r[0].V, r[1].V}, []float64{r[0].I, r[1].I}
	}
	slope := (r[1].I - r[0].I) / (r[1].V - r[0].V)
	v = []float64{window.low, window.high}
	return v, []float64{r[0].I + slope*(v[0]-r[0].V), r[0].I + slope*(v[1]-r[0].V)}
}
