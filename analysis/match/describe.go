package match

import (
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"stopvolt/instrument/population"
)

// nearest is the number of benches that stand for the run's own.
const nearest = 300

// alikeFrom is the correlation of ranks from which two keys cannot be told apart.
const alikeFrom = 0.7

// mostCloud is the number of benches in the picture of the calibration.
const mostCloud = 600

// describe fills what the run tells of the bench, and the pictures.
func (r *Result) describe(p population.Population, ready *ready, m *model, train, held []drawn) {
	row, raw, _ := ready.layout.features(nil, &ready.reading, -1)
	index, weights := near(m.points, m.axes.of(row), nearest)
	for k, i := range index {
		r.Near, r.Weights = append(r.Near, train[i].values), append(r.Weights, weights[k])
	}
	r.parameters(p, m, row)
	r.band(ready, train, index, raw)
	for i := range held[:min(len(held), mostCloud)] {
		if row, y, ok := m.answerOf(&held[i]); ok && m.near(row) {
			_, middle, _ := m.whole.quantiles(row)
			r.Cloud = append(r.Cloud, Point{middle, y})
		}
	}
}

// parameters says what the numbers of the bench were before and are after.
func (r *Result) parameters(p population.Population, m *model, row []float64) {
	numbers := newNumbers(p, m)
	low, high := numbers.at(m, row)
	tail := (1 - Level) / 2
	var own [][]float64
	for k, v := range numbers.variables {
		before := numbers.before[k]
		r.Parameters = append(r.Parameters, Parameter{
			Key: v.Key, Unit: v.Unit, Words: v.Words,
			BeforeLow: stat.Quantile(tail, stat.Empirical, before, nil), BeforeHigh: stat.Quantile(1-tail, stat.Empirical, before, nil),
			AfterLow: low[k], AfterHigh: high[k],
		})
		near := make([]float64, len(r.Near))
		for i, bench := range r.Near {
			near[i] = bench[numbers.index[k]]
		}
		own = append(own, ranked(near))
	}
	for i := range own {
		for j := i + 1; j < len(own); j++ {
			// What goes together in any bench is no news of this one.
			if math.Abs(stat.Correlation(numbers.places[i], numbers.places[j], nil)) >= alikeFrom {
				continue
			}
			if c := stat.Correlation(own[i], own[j], r.Weights); math.Abs(c) >= alikeFrom {
				r.Alike = append(r.Alike, Pair{r.Parameters[i].Key, r.Parameters[j].Key, c})
			}
		}
	}
}

// numbers are the regressions of the population's variables on the features, each
// by its normal score among the training benches, so that one that the run does not
// tell keeps its range.
type numbers struct {
	// variables are those that differ among the benches, and index their places in
	// a bench's row.
	variables []population.Variable
	index     []int
	// before has the values of each in rising order, and places the rank of each
	// bench.
	before, places [][]float64
	regressions    []ridge
	// rest is what the regressions leave, in rising order.
	rest [][]float64
}

func newNumbers(p population.Population, m *model) numbers {
	var n numbers
	var scores [][]float64
	for k, v := range p.Variables() {
		values := make([]float64, len(m.train))
		for i := range m.train {
			values[i] = m.train[i].values[k]
		}
		sorted := slices.Clone(values)
		slices.Sort(sorted)
		if sorted[0] == sorted[len(sorted)-1] {
			continue
		}
		place := ranked(values)
		score := make([]float64, len(m.kept))
		for j, i := range m.kept {
			score[j] = distuv.UnitNormal.Quantile((place[i] + 0.5) / float64(len(values)+1))
		}
		n.variables, n.index, scores = append(n.variables, v), append(n.index, k), append(scores, score)
		n.before, n.places = append(n.before, sorted), append(n.places, place)
	}
	rows := make([][]float64, len(m.kept))
	for j, i := range m.kept {
		rows[j] = m.rows[i]
	}
	s := m.whole.middle.standard
	n.regressions, n.rest = newRidges(s, rows, scores), unseens(s, rows, scores)
	for _, rest := range n.rest {
		slices.Sort(rest)
	}
	return n
}

// at returns the range of each variable at a row. A regression goes no farther than
// it does at the benches near the row: what lies beyond is not known from any.
func (n *numbers) at(m *model, row []float64) (low, high []float64) {
	index, _ := near(m.points, m.axes.of(row), nearest)
	tail := (1 - Level) / 2
	predicted := make([]float64, len(index))
	for k, regression := range n.regressions {
		for j, i := range index {
			predicted[j] = regression.at(m.rows[i])
		}
		slices.Sort(predicted)
		score := regression.at(row)
		score = max(score, stat.Quantile(tail, stat.Empirical, predicted, nil))
		score = min(score, stat.Quantile(1-tail, stat.Empirical, predicted, nil))
		end := func(share float64) float64 {
			p := distuv.UnitNormal.CDF(score + stat.Quantile(share, stat.LinInterp, n.rest[k], nil))
			return stat.Quantile(p, stat.Empirical, n.before[k], nil)
		}
		low, high = append(low, end(tail)), append(high, end(1-tail))
	}
	return low, high
}

// ranked returns the rank of each number, equal numbers sharing theirs.
func ranked(x []float64) []float64 {
	sorted := slices.Clone(x)
	slices.Sort(sorted)
	out := make([]float64, len(x))
	for i, v := range x {
		first := sort.SearchFloat64s(sorted, v)
		last := sort.Search(len(sorted), func(k int) bool { return sorted[k] > v })
		out[i] = float64(first+last) / 2
	}
	return out
}

// band is the 95 % band of the neighbours' curves about the run's, each at the
// same part of the photon energy from its own cutoff.
func (r *Result) band(p *ready, train []drawn, index []int, raw rawLine) {
	scale := raw.slope * p.layout.mean
	tail := (1 - Level) / 2
	for line := range p.layout.lines {
		b := Band{Line: p.layout.lines[line], Cutoff: p.reading.cutoffs[p.layout.raw][line]}
		for k, v := range p.reading.voltages[line] {
			shapes := make([]float64, 0, len(index))
			for _, i := range index {
				d := &train[i].reading
				other, ok := p.layout.line(d, p.layout.raw, -1)
				if !ok {
					continue
				}
				at := d.cutoffs[p.layout.raw][line] + (v-b.Cutoff)/scale*other.slope*p.layout.mean
				shapes = append(shapes, d.at(line, at))
			}
			slices.Sort(shapes)
			b.V = append(b.V, v)
			b.Current = append(b.Current, square(p.reading.shapes[line][k]))
			b.Low = append(b.Low, square(stat.Quantile(tail, stat.Empirical, shapes, nil)))
			b.High = append(b.High, square(stat.Quantile(1-tail, stat.Empirical, shapes, nil)))
		}
		r.Band = append(r.Band, b)
	}
}

// square undoes signedRoot.
func square(x float64) float64 { return math.Copysign(x*x, x) }
