package study

import (
	"math"
	"slices"

	"stopvolt/instrument/population"
	"stopvolt/sim"
)

// A Tail says which property of a bench makes the far ends of a row's factor:
// the one without which the 95 % range is narrowest.
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

// Tails returns for some rows the property that makes the far ends of their
// factor. It is picked on the first two thirds of the recorded benches, and its
// numbers are those of the last. A row has none for a population that varies
// nothing, or for too few benches.
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
	best, narrowest := Tail{}, widthOf(Calibrate(ratios(first, row)))
	found := false
	for i, v := range s.Population.Variables() {
		for _, split := range splits(v, i, first, values) {
			kept := split.keeps(first, values, i)
			if float64(len(kept)) < keptShare*float64(len(first)) {
				continue
			}
			if w := widthOf(Calibrate(ratios(kept, row))); w < narrowest {
				best, narrowest, found = split, w, true
			}
		}
	}
	if !found {
		return Tail{}, false
	}
	kept := best.keeps(last, values, s.Population.Index(best.Variable.Key))
	best.Share = float64(len(kept)) / float64(max(len(last), 1))
	best.Kept, best.All = Calibrate(ratios(kept, row)), Calibrate(ratios(last, row))
	return best, !math.IsNaN(best.Kept.Low)
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
