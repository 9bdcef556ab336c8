package study

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/combin"

	"stopvolt/instrument/population"
	"stopvolt/sim"
)

// A Tail says which property of a bench makes the far ends of a row's factor:
// the one without which benches are seldom among the farthest.
type Tail struct {
	// Variable is the property.
	Variable population.Variable
	// Limit divides the benches: those at or below it do without the tail, or,
	// if Above, those above it. Where the variable counts words, it is those that
	// are not the word of Limit, or, if Above, those that are.
	Limit float64
	Above bool
	// Share is the part of the benches that do without, and Kept their factor.
	Share float64
	Kept  Factor
	// All is the factor of all benches that the comparison rests on.
	All Factor
}

// keptShare is the part of the benches that a property may take away at most
// half of: a range that holds for few benches helps few.
const keptShare = 0.5

// farShare is the part of the experiments that are called far off, and surely the
// probability with which chance may name a property, among all that are tried and
// once more where it is confirmed.
const farShare, surely = 0.1, 0.05

// narrower is by what part the range of the benches that are kept must be narrower
// than that of all for ruling the others out to be of use.
const narrower = 0.1

// Tails returns for some rows the property that makes the far ends of their
// factor. It is picked on the first two thirds of the recorded benches by Fisher's
// exact test (R. A. Fisher, J. R. Stat. Soc. 85, 87 (1922)), with Bonferroni's
// correction for the number of properties tried, and must stand on the last, whose
// numbers it has: there the far benches must be fewer without it, and the range
// narrower by a tenth. A row has none where no single property does both.
func (s Study) Tails(t *Tally, rows ...int) map[int]Tail {
	tails := make(map[int]Tail)
	if s.Population.Fixed() {
		return tails
	}
	benches := t.benches(s)
	values := make(map[int][]float64, len(benches))
	for _, b := range benches {
		v, _, _, err := sim.DrawValues(s.Population, s.Seed, b.index)
		if err != nil {
			// The study has drawn it.
			return tails
		}
		values[b.index] = v
	}
	for _, row := range rows {
		if tail, ok := s.tail(benches, values, row); ok {
			tails[row] = tail
		}
	}
	return tails
}

// tail returns the property of one row.
func (s Study) tail(benches []benchRecord, values map[int][]float64, row int) (Tail, bool) {
	last := third(benches, reporting)
	var first []benchRecord
	for _, b := range benches {
		if b.index%thirds != reporting {
			first = append(first, b)
		}
	}
	far := farBenches(benches, first, row)
	best, least, tried := Tail{}, 1.0, 0
	for i, v := range s.Population.Variables() {
		for _, split := range splits(v, i, first, values) {
			kept := split.keeps(first, values, i)
			if float64(len(kept)) < keptShare*float64(len(first)) {
				continue
			}
			tried++
			if p := fewerFar(first, kept, far); p < least {
				best, least = split, p
			}
		}
	}
	if tried == 0 || least*float64(tried) > surely {
		return Tail{}, false
	}
	kept := best.keeps(last, values, s.Population.Index(best.Variable.Key))
	best.Share = float64(len(kept)) / float64(max(len(last), 1))
	best.Kept, best.All = Calibrate(ratios(kept, row)), Calibrate(ratios(last, row))
	return best, fewerFar(last, kept, far) <= surely && best.narrows()
}

// farBenches returns by their numbers which benches have an experiment that is
// farther from the median than all but farShare of those at the first ones.
func farBenches(all, first []benchRecord, row int) map[int]bool {
	var logs []float64
	for _, bench := range ratios(first, row) {
		for _, r := range bench {
			if r > 0 {
				logs = append(logs, math.Log(r))
			}
		}
	}
	far := make(map[int]bool)
	if len(logs) == 0 {
		return far
	}
	slices.Sort(logs)
	middle := logs[len(logs)/2]
	off := make([]float64, len(logs))
	for i, x := range logs {
		off[i] = math.Abs(x - middle)
	}
	slices.Sort(off)
	limit := off[int((1-farShare)*float64(len(off)-1))]
	for i, bench := range ratios(all, row) {
		for _, r := range bench {
			if !(r > 0) || math.Abs(math.Log(r)-middle) > limit {
				far[all[i].index] = true
			}
		}
	}
	return far
}

// fewerFar returns the probability that a choice by lot of as many benches as were
// kept would have as few far ones, or fewer.
func fewerFar(all, kept []benchRecord, far map[int]bool) float64 {
	count := func(benches []benchRecord) (n int) {
		for _, b := range benches {
			if far[b.index] {
				n++
			}
		}
		return n
	}
	n, m, k := len(all), count(all), len(kept)
	choose := func(n, k int) float64 { return combin.LogGeneralizedBinomial(float64(n), float64(k)) }
	var p float64
	for x := max(0, k-(n-m)); x <= count(kept); x++ {
		p += math.Exp(choose(m, x) + choose(n-m, k-x) - choose(n, k))
	}
	return p
}

// narrows reports whether ruling the tail out narrows the range by so much that
// it is worth the trouble.
func (t Tail) narrows() bool {
	kept := widthOf(t.Kept)
	return !math.IsInf(kept, 1) && kept <= (1-narrower)*widthOf(t.All)
}

// widthOf is the width of a 95 % range, of which an open end counts as wider than
// any number.
func widthOf(f Factor) float64 {
	if math.IsNaN(f.Low) {
		return math.Inf(1)
	}
	return math.Log(f.High / f.Low)
}

// splits returns the ways in which a variable, the i-th, may divide benches.
func splits(v population.Variable, i int, benches []benchRecord, values map[int][]float64) []Tail {
	if v.Constant() && v.Plus == "" && v.Times == "" {
		return nil
	}
	var out []Tail
	add := func(limit float64) {
		out = append(out, Tail{Variable: v, Limit: limit}, Tail{Variable: v, Limit: limit, Above: true})
	}
	if v.Words != nil {
		for k := range v.Words {
			add(float64(k))
		}
		return out
	}
	var own []float64
	for _, b := range benches {
		own = append(own, values[b.index][i])
	}
	if len(own) == 0 {
		return nil
	}
	slices.Sort(own)
	for _, share := range []float64{0.25, 1. / 3, 0.5, 2. / 3, 0.75} {
		add(own[int(share*float64(len(own)-1))])
	}
	return out
}

// keeps returns the benches that do without the tail, by the i-th of their
// values.
func (t Tail) keeps(benches []benchRecord, values map[int][]float64, i int) []benchRecord {
	var kept []benchRecord
	for _, b := range benches {
		beyond := values[b.index][i] > t.Limit
		if t.Variable.Words != nil {
			beyond = values[b.index][i] == t.Limit
		}
		if beyond == t.Above {
			kept = append(kept, b)
		}
	}
	return kept
}
