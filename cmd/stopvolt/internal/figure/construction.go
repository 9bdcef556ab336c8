package figure

import (
	"fmt"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"math"

	"stopvolt/analysis"
	"stopvolt/instrument/run"
)

// Construction shows how a method reads the cutoff of a curve: the lines that a
// person would draw, over the readings of the whole sweep and over the knee
// enlarged, and the cutoff as a band of one standard uncertainty to each side.
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
	answer := f.answer()
	alt := fmt.Sprintf("Current against retarding voltage at %s with the construction of the method %s.", curveName(f.Curve), f.Method)
	body := vg.Length(len(answer))*keyHeight + constructionHeight + 46
	return head{title: f.Title, keys: f.keys()}.page(alt, body, func(c draw.Canvas) {
		for _, line := range answer {
			write(c, line, lettering(labelSize, ink), vg.Point{X: c.Min.X, Y: c.Max.Y - keyHeight/2}, draw.XLeft)
			c.Max.Y -= keyHeight
		}
		c.Max.Y -= 8
		place(f.plot(voltages(f.Curve).padded(0.03, 0.1), 0), c, half(c, 0, constructionHeight))
		place(f.plot(f.knee(), kneeShare), c, half(c, 1, constructionHeight))
	}), nil
}

// half returns the left (0) or right (1) of two equal panels of a height at
// the top of a canvas, with room for the axes of each.
func half(c draw.Canvas, i int, height vg.Length) vg.Rectangle {
	const room, gap = 62, 8
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
	for _, s := range f.Strokes {
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
	for i, s := range f.Strokes {
		l := strokeLook(i)
		if len(s.V) == 1 {
			keys = append(keys, key{text: s.Role, mark: &l.mark})
		} else {
			keys = append(keys, key{text: s.Role, line: &l.line})
		}
	}
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

// answer says in words what the method found.
func (f Construction) answer() []string {
	style := lettering(labelSize, ink)
	s := fmt.Sprintf("%s at %s: ", f.Method, curveName(f.Curve))
	if f.Cutoff.Status == analysis.OK {
		s += measured(f.Cutoff.Stopping, f.Cutoff.U) + " V"
	} else {
		s += "no answer. " + f.Cutoff.Reason
	}
	if f.Truth != nil {
		s += fmt.Sprintf(" (true: %s V)", number(*f.Truth, max(3, decimalsFor(f.Cutoff.U))))
	}
	return wrap(s, style, textWidth)
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

// plot returns the plot of a range of voltages.
func (f Construction) plot(window extent, share float64) *plot.Plot {
	p, u := currentPlot(window, share, plain(f.Curve))
	if c := f.Cutoff; c.Status == analysis.OK && c.U > 0 && finite(c.U) {
		p.Add(band(c.Stopping-c.U, c.Stopping+c.U, haze))
	}
	addReadings(p, u, plain(f.Curve))
	if f.Cutoff.Status == analysis.OK {
		p.Add(upright(f.Cutoff.Stopping, cutoffLine()))
	}
	if f.Truth != nil {
		addTruth(p, *f.Truth)
	}
	for i, s := range f.Strokes {
		l := strokeLook(i)
		amount := make([]float64, len(s.I))
		for k := range amount {
			amount[k] = s.I[k] / u.size
		}
		if len(s.V) == 1 {
			add(p, []datum{{x: s.V[0], y: amount[0]}}, l.mark, l.bar)
		} else {
			p.Add(through(s.V, amount, l.line))
		}
	}
	return p
}
