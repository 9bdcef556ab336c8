package check

import (
	"math"
	"slices"

	"stopvolt/analysis"
	"stopvolt/instrument/run"
)

// A sweep is a curve with light as the checks look at it.
type sweep struct {
	name       string
	wavelength float64
	// taken are the readings in the order in which they were taken, without slips.
	taken []run.Reading
	slips []analysis.Slip
	// v and i are the distinct voltages in V, rising, and the mean currents in A;
	// noise is the standard uncertainty in A of one of them on the plateau.
	v, i  []float64
	noise float64
	// digit is a step of the meter's last digit in A, 0 if it shows none.
	digit float64
	// usable says that there are readings enough to look at.
	usable bool
}

// fewestVoltages is the number of distinct voltages from which a sweep can be
// looked at.
const fewestVoltages = 6

// newSweep returns the sweep of a curve.
func newSweep(c run.Curve, f run.Facts) sweep {
	c, slips := analysis.WithoutSlips(c, f)
	w := sweep{name: c.Setting, wavelength: c.Wavelength, taken: c.Readings, slips: slips}
	var p analysis.Prepared
	if err := p.Prepare(c, f); err != nil {
		return w
	}
	w.v, w.i = slices.Clone(p.V), slices.Clone(p.I)
	w.digit = p.Resolution
	w.usable = len(w.v) >= fewestVoltages
	if w.usable {
		quiet := slices.Sorted(slices.Values(p.U[2*len(p.U)/3:]))
		w.noise = max(quiet[len(quiet)/2], w.ends())
	}
	return w
}

// ends returns the scatter of the last third of the readings as their third
// differences show it, which a smooth curve hardly has: what the plateau is worth
// whatever the meter's data sheet says.
func (w sweep) ends() float64 {
	from := min(2*len(w.i)/3, len(w.i)-5)
	var sizes []float64
	for k := max(from, 0); k+3 < len(w.i); k++ {
		// The variance of 1, -3, 3, -1 is 20.
		sizes = append(sizes, math.Abs(w.i[k]-3*w.i[k+1]+3*w.i[k+2]-w.i[k+3])/math.Sqrt(20))
	}
	slices.Sort(sizes)
	// The median of |z| for a standard normal z is 0.6745.
	return sizes[len(sizes)/2] / 0.6745
}

// at returns the current at a voltage by straight lines between the readings, and
// that of the nearest end beyond them.
func (w sweep) at(v float64) float64 {
	k, found := slices.BinarySearch(w.v, v)
	switch {
	case found || k == 0:
		return w.i[k]
	case k == len(w.v):
		return w.i[k-1]
	}
	share := (v - w.v[k-1]) / (w.v[k] - w.v[k-1])
	return w.i[k-1] + share*(w.i[k]-w.i[k-1])
}

// level returns the current of the retarding end: the median of the last readings.
func (w sweep) level() float64 {
	k := max(len(w.i)/8, 3)
	last := slices.Sorted(slices.Values(w.i[len(w.i)-k:]))
	return (last[(k-1)/2] + last[k/2]) / 2
}

// attracting is the voltage in V at which the photocurrent is taken. The collector
// attracts there, so that a line that stops close to zero volts has its current too.
const attracting = -0.5

// photocurrent returns the current in A at half an attracting volt, or at the start
// of a sweep that begins later, over that of the retarding end.
func (w sweep) photocurrent() float64 { return w.at(max(attracting, w.v[0])) - w.level() }

// shareAt returns the voltage in V at which the current over the retarding end first
// comes down to a share of the photocurrent, or the end of the sweep.
func (w sweep) shareAt(share float64) float64 {
	level := w.level()
	wanted := level + share*w.photocurrent()
	for k := 1; k < len(w.v); k++ {
		if w.i[k-1] > wanted && w.i[k] <= wanted {
			return w.v[k-1] + (w.i[k-1]-wanted)/(w.i[k-1]-w.i[k])*(w.v[k]-w.v[k-1])
		}
	}
	return w.v[len(w.v)-1]
}

// A line is a straight line through readings, with the standard uncertainty of its
// slope from their scatter.
type line struct {
	v, height, slope, uSlope float64
}

func (l line) at(v float64) float64 { return l.height + l.slope*(v-l.v) }

// straight fits a line to three readings or more; false without a spread of
// voltages.
func straight(v, i []float64) (line, bool) {
	n := float64(len(v))
	if n < 3 {
		return line{}, false
	}
	var l line
	for k := range v {
		l.v += v[k] / n
		l.height += i[k] / n
	}
	var vv, vi float64
	for k := range v {
		vv += (v[k] - l.v) * (v[k] - l.v)
		vi += (v[k] - l.v) * (i[k] - l.height)
	}
	if vv == 0 {
		return line{}, false
	}
	l.slope = vi / vv
	var squares float64
	for k := range v {
		d := i[k] - l.at(v[k])
		squares += d * d
	}
	l.uSlope = math.Sqrt(squares / (n - 2) / vv)
	return l, true
}
