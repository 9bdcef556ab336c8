package figure

import (
	"fmt"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Threshold shows the photocurrent against the frequency of the light, on a
// linear and on a logarithmic axis: below the threshold only electrons with
// heat to spare get out, so that the step is not sharp in a warm cell.
type Threshold struct {
	// Title stands above the picture; it may be empty.
	Title string
	// Frequency is the threshold in Hz: the emitter's work function over h.
	Frequency float64
	// Responses has at least one entry.
	Responses []Response
	// Lines are spectral lines of the lamp; they may be empty.
	Lines []ResponseLine
}

// A Response is a photocurrent that depends on the frequency.
type Response struct {
	// Name is such as "at 293 K".
	Name string
	// Frequency in Hz, rising, and Current in A at a like photon flux are of
	// equal length.
	Frequency, Current []float64
}

// A ResponseLine is the photocurrent of one line of the lamp.
type ResponseLine struct {
	// Setting and Wavelength (nm, standard air) name the line.
	Setting    string
	Wavelength float64
	// Frequency is in Hz, and Current and its standard uncertainty U in A.
	Frequency, Current, U float64
}

// Picture lays the curves out. The error says which does not fit.
func (f Threshold) Picture() (Picture, error) {
	if err := f.check(); err != nil {
		return Picture{}, err
	}
	alt := fmt.Sprintf("Photocurrent against frequency on a linear and a logarithmic axis; the threshold is at %s THz.", number(f.Frequency/terahertz, 0))
	const height = 210
	return head{title: f.Title, keys: f.keys()}.page(alt, func(width vg.Length) (vg.Length, func(draw.Canvas)) {
		return 10 + pairHeight(width, height), func(c draw.Canvas) {
			c.Max.Y -= 4
			for i, p := range f.plots() {
				place(p, c, half(c, i, height))
			}
		}
	}), nil
}

// check says what does not fit.
func (f Threshold) check() error {
	if len(f.Responses) == 0 {
		return fmt.Errorf("responses to draw: none; at least one is needed")
	}
	if !(f.Frequency > 0) || !finite(f.Frequency) {
		return fmt.Errorf("threshold at %g Hz; it must be above zero and finite", f.Frequency)
	}
	for _, r := range f.Responses {
		if len(r.Frequency) != len(r.Current) || len(r.Current) < 2 {
			return fmt.Errorf("response %q: %d frequencies and %d currents; as many of both are needed, and at least two",
				r.Name, len(r.Frequency), len(r.Current))
		}
		if !finite(r.Frequency...) || !finite(r.Current...) {
			return fmt.Errorf("response %q: a value is not finite", r.Name)
		}
	}
	for _, l := range f.Lines {
		if !finite(l.Frequency, l.Current, l.U) {
			return fmt.Errorf("line %q: a value is not finite", l.Setting)
		}
	}
	return nil
}

// lineLook is the look of line i of the lamp, after those of the responses.
func (f Threshold) lineLook(i int) look { return looks(len(f.Responses) + i) }

// keys name the responses, the lines and the threshold.
func (f Threshold) keys() []key {
	var keys []key
	for i, r := range f.Responses {
		l := looks(i)
		keys = append(keys, key{text: r.Name, line: &l.line})
	}
	line := truthLine()
	keys = append(keys, key{text: fmt.Sprintf("threshold, %s THz", number(f.Frequency/terahertz, 0)), line: &line})
	for i, l := range f.Lines {
		k := f.lineLook(i)
		keys = append(keys, key{text: lineName(l.Setting, l.Wavelength), mark: &k.mark, bar: &k.bar})
	}
	return keys
}

// plots returns the linear and the logarithmic plot.
func (f Threshold) plots() []*plot.Plot {
	x, y := nowhere().with(f.Frequency/terahertz), nowhere().with(0)
	var currents [][]float64
	for _, r := range f.Responses {
		for i := range r.Frequency {
			x, y = x.with(r.Frequency[i]/terahertz), y.with(r.Current[i])
		}
		currents = append(currents, r.Current)
	}
	for _, l := range f.Lines {
		x, y = x.with(l.Frequency/terahertz), y.with(l.Current-l.U, l.Current+l.U)
		currents = append(currents, []float64{l.Current + l.U})
	}
	axis, u := currentAxis(y)
	x = x.padded(0.02, 1)
	logs := logRange(currents...)
	linear := newPlot(x, axis)
	linear.Y.Label.Text = "photocurrent / " + u.name
	logarithmic := newLogPlot(x, extent{logs.low / u.size, logs.high / u.size}, linear.Y.Label.Text)
	plots := []*plot.Plot{linear, logarithmic}
	linear.Add(across(0, stroke(faint, 0.8)))
	for i, p := range plots {
		p.X.Label.Text = "frequency / THz"
		p.Add(upright(f.Frequency/terahertz, truthLine()))
		for k, r := range f.Responses {
			fx, cy := scaled(r.Frequency, terahertz), scaled(r.Current, u.size)
			if i == 0 {
				p.Add(through(fx, cy, looks(k).line))
			} else {
				p.Add(throughPositive(fx, cy, looks(k).line))
			}
		}
		for k, l := range f.Lines {
			d := []datum{{x: l.Frequency / terahertz, y: l.Current / u.size, uy: l.U / u.size}}
			look := f.lineLook(k)
			if i == 0 {
				add(p, d, look.mark, look.bar)
			} else {
				addPositive(p, d, look.mark, look.bar)
			}
		}
	}
	return plots
}

// scaled returns values in a unit of a size.
func scaled(v []float64, size float64) []float64 {
	out := make([]float64, len(v))
	for i := range v {
		out[i] = v[i] / size
	}
	return out
}

// marginRight keeps the last number of an axis on the page, in points.
const marginRight = vg.Length(14)
