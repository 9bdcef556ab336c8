package figure

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg/draw"

	"stopvolt/analysis"
	"stopvolt/instrument/run"
)

// The half-width in V of a window on a knee is chosen between these.
const (
	narrowest = 0.2
	widest    = 0.5
)

// kneeCentre returns where the knee of a curve is looked for, in V: at the
// truth, which is NaN where not known, or else at the median of the cutoffs,
// or else where the curve becomes flat. It lies within the sweep, beyond which
// there is nothing to enlarge.
func kneeCentre(c run.Curve, truth float64, cutoffs []analysis.Cutoff) float64 {
	sweep := voltages(c)
	var answers []float64
	for _, cut := range cutoffs {
		if cut.Status == analysis.OK {
			answers = append(answers, cut.Stopping)
		}
	}
	slices.Sort(answers)
	centre := truth
	switch {
	case finite(truth):
	case len(answers) > 0:
		centre = answers[len(answers)/2]
	default:
		centre = flatFrom(c)
	}
	return min(max(centre, sweep.low), sweep.high)
}

// kneeHalf returns the half-width in V of the window that holds the cutoffs,
// unless they are far off.
func kneeHalf(centre float64, cutoffs []analysis.Cutoff) float64 {
	half := narrowest
	for _, cut := range cutoffs {
		if cut.Status == analysis.OK {
			half = math.Max(half, 1.15*math.Abs(cut.Stopping-centre))
		}
	}
	return math.Min(half, widest)
}

// kneeWindow returns the range of voltages around a knee, which is wider on
// the steep side.
func kneeWindow(centre, half float64) extent { return extent{centre - 1.5*half, centre + half} }

// voltages returns the range of the voltages of curves in V.
func voltages(curves ...run.Curve) extent {
	v := nowhere()
	for _, c := range curves {
		for _, r := range c.Readings {
			v = v.with(r.Retarding)
		}
	}
	return v
}

// flatFrom returns the least retarding voltage in V at which the current has
// fallen to a fiftieth of its range.
func flatFrom(c run.Curve) float64 {
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

// readings are the readings of a curve with their look.
type readings struct {
	run.Curve
	mark draw.GlyphStyle
	bar  draw.LineStyle
}

// plain returns the readings of a single curve in the look of no series.
func plain(c run.Curve) readings { return readings{c, readingMark(), readingBar()} }

// currentPlot returns a plot for the readings in a range of voltages, with the
// unit of its currents; readings in the share of the range at its steep end do
// not count for the range of currents. It is empty but for the line of zero
// current.
func currentPlot(window extent, share float64, curves ...readings) (*plot.Plot, unit) {
	from := window.low + share*(window.high-window.low)
	y := nowhere().with(0)
	for _, c := range curves {
		for _, r := range c.Readings {
			if r.Retarding >= from && r.Retarding <= window.high {
				y = y.with(r.Current-r.Uncertainty, r.Current+r.Uncertainty)
			}
		}
	}
	// The side of zero on which the current crosses it is to be seen as well.
	y.high = math.Max(y.high, -y.low)
	axis, u := currentAxis(y)
	p := newPlot(window, axis)
	p.X.Label.Text = voltageLabel
	p.Y.Label.Text = "current / " + u.name
	p.Add(across(0, stroke(faint, 0.8)))
	return p, u
}

// addReadings adds readings to a plot of currents in a unit.
func addReadings(p *plot.Plot, u unit, curves ...readings) {
	for _, c := range curves {
		var good, over []datum
		for _, r := range c.Readings {
			d := datum{x: r.Retarding, y: r.Current / u.size, uy: r.Uncertainty / u.size}
			if r.Flags&run.Overload != 0 {
				over = append(over, d)
			} else {
				good = append(good, d)
			}
		}
		add(p, good, c.mark, c.bar)
		add(p, over, overloadMark(), readingBar())
	}
}

// voltageLabel names the axis of the retarding voltage.
const voltageLabel = "retarding voltage / V"

// addTruth marks a true cutoff, if it is known.
func addTruth(p *plot.Plot, v float64) {
	if finite(v) {
		p.Add(upright(v, truthLine()))
	}
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

// curveName names a curve by its setting and wavelength.
func curveName(c run.Curve) string { return lineName(c.Setting, c.Wavelength) }

// lineName names a setting with its wavelength in nm, if that is known and not
// the name already.
func lineName(setting string, wavelength float64) string {
	if !(wavelength > 0) {
		return setting
	}
	if v, err := strconv.ParseFloat(setting, 64); err == nil && v == wavelength {
		return setting + " nm"
	}
	return fmt.Sprintf("%s, %.1f nm", setting, wavelength)
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
