package match

import (
	"math"

	"stopvolt/analysis"
	"stopvolt/instrument/run"
	"stopvolt/physics"
)

// sampleAt are the places, in parts of the mean photon energy by the raw line
// from the raw cutoff, at which a curve is read for its features.
var sampleAt = [...]float64{-0.4, -0.25, -0.16, -0.1, -0.06, -0.03, 0, 0.03, 0.06, 0.1, 0.16}

// reading is what is kept of a run, measured or simulated: the cutoffs of each
// method and the shape of each curve.
type reading struct {
	// cutoffs has for each method and line a stopping voltage in V, NaN where
	// there is none, and known its standard uncertainty.
	cutoffs, known [][]float64
	// voltages are in V and shapes the signed roots of the current over that at
	// the reference, for each line.
	voltages, shapes [][]float64
}

// readingOf reads an extraction of a run, whose curves are sorted by voltage;
// reference has for each line the index of the reading nearest to 0 V.
func readingOf(x analysis.Extraction, r run.Run, methods int, reference []int) reading {
	out := reading{cutoffs: make([][]float64, methods), known: make([][]float64, methods)}
	for m := range methods {
		out.cutoffs[m], out.known[m] = make([]float64, len(r.Curves)), make([]float64, len(r.Curves))
		for i, s := range x.Settings {
			out.cutoffs[m][i] = math.NaN()
			if c := s.Cutoffs[m]; c.Status == analysis.OK {
				out.cutoffs[m][i], out.known[m][i] = c.Stopping, c.U
			}
		}
	}
	for i, c := range r.Curves {
		top := c.Readings[reference[i]].Current
		v, s := make([]float64, 0, len(c.Readings)), make([]float64, 0, len(c.Readings))
		for k := 0; k < len(c.Readings); {
			// Repeats at one voltage count as their mean.
			sum, n, at := 0.0, 0, c.Readings[k].Retarding
			for ; k < len(c.Readings) && c.Readings[k].Retarding == at; k++ {
				sum += c.Readings[k].Current
				n++
			}
			v, s = append(v, at), append(s, signedRoot(sum/float64(n)/top))
		}
		out.voltages, out.shapes = append(out.voltages, v), append(out.shapes, s)
	}
	return out
}

// signedRoot is the root of what is positive and minus that of the rest.
func signedRoot(x float64) float64 { return math.Copysign(math.Sqrt(math.Abs(x)), x) }

// at returns the shape of a line at a voltage in V, between readings on the
// straight line through them and beyond them as at the last.
func (d *reading) at(line int, voltage float64) float64 {
	v, s := d.voltages[line], d.shapes[line]
	if voltage <= v[0] {
		return s[0]
	}
	for k := 1; k < len(v); k++ {
		if voltage <= v[k] {
			share := (voltage - v[k-1]) / (v[k] - v[k-1])
			return s[k-1] + share*(s[k]-s[k-1])
		}
	}
	return s[len(s)-1]
}

// layout says what the features of a set of lines are.
type layout struct {
	// frequencies in Hz of all lines, and mean their mean.
	frequencies []float64
	mean        float64
	// raw is the index of the raw method among so many.
	raw, methods int
	// names of the lines and methods.
	lines, means []string
}

func newLayout(r run.Run, raw int, methods []analysis.Method) layout {
	l := layout{raw: raw, methods: len(methods)}
	for _, c := range r.Curves {
		f := physics.Frequency(c.Wavelength)
		l.frequencies = append(l.frequencies, f)
		l.mean += f / float64(len(r.Curves))
		l.lines = append(l.lines, lineName(c))
	}
	for _, m := range methods {
		l.means = append(l.means, m.Name())
	}
	return l
}

// lineName names a curve.
func lineName(c run.Curve) string {
	if c.Setting != "" {
		return c.Setting
	}
	return formatNumber(c.Wavelength) + " nm"
}

// rawLine is the line of the raw method through some of the lines.
type rawLine struct {
	// slope is in V s and workFunction in eV.
	slope, workFunction float64
}

// line returns the weighted line of a method through the lines other than one,
// which may be -1, and whether all of them have a cutoff.
func (l *layout) line(d *reading, method, without int) (rawLine, bool) {
	return l.lineLess(d, method, without, -1)
}

// lineLess is line without two of them, each of which may be -1.
func (l *layout) lineLess(d *reading, method, without, nor int) (rawLine, bool) {
	var n, sf, sv, sff, sfv float64
	for i, f := range l.frequencies {
		v := d.cutoffs[method][i]
		switch {
		case i == without || i == nor:
			continue
		case math.IsNaN(v):
			return rawLine{}, false
		}
		f /= l.mean
		w := 1 / (d.known[method][i] * d.known[method][i])
		n, sf, sv, sff, sfv = n+w, sf+w*f, sv+w*v, sff+w*f*f, sfv+w*f*v
	}
	slope := (n*sfv - sf*sv) / (n*sff - sf*sf)
	intercept := (sv - slope*sf) / n
	return rawLine{slope / l.mean, -intercept}, slope > 0
}

// apart returns the distance in V of a line's raw cutoff from the line through the
// others but one, which may be -1. It is at most the mean photon energy, since two
// others that are much alike point anywhere.
func (l *layout) apart(d *reading, line, without int) float64 {
	others, _ := l.lineLess(d, l.raw, without, line)
	off := d.cutoffs[l.raw][line] + others.workFunction - others.slope*l.frequencies[line]
	most := math.Abs(others.slope) * l.mean
	return min(max(off, -most), most)
}

// features appends the numbers of a run without one line, which may be -1. None
// of them has a unit. It reports false where the raw line cannot be put.
func (l *layout) features(to []float64, d *reading, without int) ([]float64, rawLine, bool) {
	raw, ok := l.line(d, l.raw, without)
	if !ok {
		return to, raw, false
	}
	scale := raw.slope * l.mean
	for m := range l.methods {
		if m == l.raw {
			continue
		}
		other, ok := l.line(d, m, without)
		ratio := 0.0
		if ok {
			ratio = min(max(math.Log(other.slope/raw.slope), -1), 1)
		}
		to = append(to, ratio)
	}
	to = append(to, raw.workFunction/scale)
	for i := range l.frequencies {
		if i == without {
			continue
		}
		v := d.cutoffs[l.raw][i]
		to = append(to, v/scale, l.apart(d, i, without)/scale, math.Log(d.known[l.raw][i]/scale))
		for m := range l.methods {
			if m == l.raw {
				continue
			}
			apart := 0.0
			if c := d.cutoffs[m][i]; !math.IsNaN(c) {
				apart = min(max((c-v)/scale, -0.5), 0.5)
			}
			to = append(to, apart)
		}
		for _, u := range sampleAt {
			to = append(to, d.at(i, v+u*scale))
		}
		// How the current rises where the field helps says much of the geometry; its
		// size beyond that at 0 V is bounded, since it hangs on where the sweep begins.
		to = append(to, min(d.shapes[i][0], 4), d.shapes[i][len(d.shapes[i])-1])
	}
	return to, raw, true
}

// apartFromOthers is the name of that feature.
const apartFromOthers = "the distance of the cutoff from the line through the others"

// name returns what a feature of the layout without one line is called, and the
// name of the line it belongs to, if it does.
func (l *layout) name(feature, without int) (line, what string) {
	k := 0
	for m := range l.methods {
		if m == l.raw {
			continue
		}
		if k == feature {
			return "", "the slope by " + l.means[m] + " over that by " + l.means[l.raw]
		}
		k++
	}
	if k == feature {
		return "", "the intercept over the photon energy"
	}
	k++
	for i := range l.frequencies {
		if i == without {
			continue
		}
		names := []string{"the cutoff over the photon energy", apartFromOthers, "the uncertainty of the cutoff"}
		for m := range l.methods {
			if m != l.raw {
				names = append(names, "the cutoff by "+l.means[m]+" less that by "+l.means[l.raw])
			}
		}
		for _, u := range sampleAt {
			switch {
			case u < 0:
				names = append(names, "the current "+formatNumber(-u)+" photon energies before the cutoff")
			case u == 0:
				names = append(names, "the current at the cutoff")
			default:
				names = append(names, "the current "+formatNumber(u)+" photon energies past the cutoff")
			}
		}
		names = append(names, "the current at the first voltage", "the current at the last voltage")
		if feature < k+len(names) {
			return l.lines[i], names[feature-k]
		}
		k += len(names)
	}
	return "", ""
}
