package figure

import (
	"fmt"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"stopvolt/analysis"
	"stopvolt/instrument/run"
)

// Construction shows how a method reads the cutoff of a curve: the lines that a
// person would draw, over the readings of the whole sweep and over the knee
// enlarged, or over the knee and in the method's own plane where it has one, and
// the cutoff as a band of one standard uncertainty to each side.
type Construction struct {
	// Title stands above the picture; it may be empty.
	Title string
	// Curve has at least two readings.
	Curve run.Curve
	// Method is the method's name, and Cutoff what it made of the curve.
	Method string
	Cutoff analysis.Cutoff
	// Strokes are the lines of the construction, in V and A.
	Strokes []analysis.Stroke
	// Plane is the method's own plot; nil for a method without one.
	Plane *analysis.Plane
	// Taken is the stretch of the readings that the method took; nil where it takes
	// all, or does not tell.
	Taken *analysis.Window
	// Truth is the true stopping voltage in V; nil where it is not known.
	Truth *float64
}

// constructionHeight is that of the panels in points.
const constructionHeight = 230

// Picture lays the construction out. The error says what does not fit.
func (f Construction) Picture() (Picture, error) {
	if err := f.check(); err != nil {
		return Picture{}, err
	}
	alt := fmt.Sprintf("Current against retarding voltage at %s with the construction of the method %s.", curveName(f.Curve), f.Method)
	return head{title: f.Title, keys: f.keys()}.page(alt, f.lay), nil
}

// lay lays the answer and the two panels out.
func (f Construction) lay(width vg.Length) (vg.Length, func(draw.Canvas)) {
	answer := wrap(f.Method+" at "+f.found(), lettering(labelSize, ink), width)
	return vg.Length(len(answer))*keyHeight + 8 + pairHeight(width, constructionHeight), func(c draw.Canvas) {
		for _, line := range answer {
			write(c, line, lettering(labelSize, ink), vg.Point{X: c.Min.X, Y: c.Max.Y - keyHeight/2}, draw.XLeft)
			c.Max.Y -= keyHeight
		}
		c.Max.Y -= 8
		if f.Plane != nil {
			place(f.plot(f.knee(), kneeShare), c, half(c, 0, constructionHeight))
			place(f.own(), c, half(c, 1, constructionHeight))
			return
		}
		place(f.plot(voltages(f.Curve).padded(0.03, 0.1), 0), c, half(c, 0, constructionHeight))
		place(f.plot(f.knee(), kneeShare), c, half(c, 1, constructionHeight))
	}
}

// pairAxis is the room below a panel of a pair for its axis, in points.
const pairAxis = 38

// pairHeight returns the height of two panels of a height beside each other, or under
// one another on a small screen, with their axes.
func pairHeight(width, height vg.Length) vg.Length {
	if isNarrow(width) {
		return 2 * (height + pairAxis)
	}
	return height + pairAxis
}

// half returns the left (0) or right (1) of two equal panels of a height at
// the top of a canvas, with room for the axes of each; on a small screen the upper
// or the lower.
func half(c draw.Canvas, i int, height vg.Length) vg.Rectangle {
	const room, gap = 62, 8
	if isNarrow(c.Max.X - c.Min.X) {
		top := c.Max.Y - vg.Length(i)*(height+pairAxis)
		return vg.Rectangle{Min: vg.Point{X: c.Min.X + room, Y: top - height}, Max: vg.Point{X: c.Max.X - gap, Y: top}}
	}
	each := (c.Max.X - c.Min.X - 2*(room+gap)) / 2
	left := c.Min.X + room + vg.Length(i)*(each+room+gap)
	return vg.Rectangle{Min: vg.Point{X: left, Y: c.Max.Y - height}, Max: vg.Point{X: left + each, Y: c.Max.Y}}
}

// check says what does not fit.
func (f Construction) check() error {
	if err := checkCurve(f.Curve); err != nil {
		return err
	}
	if f.Cutoff.Status == analysis.OK && !finite(f.Cutoff.Stopping) {
		return fmt.Errorf("method %q, setting %q: the cutoff is OK but not a number", f.Method, f.Curve.Setting)
	}
	if f.Plane != nil {
		if err := checkPlane(*f.Plane); err != nil {
			return fmt.Errorf("method %q: %w", f.Method, err)
		}
		if err := f.checkStrokes(f.Plane.Strokes); err != nil {
			return err
		}
	}
	return f.checkStrokes(f.Strokes)
}

// checkStrokes says which stroke of a construction does not fit.
func (f Construction) checkStrokes(strokes []analysis.Stroke) error {
	for _, s := range strokes {
		if len(s.V) != len(s.I) || len(s.V) == 0 {
			return fmt.Errorf("method %q, stroke %q: %d voltages and %d currents; as many of both are needed, and at least one",
				f.Method, s.Role, len(s.V), len(s.I))
		}
		if !finite(s.V...) || !finite(s.I...) {
			return fmt.Errorf("method %q, stroke %q: a value is not finite", f.Method, s.Role)
		}
	}
	return nil
}

// strokeLook is the look of stroke i, beyond that of the readings.
func strokeLook(i int) look {
	l := looks(i + 1)
	l.line.Width = 1.6
	l.mark.Radius = 4
	return l
}

// keys explain readings, strokes, cutoff and truth.
func (f Construction) keys() []key {
	keys := readingKeys(f.Curve)
	if f.Plane != nil {
		mark, bar := readingMark(), readingBar()
		keys = []key{{text: "reading, or point made of readings, with standard uncertainty", mark: &mark, bar: &bar}}
	}
	if f.Taken != nil {
		mark := passedOverMark()
		keys = append(keys, key{text: "not taken", mark: &mark})
	}
	keys = append(keys, f.roles().keys()...)
	if f.Cutoff.Status == analysis.OK {
		line := cutoffLine()
		keys = append(keys, key{text: "cutoff, with standard uncertainty", line: &line, fill: haze})
	}
	if f.Truth != nil {
		line := truthLine()
		keys = append(keys, key{text: "true cutoff", line: &line})
	}
	return keys
}

// cutoffLine is the style of a cutoff that was read.
func cutoffLine() draw.LineStyle { return stroke(hues[0], 1.2) }

// found says in words what was found on the curve.
func (f Construction) found() string {
	s := curveName(f.Curve) + ": "
	if f.Cutoff.Status == analysis.OK {
		s += measured(f.Cutoff.Stopping, f.Cutoff.U) + " V"
	} else {
		s += "no answer. " + f.Cutoff.Reason
	}
	if f.Taken != nil {
		s += fmt.Sprintf("; read between %.2g and %.2g %% of the photocurrent at zero volts", 100*f.Taken.High, 100*f.Taken.Low)
	}
	if f.Truth != nil {
		s += fmt.Sprintf(" (true: %s V)", number(*f.Truth, max(3, decimalsFor(f.Cutoff.U))))
	}
	return s
}

// knee returns the range of voltages in V that is enlarged.
func (f Construction) knee() extent {
	truth, cutoff := math.NaN(), []analysis.Cutoff{f.Cutoff}
	if f.Truth != nil {
		truth = *f.Truth
	}
	centre := kneeCentre(f.Curve, truth, cutoff)
	return kneeWindow(centre, kneeHalf(centre, cutoff)+0.07)
}

// takes says whether the method took the readings at a voltage in V.
func (f Construction) takes(v float64) bool {
	return f.Taken == nil || v >= f.Taken.From && v <= f.Taken.To
}

// readings are those that the method took and those that it did not, each in their
// look.
func (f Construction) readings() []readings {
	taken, others := plain(f.Curve), plain(f.Curve)
	others.mark = passedOverMark()
	taken.Readings, others.Readings = nil, nil
	for _, r := range f.Curve.Readings {
		if f.takes(r.Retarding) {
			taken.Readings = append(taken.Readings, r)
		} else {
			others.Readings = append(others.Readings, r)
		}
	}
	return []readings{taken, others}
}

// passedOverMark is the look of a reading that a method does not take.
func passedOverMark() draw.GlyphStyle {
	return draw.GlyphStyle{Color: ink, Radius: 2, Shape: shape{corners: ring(4, math.Pi/4, 1.15), spokes: true}}
}

// own returns the plot of the method's own plane.
func (f Construction) own() *plot.Plot {
	return f.planePlot(f.roles())
}

// roles returns those of both panels.
func (f Construction) roles() strokeRoles {
	if f.Plane == nil {
		return rolesOf(f.Strokes)
	}
	return rolesOf(f.Strokes, f.Plane.Strokes)
}

// plot returns the plot of a range of voltages.
func (f Construction) plot(window extent, share float64) *plot.Plot {
	p, u := currentPlot(window, share, plain(f.Curve))
	addBand(p, f.Cutoff)
	addReadings(p, u, f.readings()...)
	addCutoff(p, f.Cutoff)
	if f.Truth != nil {
		addTruth(p, *f.Truth)
	}
	f.roles().add(p, f.Strokes, u.size, false)
	return p
}
