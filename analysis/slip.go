package analysis

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"stopvolt/instrument/run"
)

// A Slip is a reading that lies far off the smooth course of its neighbours: most
// often a digit moved or left out when it was written down, or the wrong range.
type Slip struct {
	// Setting is that of the curve, and Wavelength its in nm.
	Setting    string
	Wavelength float64
	// Reading is the one in question.
	Reading run.Reading
	// Suggested is the current in A that its neighbours suggest, to two digits: they
	// know no more.
	Suggested float64

	// index is the reading's place in its curve.
	index int
}

// What a reading must be to be called a slip.
const (
	// slipDeviations is how many robust standard deviations it lies off the course of
	// its neighbours, and slipBeyond how many beyond the nearest of them: a current
	// that falls from one voltage to the next lies between its neighbours, whatever the
	// curvature is.
	slipDeviations, slipBeyond = 10, 8
	// slipSpreads is how many times the spread of the repeats at a voltage next to its own
	// it lies off its course: repeats of a meter that settles all lie apart.
	slipSpreads = 3
	// slipShare is the share of the current of its course by which it lies off at
	// least: less is no digit moved, but a lamp that flickered once.
	slipShare = 0.1
	// slipSteps is how many of the steepest steps next to an end of the sweep the
	// current may change by in the last one.
	slipSteps = 4
	// slipReach is how many voltages on either side tell the scatter, and fewestSlip how
	// many must.
	slipReach, fewestSlip = 8, 5
	// mostSlips is the number of voltages of a curve that can have slips: more readings
	// out of order are no slips, but a lamp that drifts or a meter that has not settled.
	mostSlips = 2
)

// Slips returns the slips of a curve in the order of its readings. The course of the
// neighbours is the cubic through the two nearest voltages on either side. The scatter
// is told by the quieter of the distances of the readings around from theirs, since a
// cubic does not follow the knee of a coarse sweep. A slip lies off its course by many
// times that, and breaks the fall of the current from voltage to
// voltage, or lies that far from a repeat at its own voltage which is right.
// A curve whose readings do not fall has no slips that could be told, and neither has
// one with too few voltages. A first reading that is too high passes for right, since
// light may stop right behind the first voltage.
func Slips(c run.Curve, f run.Facts) []Slip {
	s := newSlips(c, f)
	if s == nil {
		return nil
	}
	var found []Slip
	voltages := make(map[float64]bool)
	for {
		slip, v, ok := s.worst()
		if !ok {
			break
		}
		if voltages[v] = true; len(voltages) > mostSlips {
			return nil
		}
		slip.Setting, slip.Wavelength = c.Setting, c.Wavelength
		found = append(found, slip)
		s.remove(slip.index)
	}
	slices.SortFunc(found, func(a, b Slip) int { return cmp.Compare(a.index, b.index) })
	return found
}

// WithoutSlips returns a curve without its slips, and these.
func WithoutSlips(c run.Curve, f run.Facts) (run.Curve, []Slip) {
	found := Slips(c, f)
	if len(found) == 0 {
		return c, nil
	}
	kept := make([]run.Reading, 0, len(c.Readings))
	for i, r := range c.Readings {
		if !slices.ContainsFunc(found, func(s Slip) bool { return s.index == i }) {
			kept = append(kept, r)
		}
	}
	c.Readings = kept
	return c, found
}

// A level is what was read at one voltage.
type level struct {
	v, mean float64
	// at are the places of the readings in their curve.
	at []int
}

// slips is a curve in which slips are looked for.
type slips struct {
	readings []run.Reading
	levels   []level
	// least is the smallest standard deviation in A that is believed.
	least float64
	// largest is the largest mean current in A but for one.
	largest float64
}

// newSlips lays a curve out, or returns nil where no reading can be told a slip.
func newSlips(c run.Curve, f run.Facts) *slips {
	s := &slips{readings: c.Readings}
	var order []int
	var sizes []float64
	for i, r := range c.Readings {
		if !finite(r.Retarding) || !finite(r.Current) || !finite(r.Uncertainty) {
			return nil
		}
		if r.Flags&run.Overload == 0 {
			order, sizes = append(order, i), append(sizes, r.Current)
		}
	}
	if len(order) == 0 {
		return nil
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(c.Readings[a].Retarding, c.Readings[b].Retarding), cmp.Compare(c.Readings[a].Current, c.Readings[b].Current))
	})
	v := func(i int) float64 { return c.Readings[i].Retarding }
	span := v(order[len(order)-1]) - v(order[0])
	for _, i := range order {
		if n := len(s.levels); n == 0 || v(i)-s.levels[n-1].v > span/mostPoints {
			s.levels = append(s.levels, level{v: v(i)})
		}
		last := &s.levels[len(s.levels)-1]
		last.at = append(last.at, i)
	}
	for k := range s.levels {
		s.average(&s.levels[k])
	}
	means := make([]float64, len(s.levels))
	for k, l := range s.levels {
		means[k] = math.Abs(l.mean)
	}
	slices.Sort(means)
	// The largest may be a slip itself.
	s.largest = means[max(len(means)-2, 0)]
	digit := f.Resolution
	if digit == 0 {
		digit = lastDigit(c.Readings)
	}
	s.least = max(digit/math.Sqrt(12), noiseless*largest(sizes))
	return s
}

// average sets the mean of a level.
func (s *slips) average(l *level) {
	var sum float64
	for _, i := range l.at {
		sum += s.readings[i].Current
	}
	l.mean = sum / float64(len(l.at))
}

// remove takes a reading out.
func (s *slips) remove(index int) {
	for k := range s.levels {
		l := &s.levels[k]
		l.at = slices.DeleteFunc(l.at, func(i int) bool { return i == index })
		if len(l.at) > 0 {
			s.average(l)
		}
	}
	s.levels = slices.DeleteFunc(s.levels, func(l level) bool { return len(l.at) == 0 })
}

// worst returns the slip that lies farthest off, and the voltage of its level.
func (s *slips) worst() (found Slip, v float64, ok bool) {
	var farthest float64
	for k, l := range s.levels {
		course, width := s.course(k, nil)
		scatter, told := s.scatter(k, course)
		if !told {
			continue
		}
		for _, i := range l.at {
			if slip, off, is := s.judge(k, i, course, width, scatter); is && off > farthest {
				found, v, farthest, ok = slip, l.v, off, true
			}
		}
	}
	return found, v, ok
}

// judge says whether reading i of level k, with the course, width and scatter there, is
// a slip, and how far off it lies in A.
func (s *slips) judge(k, i int, course, width, scatter float64) (slip Slip, off float64, is bool) {
	r := s.readings[i]
	low, high, ok := s.between(k)
	if !ok {
		return Slip{}, 0, false
	}
	// What lies between its neighbours, and at its repeats, needs no second look.
	beyond := max(r.Current-high, low-r.Current)
	repeat, repeated := s.repeat(k, i)
	if beyond <= 0 && !repeated {
		return Slip{}, 0, false
	}
	scatter = max(scatter, r.Uncertainty)
	if s.rise(k) > slipBeyond*scatter {
		// The neighbours themselves do not fall: a step, or a curve that rises.
		return Slip{}, 0, false
	}
	low, high = min(low, high), max(low, high)
	course = min(max(course, low), high)
	off = math.Abs(r.Current - course)
	if off <= slipDeviations*scatter*width || off <= slipSpreads*s.spread(k) || off <= slipShare*math.Abs(course) {
		return Slip{}, 0, false
	}
	breaksFall := beyond > slipBeyond*scatter && !s.outdone(k)
	breaksRepeat := repeated && math.Abs(r.Current-repeat) > slipDeviations*scatter*math.Sqrt2 && math.Abs(repeat-course) < off/2
	slip = Slip{Reading: r, Suggested: twoDigits(course), index: i}
	if breaksRepeat {
		slip.Suggested = twoDigits(repeat)
	}
	return slip, off, breaksFall || breaksRepeat
}

// twoDigits rounds a number to two significant digits.
func twoDigits(x float64) float64 {
	if x == 0 {
		return 0
	}
	text := strconv.FormatFloat(x, 'e', 1, 64)
	y, err := strconv.ParseFloat(text, 64)
	if err != nil {
		// What was written as a number reads as one.
		panic(err)
	}
	return y
}

// repeat returns the mean of the other readings of level k.
func (s *slips) repeat(k, i int) (mean float64, ok bool) {
	l := s.levels[k]
	n := float64(len(l.at))
	if n < 2 {
		return 0, false
	}
	return (l.mean*n - s.readings[i].Current) / (n - 1), true
}

// between returns the currents that level k lies between if the current falls: those
// of its neighbours, and at an end what the steepest steps next to it allow.
func (s *slips) between(k int) (low, high float64, ok bool) {
	n := len(s.levels)
	if n < fewestSlip+1 {
		return 0, 0, false
	}
	steepest := func(from, to int) float64 {
		var most float64
		for j := from; j < to; j++ {
			a, b := s.levels[j], s.levels[j+1]
			most = max(most, math.Abs(a.mean-b.mean)/(b.v-a.v))
		}
		return most
	}
	switch k {
	case 0:
		// Light may stop right behind the first voltage: however high that is, it may be
		// right.
		return s.levels[1].mean, math.Inf(1), true
	case n - 1:
		high = s.levels[n-2].mean
		return high - slipSteps*steepest(n-5, n-2)*(s.levels[n-1].v-s.levels[n-2].v), high, true
	}
	return s.levels[k+1].mean, s.levels[k-1].mean, true
}

// spread returns the largest difference in A between readings at one voltage, of the
// two levels on either side of level k.
func (s *slips) spread(k int) float64 {
	var most float64
	for j := max(k-2, 0); j <= min(k+2, len(s.levels)-1); j++ {
		if j == k {
			continue
		}
		low, high := math.Inf(1), math.Inf(-1)
		for _, i := range s.levels[j].at {
			low, high = min(low, s.readings[i].Current), max(high, s.readings[i].Current)
		}
		most = max(most, high-low)
	}
	return most
}

// rise returns by how much the current rises between the neighbours of level k, or
// the two nearest at an end.
func (s *slips) rise(k int) float64 {
	a, b := k-1, k+1
	switch n := len(s.levels); k {
	case 0:
		a, b = 1, 2
	case n - 1:
		a, b = n-3, n-2
	}
	return s.levels[b].mean - s.levels[a].mean
}

// outdone says that of the two levels next to an end, which are out of order together,
// the other one is the culprit: the line through the next two tells which.
func (s *slips) outdone(k int) bool {
	n := len(s.levels)
	outer, inner, a, b := 0, 1, 2, 3
	if k >= n-2 {
		outer, inner, a, b = n-1, n-2, n-3, n-4
	}
	if k != outer && k != inner {
		return false
	}
	off := func(j int) float64 {
		slope := (s.levels[b].mean - s.levels[a].mean) / (s.levels[b].v - s.levels[a].v)
		return math.Abs(s.levels[j].mean - s.levels[a].mean - slope*(s.levels[j].v-s.levels[a].v))
	}
	return (off(outer) < off(inner)) == (k == outer)
}

// course returns the current in A that the cubic through the two nearest levels on
// either side gives at level k, and the standard deviation of a reading's distance from
// it over that of a reading. At the ends it is the line through the nearest two. The
// levels that are passed over, if any, are as if they were not there.
func (s *slips) course(k int, passOver func(j int) bool) (current, width float64) {
	var near [4]int
	m := 0
	take := func(j, step, most int) {
		for ; most > 0 && j >= 0 && j < len(s.levels); j += step {
			if passOver == nil || !passOver(j) {
				near[m] = j
				m++
				most--
			}
		}
	}
	take(k-1, -1, 2)
	left := m
	take(k+1, 1, 2)
	variance := 1.0
	use := near[:m]
	if left == 1 && m == 3 {
		// Next to an end: the line between the two nearest.
		use = near[:2]
	} else if m == 3 {
		use = []int{near[0], near[2]}
	}
	for _, j := range use {
		weight := 1.0
		for _, other := range use {
			if other != j {
				weight *= (s.levels[k].v - s.levels[other].v) / (s.levels[j].v - s.levels[other].v)
			}
		}
		current += weight * s.levels[j].mean
		variance += weight * weight / float64(len(s.levels[j].at))
	}
	return current, math.Sqrt(variance)
}

// brightShare is the share of the largest current from which a reading shows the noise
// in proportion to the current.
const brightShare = 0.1

// scatter returns the standard deviation in A of a reading around level k, of about so
// much current, as the readings of the other levels around it show it; false if these
// are too few. It is that of the levels around, or the share that the bright ones show
// of their currents if that is more: a lamp flickers.
func (s *slips) scatter(k int, current float64) (deviation float64, ok bool) {
	from := max(0, min(k-slipReach, len(s.levels)-1-2*slipReach))
	to := min(len(s.levels), max(k+slipReach+1, 2*slipReach+1))
	var sizes, shares []float64
	levels := 0
	for j := max(from, 2); j < min(to, len(s.levels)-2); j++ {
		if j == k {
			continue
		}
		levels++
		course, width := s.course(j, func(other int) bool { return other == k })
		for _, i := range s.levels[j].at {
			size := math.Abs(s.readings[i].Current-course) / width
			sizes = append(sizes, size)
			if bright := math.Abs(s.levels[j].mean); bright > brightShare*s.largest {
				shares = append(shares, size/bright)
			}
		}
	}
	if levels < fewestSlip {
		return 0, false
	}
	slices.Sort(sizes)
	deviation = max(ranked(sizes, quiet.share)/quiet.of, s.least)
	if len(shares) >= fewestSlip {
		deviation = max(deviation, math.Abs(current)*middle(shares)/median.of)
	}
	return deviation, true
}

// middle returns the median of numbers, one or more, and sorts them.
func middle(x []float64) float64 {
	slices.Sort(x)
	return ranked(x, median.share)
}
