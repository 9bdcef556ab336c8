package match

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
)

// A model is what the training benches teach: how true over read h/e hangs on the
// features.
type model struct {
	layout layout
	// whole is that of all lines, and parts those without one each.
	whole part
	parts []part
	// contact is the regression of the error of the mean stopping voltage, in
	// photon energies.
	contact ridge
	axes    axes
	// rows, points and y are the training benches' features, their principal
	// components and their corrections, log(true/raw).
	rows, points [][]float64
	y            []float64
	train        []drawn
	// kept are the training benches that were learnt from.
	kept []int
	// place is where among them the run is, and radius how far from it benches may
	// be to be learnt from.
	place  []float64
	radius float64
	// shifts has for each line the deviation of the shift of the answer without
	// it.
	shifts []float64
}

// part is the regression on one set of lines.
type part struct {
	middle, spread ridge
	// order has the predicted spreads of the training benches in rising order,
	// and rest what the middle leaves of them in the same order.
	order, rest []float64
}

// newPart learns y on rows. Without the spread only middle can be asked.
func newPart(rows [][]float64, y []float64, withSpread bool) part {
	s := newStandard(rows)
	p := part{middle: newRidge(s, rows, y)}
	if !withSpread {
		return p
	}
	rest, size := unseen(s, rows, y), make([]float64, len(y))
	for i, r := range rest {
		size[i] = math.Log(math.Abs(r) + 1e-2)
	}
	p.spread = newRidge(s, rows, size)
	index := make([]int, len(y))
	spread := make([]float64, len(y))
	for i, row := range rows {
		index[i], spread[i] = i, p.spread.at(row)
	}
	slices.SortStableFunc(index, func(a, b int) int { return cmp.Compare(spread[a], spread[b]) })
	for _, i := range index {
		p.order, p.rest = append(p.order, spread[i]), append(p.rest, rest[i])
	}
	return p
}

// unseen returns what a regression leaves of each bench that it was not taught.
func unseen(s standard, rows [][]float64, y []float64) []float64 {
	return unseens(s, rows, [][]float64{y})[0]
}

// unseens is unseen for each y.
func unseens(s standard, rows, ys [][]float64) [][]float64 {
	const folds = 2
	rest := make([][]float64, len(ys))
	for k := range rest {
		rest[k] = make([]float64, len(rows))
	}
	for fold := range folds {
		var of [][]float64
		taught := make([][]float64, len(ys))
		for i := range rows {
			if i%folds == fold {
				continue
			}
			of = append(of, rows[i])
			for k, y := range ys {
				taught[k] = append(taught[k], y[i])
			}
		}
		for k, r := range newRidges(s, of, taught) {
			for i := fold; i < len(rows); i += folds {
				rest[k][i] = ys[k][i] - r.at(rows[i])
			}
		}
	}
	return rest
}

// window is the number of training benches of a similar predicted spread whose
// quantiles are a bench's own.
const window = 300

// quantiles returns those of log(true/raw) at a row by the training benches
// alone, before they are conformalised.
func (p *part) quantiles(row []float64) (low, middle, high float64) {
	middle = p.middle.at(row)
	at, _ := slices.BinarySearch(p.order, p.spread.at(row))
	n := min(window, len(p.rest))
	start := min(max(at-n/2, 0), len(p.rest)-n)
	near := slices.Clone(p.rest[start : start+n])
	slices.Sort(near)
	tail := (1 - Level) / 2
	low = middle + stat.Quantile(tail, stat.LinInterp, near, nil)
	high = middle + stat.Quantile(1-tail, stat.LinInterp, near, nil)
	return low, middle, high
}

// principal is the number of principal components in which benches are near each
// other.
const principal = 8

// keptShare is the share of the training benches, those nearest to the run, from
// which is learnt: a bench that was read wildly wrong teaches nothing about one
// that was not.
const keptShare = 0.5

// learn makes the model of the training benches for a run like the given one.
func learn(l layout, train []drawn, like *reading) *model {
	m := &model{layout: l, train: train}
	for i := range train {
		row, raw, _ := l.features(nil, &train[i].reading, -1)
		m.rows = append(m.rows, row)
		m.y = append(m.y, correction(train[i].hOverE, raw.slope))
	}
	m.axes = newAxes(newStandard(m.rows), m.rows, principal)
	for _, row := range m.rows {
		m.points = append(m.points, m.axes.of(row))
	}
	own, _, _ := l.features(nil, like, -1)
	m.place = m.axes.of(own)
	apart := make([]float64, len(m.points))
	for i, p := range m.points {
		apart[i] = floats.Distance(p, m.place, 2)
	}
	sorted := slices.Clone(apart)
	slices.Sort(sorted)
	m.radius = sorted[int(keptShare*float64(len(sorted)-1))]
	var kept []int
	for i, d := range apart {
		if d <= m.radius {
			kept = append(kept, i)
		}
	}
	m.kept = kept
	rows, y, contact := make([][]float64, len(kept)), make([]float64, len(kept)), make([]float64, len(kept))
	for k, i := range kept {
		raw, _ := l.line(&train[i].reading, l.raw, -1)
		rows[k], y[k] = m.rows[i], m.y[i]
		// What the mean stopping voltage is off by hangs on the slope's error
		// less than the intercept does.
		off := (train[i].hOverE-raw.slope)*l.mean - (train[i].workFunction - raw.workFunction)
		contact[k] = min(max(off/(raw.slope*l.mean), -0.5), 0.5)
	}
	m.whole = newPart(rows, y, true)
	m.contact = newRidge(m.whole.middle.standard, rows, contact)
	if len(l.frequencies) <= fewest {
		// Without one line no line is left.
		return m
	}
	for without := range l.frequencies {
		rows, y = rows[:0], y[:0]
		for _, i := range kept {
			if row, raw, ok := l.features(nil, &train[i].reading, without); ok {
				rows, y = append(rows, row), append(y, correction(train[i].hOverE, raw.slope))
			}
		}
		m.parts = append(m.parts, newPart(rows, y, false))
	}
	for without := range m.parts {
		var shifts []float64
		for _, i := range kept {
			if s, ok := m.shift(&train[i].reading, without); ok {
				shifts = append(shifts, s)
			}
		}
		m.shifts = append(m.shifts, max(stat.StdDev(shifts, nil), 1e-6))
	}
	return m
}

// near reports whether a row is as near to the run as those that were learnt
// from.
func (m *model) near(row []float64) bool {
	return floats.Distance(m.axes.of(row), m.place, 2) <= m.radius
}

// shift returns by how much the logarithm of the answer moves when a line is left
// out.
func (m *model) shift(d *reading, without int) (float64, bool) {
	row, raw, ok := m.layout.features(nil, d, -1)
	if !ok {
		return 0, false
	}
	less, rawLess, ok := m.layout.features(nil, d, without)
	if !ok {
		return 0, false
	}
	return math.Log(rawLess.slope) + m.parts[without].middle.at(less) - math.Log(raw.slope) - m.whole.middle.at(row), true
}

// shiftOf is shift, and 0 where none was learnt.
func (m *model) shiftOf(d *reading, without int) float64 {
	if without < 0 || without >= len(m.parts) {
		return 0
	}
	s, _ := m.shift(d, without)
	return s
}

// largestShift returns the largest standardised shift on leaving out a line,
// which line it is, and the shift itself. A line without which there is no answer
// counts as endless.
func (m *model) largestShift(d *reading) (standardised float64, line int, shift float64) {
	line = -1
	for i := range m.parts {
		s, ok := m.shift(d, i)
		if !ok {
			return math.Inf(1), i, 0
		}
		if z := math.Abs(s) / m.shifts[i]; z > standardised {
			standardised, line, shift = z, i, s
		}
	}
	return standardised, line, shift
}

const (
	// neighbours is the number of training benches that make the band about a
	// run.
	neighbours = 200
	// localPoints is that of the local linear regression.
	localPoints = 800
)

// farthest is the number of features, those farthest off, that make the distance:
// what is wrong with one line shows in few.
const farthest = 6

// distance returns the mean square distance of the farthest features of a row
// from the band of its neighbours, in units of their scatter, and the feature that
// is farthest off, with its distance. The scatter holds the noise, since it was
// simulated.
func (m *model) distance(row []float64) (square float64, worst int, off float64) {
	index, _ := near(m.points, m.axes.of(row), neighbours)
	s := m.axes.standard
	squares := make([]float64, 0, len(row))
	values := make([]float64, len(index))
	for k, x := range row {
		if s.inverse[k] == 0 {
			continue
		}
		for j, i := range index {
			values[j] = m.rows[i][k]
		}
		mean, sd := stat.MeanStdDev(values, nil)
		z := (x - mean) / max(sd, 0.02/s.inverse[k])
		squares = append(squares, z*z)
		if math.Abs(z) > math.Abs(off) {
			worst, off = k, z
		}
	}
	slices.Sort(squares)
	squares = squares[max(len(squares)-farthest, 0):]
	return stat.Mean(squares, nil), worst, off
}

// bent returns the line without which the cutoffs of the others lie as they do at
// the benches like the run, -1 where too few are left. The line that is farthest off
// may be the neighbour of the one that bends it.
func (m *model) bent(d *reading, row []float64) int {
	index, _ := near(m.points, m.axes.of(row), neighbours)
	values := make([]float64, len(index))
	best, least := -1, math.Inf(1)
	for without := range m.parts {
		worst := 0.0
		for line := range m.layout.frequencies {
			if line == without {
				continue
			}
			for k, i := range index {
				values[k] = m.layout.apart(&m.train[i].reading, line, without)
			}
			mean, sd := stat.MeanStdDev(values, nil)
			worst = max(worst, math.Abs(m.layout.apart(d, line, without)-mean)/sd)
		}
		if worst < least {
			best, least = without, worst
		}
	}
	return best
}

// second returns log(true/raw) by the local linear regression.
func (m *model) second(row []float64) float64 {
	return localLinear(m.points, m.y, m.axes.of(row), localPoints)
}

// mostCorrection bounds what is learnt from, so that a bench that was read
// wildly wrong does not bend the regression.
const mostCorrection = 1

// correction returns log(true/raw) for learning.
func correction(truth, raw float64) float64 {
	return min(max(math.Log(truth/raw), -mostCorrection), mostCorrection)
}
