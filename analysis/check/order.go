package check

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"stopvolt/analysis"
	"stopvolt/instrument/run"
	"stopvolt/physics"
)

// cutoffShare is the share of the photocurrent at which the checks
// compare sweeps. It is no stopping voltage, but moves with it from line to line,
// and a neighbour line that leaks through must be strong to move it.
const cutoffShare = 0.2

// findOrder looks for filters that were swapped or that are not what they say: light
// of a higher frequency stops at a higher voltage, and the voltages lie on a straight
// line. Where exchanging two labels puts that right it names them, else the one setting
// without which the others lie on a line, and else light that stops later than light
// of a shorter wavelength by more than the uncertainties.
func findOrder(s *sheet) []Finding {
	points := s.points()
	f := Finding{Do: "put each filter in again, read its label aloud, and look at the current at zero volts"}
	if a, b, ok := swap(points); ok {
		f.Says = fmt.Sprintf("the voltages lie on a line if %s (%g nm) and %s (%g nm) exchange their labels, and not as they are labelled",
			points[a].name, points[a].nm, points[b].name, points[b].nm)
		return []Finding{f}
	}
	if i, off, ok := stray(points); ok {
		f.Setting = points[i].name
		f.Says = fmt.Sprintf("it stops %.2f V off the line on which the other settings lie", off)
		f.Do = "look whether its filter is the right one and sits straight, and whether light of another line comes past it"
		return []Finding{f}
	}
	if found := late(points, f.Do, nil); found != nil {
		return found
	}
	// A fifth of the photocurrent hardly moves with a foot of a few per cent, in which
	// a cutoff may be lost altogether.
	return late(s.cutoffs(), f.Do, s.flowsOn)
}

// late looks for light that stops later than light of a shorter wavelength by more than
// the uncertainty of both, and returns the pair that is out of order by most. If
// confirmed is not nil, it has the last word on a pair.
func late(points []point, do string, confirmed func(long, short point) bool) []Finding {
	var worst float64
	var low, high point
	pairs, in := 0, make(map[string]int)
	for i, short := range points {
		for _, long := range points[:i] {
			beyond := long.stop - short.stop - 0.03 - 3*math.Hypot(long.u, short.u)
			if long.nm == short.nm || beyond <= 0 || confirmed != nil && !confirmed(long, short) {
				continue
			}
			pairs++
			in[long.name]++
			in[short.name]++
			if beyond > worst {
				worst, low, high = beyond, long, short
			}
		}
	}
	if pairs == 0 {
		return nil
	}
	f := Finding{Do: do,
		Says: fmt.Sprintf("%s (%g nm) stops at about %.2f V, later than %s (%g nm) at %.2f V, which light of a longer wavelength cannot", low.name, low.nm, low.stop, high.name, high.nm, high.stop)}
	if pairs > 1 {
		// One that is out of order with several is the one to look at.
		for _, p := range []point{low, high} {
			if in[p.name] == pairs {
				f.Setting = p.name
			}
		}
	}
	return []Finding{f}
}

// flowsOn says whether light still drives current where that of a shorter wavelength
// has stopped: a cutoff alone may have been read from few voltages.
func (s *sheet) flowsOn(long, short point) bool {
	for _, w := range s.sweeps {
		if w.name == long.name {
			share, u, ok := w.foot(short.stop+3*short.u, long.stop, long.stop+beyondCutoff)
			return ok && share > surely*u
		}
	}
	return false
}

// cutoffs returns the stopping voltages by the method that answers are given by first,
// of the settings that it has one of, in the order of the frequencies.
func (s *sheet) cutoffs() []point {
	method, err := analysis.ByName(analysis.Preference()[0])
	if err != nil {
		// A preferred method is one of the methods.
		panic(err)
	}
	x := analysis.Extractor{Methods: []analysis.Method{method}}
	var lit run.Run
	lit.Facts = s.run.Facts
	for _, w := range s.sweeps {
		if w.stops() {
			lit.Curves = append(lit.Curves, run.Curve{Setting: w.name, Wavelength: w.wavelength, Readings: w.taken})
		}
	}
	var all []point
	for _, c := range x.Extract(lit).Settings {
		if cutoff := c.Cutoffs[0]; cutoff.Status == analysis.OK {
			all = append(all, point{name: c.Name, nm: c.Wavelength, frequency: c.Frequency, stop: cutoff.Stopping, u: cutoff.U})
		}
	}
	slices.SortFunc(all, byFrequency)
	return all
}

func byFrequency(a, b point) int { return cmp.Compare(a.frequency, b.frequency) }

// stops says whether a sweep has a wavelength, a plateau and enough light, so that the
// voltage at which it stops can be compared with others.
func (w sweep) stops() bool {
	return w.usable && w.wavelength != 0 && w.falling() <= hardlyFalling && w.photocurrent()*cutoffShare >= 3*max(w.noise, w.digit)
}

// stray returns the point without which the others lie on a line, if there is one
// alone, and how far in V it lies off that line.
func stray(points []point) (index int, off float64, ok bool) {
	if len(points) < 4 || scatter(points) < swapOff {
		return 0, 0, false
	}
	best, second := math.Inf(1), math.Inf(1)
	for i := range points {
		rest := slices.Delete(slices.Clone(points), i, i+1)
		switch d := scatter(rest); {
		case d < best:
			best, second, index = d, best, i
		case d < second:
			second = d
		}
	}
	off = points[index].stop - through(slices.Delete(slices.Clone(points), index, index+1)).at(points[index].frequency/1e15)
	return index, off, best*swapGain < scatter(points) && best*2 < second && math.Abs(off) > 2*swapOff
}

// A point is where a sweep has come down to cutoffShare.
type point struct {
	name          string
	nm, frequency float64
	stop, u       float64
	// end is a voltage in V beyond which no light of the own wavelength drives
	// electrons: as far beyond stop again as that is from the middle of the knee,
	// and a little.
	end float64
}

// points returns those of the sweeps with a wavelength, a plateau and enough light, in
// the order of the frequencies.
func (s *sheet) points() []point {
	var all []point
	for _, w := range s.sweeps {
		if !w.stops() {
			continue
		}
		stop := w.shareAt(cutoffShare)
		if stop == w.v[len(w.v)-1] {
			continue
		}
		// A few per cent of the voltage between half and the foot of the knee: what a
		// patchy or coated surface moves the foot by.
		half := stop - w.shareAt(kneeTop)
		all = append(all, point{
			name: w.name, nm: w.wavelength, frequency: physics.Frequency(w.wavelength),
			stop: stop, u: math.Hypot(0.05*half, 0.01), end: stop + 1.2*half + beyondCutoff,
		})
	}
	slices.SortFunc(all, byFrequency)
	return all
}

// What exchanging two labels must do to the root mean square distance from the line
// to be believed.
const (
	swapGain = 5
	swapOff  = 0.06 // V
)

// swap returns the two points whose exchange puts the points on a line, if the points
// are off it as they stand and no other exchange does as well.
func swap(points []point) (a, b int, ok bool) {
	if len(points) < 4 {
		return 0, 0, false
	}
	now := scatter(points)
	if now < swapOff {
		return 0, 0, false
	}
	best, second := math.Inf(1), math.Inf(1)
	for i := range points {
		for j := i + 1; j < len(points); j++ {
			try := slices.Clone(points)
			try[i].stop, try[j].stop = try[j].stop, try[i].stop
			switch d := scatter(try); {
			case d < best:
				best, second, a, b = d, best, i, j
			case d < second:
				second = d
			}
		}
	}
	return a, b, best*swapGain < now && best*2 < second
}

// through returns the straight line through points, against 10^15 Hz.
func through(points []point) line {
	var f, v []float64
	for _, p := range points {
		f, v = append(f, p.frequency/1e15), append(v, p.stop)
	}
	l, _ := straight(f, v)
	return l
}

// scatter returns the root mean square distance in V of points from their straight
// line, three or more.
func scatter(points []point) float64 {
	l := through(points)
	var squares float64
	for _, p := range points {
		d := p.stop - l.at(p.frequency/1e15)
		squares += d * d
	}
	return math.Sqrt(squares / float64(len(points)-2))
}
