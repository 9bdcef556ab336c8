package match

import (
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/stat"

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
	r.parameters(p, train)
	r.band(ready, train, index, raw)
	for i := range held[:min(len(held), mostCloud)] {
		if row, y, ok := m.answerOf(&held[i]); ok && m.near(row) {
			_, middle, _ := m.whole.quantiles(row)
			r.Cloud = append(r.Cloud, Point{middle, y})
		}
	}
}

// parameters says what the numbers of the bench were before and are after.
func (r *Result) parameters(p population.Population, train []drawn) {
	tail := (1 - Level) / 2
	ranks := make(map[string][]float64)
	var keys []string
	for k, v := range p.Variables() {
		before := make([]float64, len(train))
		for i := range train {
			before[i] = train[i].values[k]
		}
		slices.Sort(before)
		if before[0] == before[len(before)-1] {
			continue
		}
		after := make([]float64, len(r.Near))
		for i, row := range r.Near {
			after[i] = row[k]
		}
		ranks[v.Key] = ranked(after)
		keys = append(keys, v.Key)
		weights := slices.Clone(r.Weights)
		stat.SortWeighted(after, weights)
		r.Parameters = append(r.Parameters, Parameter{
			Key: v.Key, Unit: v.Unit, Words: v.Words,
			BeforeLow: stat.Quantile(tail, stat.Empirical, before, nil), BeforeHigh: stat.Quantile(1-tail, stat.Empirical, before, nil),
			AfterLow: stat.Quantile(tail, stat.Empirical, after, weights), AfterHigh: stat.Quantile(1-tail, stat.Empirical, after, weights),
		})
	}
	for i, a := range keys {
		for _, b := range keys[i+1:] {
			if c := stat.Correlation(ranks[a], ranks[b], r.Weights); math.Abs(c) >= alikeFrom {
				r.Alike = append(r.Alike, Pair{a, b, c})
			}
		}
	}
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
