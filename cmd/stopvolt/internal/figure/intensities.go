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

// Intensities shows that the cutoff does not depend on the intensity: the
// curves of one setting at several intensities over the whole sweep, the knee
// enlarged, and the cutoffs that a method read.
type Intensities struct {
	// Title stands above the picture; it may be empty.
	Title string
	// Curves has at least one entry.
	Curves []IntensityCurve
	// Method names the method of the cutoffs; it may be empty where there are
	// none.
	Method string
	// Truth is the true stopping voltage in V; nil where it is not known.
	Truth *float64
}

// An IntensityCurve is a curve at one intensity.
type IntensityCurve struct {
	// Name says the intensity, such as "half".
	Name string
	// Curve has at least two readings.
	Curve run.Curve
	// Cutoff is what the method read; nil where none did.
	Cutoff *analysis.Cutoff
}

// Picture lays the curves out. The error says which does not fit.
func (f Intensities) Picture() (Picture, error) {
	if len(f.Curves) == 0 {
		return Picture{}, fmt.Errorf("intensities to draw: none; at least one curve is needed")
	}
	for _, c := range f.Curves {
		if err := checkCurve(c.Curve); err != nil {
			return Picture{}, err
		}
		if cut := c.Cutoff; cut != nil && cut.Status == analysis.OK && !finite(cut.Stopping) {
			return Picture{}, fmt.Errorf("intensity %q: the cutoff is OK but not a number", c.Name)
		}
	}
	alt := fmt.Sprintf("Current against retarding voltage at %d intensities of the same light; all curves end at the same voltage.", len(f.Curves))
	return head{title: f.Title, keys: f.keys()}.page(alt, f.lay), nil
}

// lay lays the two panels out.
func (f Intensities) lay(width vg.Length) (vg.Length, func(draw.Canvas)) {
	strip := f.stripHeight()
	const height = 220
	return 10 + pairHeight(width, height), func(c draw.Canvas) {
		c.Max.Y -= 4
		whole, knee := half(c, 0, height), half(c, 1, height)
		knee.Min.Y += strip
		centre := kneeCentre(f.Curves[0].Curve, f.truth(), f.cutoffs())
		window := kneeWindow(centre, kneeHalf(centre, f.cutoffs()))
		sweep := nowhere()
		for _, curve := range f.Curves {
			v := voltages(curve.Curve)
			sweep = sweep.with(v.low, v.high)
		}
		place(f.plot(sweep.padded(0.03, 0.1), 0), c, whole)
		p := f.plot(window, kneeShare)
		if strip == 0 {
			place(p, c, knee)
			return
		}
		p.X.Label.Text, p.X.Tick.Marker = "", plot.ConstantTicks(nil)
		place(p, c, knee)
		rows := cutoffStrip(window, f.truth(), f.cutoffs(), nil, 0, looks)
		place(rows, c, vg.Rectangle{
			Min: vg.Point{X: knee.Min.X, Y: knee.Min.Y - strip},
			Max: vg.Point{X: knee.Max.X, Y: knee.Min.Y - cellGap},
		})
	}
}

// stripHeight returns the height of the rows of cutoffs with the gap above.
func (f Intensities) stripHeight() vg.Length {
	for _, c := range f.Curves {
		if c.Cutoff != nil {
			return cellGap + methodRow*vg.Length(len(f.Curves))
		}
	}
	return 0
}

// intensityLook is the look of curve i.
func intensityLook(i int) look {
	l := looks(i)
	l.mark.Radius, l.bar.Width = 2, 0.7
	return l
}

// keys name the intensities with what the method read.
func (f Intensities) keys() []key {
	var keys []key
	for i, c := range f.Curves {
		l := intensityLook(i)
		k := key{text: c.Name, mark: &l.mark, bar: &l.bar}
		if c.Cutoff != nil {
			k.text += ": no answer"
			if c.Cutoff.Status == analysis.OK {
				k.text = fmt.Sprintf("%s: %s V", c.Name, measured(c.Cutoff.Stopping, c.Cutoff.U))
			}
		}
		keys = append(keys, k)
	}
	if f.Truth != nil {
		line := truthLine()
		keys = append(keys, key{text: fmt.Sprintf("true cutoff: %s V", number(*f.Truth, 3)), line: &line})
	}
	if f.stripHeight() > 0 {
		keys = append(keys, key{text: "cutoffs read by " + f.Method})
	}
	return keys
}

// truth returns the true cutoff in V, NaN where it is not known.
func (f Intensities) truth() float64 {
	if f.Truth == nil {
		return math.NaN()
	}
	return *f.Truth
}

// cutoffs returns the cutoff of each curve.
func (f Intensities) cutoffs() []analysis.Cutoff {
	cutoffs := make([]analysis.Cutoff, len(f.Curves))
	for i, c := range f.Curves {
		cutoffs[i] = analysis.Cutoff{Status: analysis.NoCutoff}
		if c.Cutoff != nil {
			cutoffs[i] = *c.Cutoff
		}
	}
	return cutoffs
}

// readings returns the curves with their looks.
func (f Intensities) readings() []readings {
	var out []readings
	for i, c := range f.Curves {
		l := intensityLook(i)
		out = append(out, readings{c.Curve, l.mark, l.bar})
	}
	return out
}

// plot returns the plot of all curves in a range of voltages.
func (f Intensities) plot(window extent, share float64) *plot.Plot {
	p, u := currentPlot(window, share, f.readings()...)
	addTruth(p, f.truth())
	addReadings(p, u, f.readings()...)
	return p
}
