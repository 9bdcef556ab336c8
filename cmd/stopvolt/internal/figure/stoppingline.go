package figure

import (
	"fmt"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"stopvolt/analysis"
)

// StoppingLine shows stopping voltages against frequency with the straight
// line fitted to them, for one method or a few, and below it what each point
// is off its own line.
type StoppingLine struct {
	// Title stands above the picture; it may be empty.
	Title string
	// Series has at least one entry.
	Series []LineSeries
	// Truth is the true line; nil where it is not known.
	Truth *TrueLine
}

// A LineSeries is what one method gave.
type LineSeries struct {
	// Method is the method's name.
	Method string
	// Points holds at least one point.
	Points []analysis.Point
	// Line is the line through the points; nil where there is none.
	Line *analysis.Line
}

// A TrueLine is the stopping voltage as a straight function of the frequency.
type TrueLine struct {
	// Slope is h/e in V s, and Intercept minus the collector's work function
	// in V.
	Slope, Intercept float64
}

// heights of the panels and the room of their axes, in points.
const (
	lineHeight     = 240
	residualHeight = 96
	axisRoom       = 62
)

// sideStep is how far the residuals of the series stand apart, as a share of
// the range of frequencies.
const sideStep = 0.012

// terahertz in Hz.
const terahertz = 1e12

// Picture lays the lines out. The error says which series does not fit.
func (f StoppingLine) Picture() (Picture, error) {
	if err := f.check(); err != nil {
		return Picture{}, err
	}
	alt := fmt.Sprintf("Stopping voltage against frequency for %d methods with fitted lines, and the residuals below.", len(f.Series))
	return head{title: f.Title, keys: f.keys()}.page(alt, panels(lineHeight+residualHeight+50, func(c draw.Canvas) {
		area := vg.Rectangle{
			Min: vg.Point{X: c.Min.X + axisRoom, Y: c.Max.Y - lineHeight - 4},
			Max: vg.Point{X: c.Max.X - 10, Y: c.Max.Y - 4},
		}
		voltage, residual := f.plots()
		place(voltage, c, area)
		area.Max.Y = area.Min.Y - 12
		area.Min.Y = area.Max.Y - residualHeight
		place(residual, c, area)
	})), nil
}

// check says what does not fit.
func (f StoppingLine) check() error {
	if len(f.Series) == 0 {
		return fmt.Errorf("lines to draw: none; at least one method is needed")
	}
	for _, s := range f.Series {
		if len(s.Points) == 0 {
			return fmt.Errorf("method %q has no point to draw", s.Method)
		}
		for _, pt := range s.Points {
			if !finite(pt.Frequency, pt.UFrequency, pt.Stopping, pt.UStopping) {
				return fmt.Errorf("method %q, setting %q: a value is not finite", s.Method, pt.Setting)
			}
		}
		if s.Line != nil && !finite(s.Line.Slope, s.Line.Intercept) {
			return fmt.Errorf("method %q: the line is not finite", s.Method)
		}
	}
	if f.Truth != nil && !finite(f.Truth.Slope, f.Truth.Intercept) {
		return fmt.Errorf("the true line is not finite")
	}
	return nil
}

// keys say what each line found.
func (f StoppingLine) keys() []key {
	var keys []key
	for i, s := range f.Series {
		l := lookOf(s.Method, i)
		k := key{text: s.Method + ": no line", mark: &l.mark, bar: &l.bar}
		if s.Line != nil {
			k.line = &l.line
			k.text = fmt.Sprintf("%s: %s", s.Method, inWords(s.Line.Slope, s.Line.USlope, s.Line.Intercept, s.Line.UIntercept))
		}
		keys = append(keys, k)
	}
	if f.Truth != nil {
		line := truthLine()
		keys = append(keys, key{text: "true line: " + inWords(f.Truth.Slope, 0, f.Truth.Intercept, 0), line: &line})
	}
	return keys
}

// inWords writes a line as what it says of nature.
func inWords(slope, uSlope, intercept, uIntercept float64) string {
	return fmt.Sprintf("h/e = %s × 10^{−15} V s, work function %s eV",
		bracketed(slope/1e-15, uSlope/1e-15), bracketed(-intercept, uIntercept))
}

// bracketed is measured in brackets where there is an uncertainty, so that
// the unit is that of both numbers.
func bracketed(v, u float64) string {
	if u > 0 && finite(u) {
		return "(" + measured(v, u) + ")"
	}
	return number(v, 3)
}

// plots returns the plot of the voltages and that of the residuals.
func (f StoppingLine) plots() (voltage, residual *plot.Plot) {
	frequency, volts, off := nowhere(), nowhere(), nowhere().with(0)
	for _, s := range f.Series {
		for i, pt := range s.Points {
			frequency = frequency.with(pt.Frequency / terahertz)
			volts = volts.with(pt.Stopping-pt.UStopping, pt.Stopping+pt.UStopping)
			if r := s.residual(i); finite(r) {
				off = off.with(r-pt.UStopping, r+pt.UStopping)
			}
		}
	}
	frequency = frequency.padded(0.05+sideStep*float64(len(f.Series)), 10)
	for _, s := range f.Series {
		if l := s.Line; l != nil {
			volts = volts.with(onLine(l.Slope, l.Intercept, frequency.low), onLine(l.Slope, l.Intercept, frequency.high))
		}
	}
	scale, unit := 1e-3, "mV"
	if math.Max(off.high, -off.low) >= 0.9 {
		scale, unit = 1, "V"
	}
	voltage = newPlot(frequency, volts.padded(0.06, 0.1))
	voltage.Y.Label.Text = "stopping voltage / V"
	voltage.X.Tick.Marker = withoutTickLabels{}
	voltage.Add(across(0, stroke(faint, 0.8)))
	residual = newPlot(frequency, extent{off.low / scale, off.high / scale}.padded(0.12, 1))
	residual.Y.Label.Text = "residual / " + unit
	residual.X.Label.Text = "frequency / THz"
	residual.Add(across(0, stroke(faint, 0.8)))
	if f.Truth != nil {
		voltage.Add(straight(f.Truth.Slope, f.Truth.Intercept, frequency, truthLine()))
	}
	for i, s := range f.Series {
		f.addSeries(voltage, residual, i, s, frequency, scale)
	}
	return voltage, residual
}

// addSeries adds series i to both plots. In the residuals the series stand a
// little apart sideways, since their points share the frequencies.
func (f StoppingLine) addSeries(voltage, residual *plot.Plot, i int, s LineSeries, frequency extent, scale float64) {
	l := lookOf(s.Method, i)
	if s.Line != nil {
		voltage.Add(straight(s.Line.Slope, s.Line.Intercept, frequency, l.line))
	}
	aside := (float64(i) - float64(len(f.Series)-1)/2) * (frequency.high - frequency.low) * sideStep
	var points, residuals []datum
	for k, pt := range s.Points {
		d := datum{x: pt.Frequency / terahertz, y: pt.Stopping, ux: pt.UFrequency / terahertz, uy: pt.UStopping}
		points = append(points, d)
		if r := s.residual(k); finite(r) {
			d.x, d.y, d.ux, d.uy = d.x+aside, r/scale, 0, d.uy/scale
			residuals = append(residuals, d)
		}
	}
	add(voltage, points, l.mark, l.bar)
	add(residual, residuals, l.mark, l.bar)
}

// residual returns what point k is above the line in V, NaN without a line.
func (s LineSeries) residual(k int) float64 {
	if s.Line == nil {
		return math.NaN()
	}
	pt := s.Points[k]
	return pt.Stopping - onLine(s.Line.Slope, s.Line.Intercept, pt.Frequency/terahertz)
}

// onLine returns the voltage in V of a line at a frequency in THz.
func onLine(slope, intercept, frequency float64) float64 {
	return slope*frequency*terahertz + intercept
}

// straight draws a line over a range of frequencies in THz.
func straight(slope, intercept float64, over extent, style draw.LineStyle) plot.Plotter {
	return through([]float64{over.low, over.high},
		[]float64{onLine(slope, intercept, over.low), onLine(slope, intercept, over.high)}, style)
}
