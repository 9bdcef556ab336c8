package study

import (
	"fmt"
	"math"
)

// An Estimate is the outcome of one replicate for one quantity.
type Estimate struct {
	// Value and U are the estimate and its standard uncertainty, NaN for a
	// failure.
	Value, U float64
	// Factor is the number of standard uncertainties on either side that make
	// a 95 % interval.
	Factor float64
}

// mostOff is the relative error from which an estimate is as good as none, so
// that sums stay within their range.
const mostOff = 1e6

// A tally is what many estimates of one quantity leave behind. All its parts
// merge in any order to the last bit.
type tally struct {
	// Answers is the number of estimates with a finite value and uncertainty,
	// and Failures that of the others.
	Answers  int64 `json:"answers"`
	Failures int64 `json:"failures"`
	// Holds counts the 95 % intervals that hold the truth.
	Holds int64 `json:"holds"`
	// The sums are over the answers, x being the error in units of the truth's
	// scale and u the stated uncertainty in the same units.
	X  Sum `json:"x"`
	X2 Sum `json:"x2"`
	X4 Sum `json:"x4"`
	U2 Sum `json:"u2"`
	U4 Sum `json:"u4"`
	// Errors, Lows and Highs count the errors and the ends of the intervals.
	Errors histogram `json:"errors"`
	Lows   histogram `json:"lows"`
	Highs  histogram `json:"highs"`
}

// newTally returns an empty tally whose median and bias-free coverage are good
// to a width in the errors' units.
func newTally(width float64) tally {
	return tally{Errors: newHistogram(width), Lows: newHistogram(width), Highs: newHistogram(width)}
}

// add counts an estimate of a truth and reports its error in units of a scale,
// which is NaN for a failure. A sum of even count n is no more than a nanosecond
// or two, so nothing here is worth avoiding.
func (t *tally) add(e Estimate, truth, scale float64) float64 {
	x, u := (e.Value-truth)/scale, e.U/scale
	reach := e.Factor * u
	if !(math.Abs(x) < mostOff && u < mostOff && math.Abs(reach) < mostOff) {
		t.Failures++
		return math.NaN()
	}
	t.Answers++
	if math.Abs(x) <= reach {
		t.Holds++
	}
	t.X.Add(x)
	t.X2.Add(x * x)
	t.X4.Add(x * x * x * x)
	t.U2.Add(u * u)
	t.U4.Add(u * u * u * u)
	t.Errors.add(x)
	t.Lows.add(x - reach)
	t.Highs.add(x + reach)
	return x
}

// merge adds another tally of the same quantity.
func (t *tally) merge(other tally) {
	t.Answers += other.Answers
	t.Failures += other.Failures
	t.Holds += other.Holds
	t.X.Merge(other.X)
	t.X2.Merge(other.X2)
	t.X4.Merge(other.X4)
	t.U2.Merge(other.U2)
	t.U4.Merge(other.U4)
	t.Errors.merge(other.Errors)
	t.Lows.merge(other.Lows)
	t.Highs.merge(other.Highs)
}

// A half is the tallies of every second replicate.
type half struct {
	// HOverE and WorkFunction are by row.
	HOverE       []tally `json:"h_over_e"`
	WorkFunction []tally `json:"work_function"`
	// Stopping is by method and setting.
	Stopping [][]tally `json:"stopping"`
	// Pairs has an entry for each pair of rows i < j, at i*rows+j: the squared
	// error of i less that of j, on the replicates where both have an answer.
	Pairs map[int]*differences `json:"pairs"`
}

// The widths of the histograms' bins: a relative error of h/e, and V.
const (
	relativeBin = 1e-5
	voltageBin  = 1e-4
)

func newHalf(rows, methods, settings int) half {
	h := half{Pairs: make(map[int]*differences)}
	for i := range rows {
		h.HOverE = append(h.HOverE, newTally(relativeBin))
		h.WorkFunction = append(h.WorkFunction, newTally(relativeBin))
		for j := i + 1; j < rows; j++ {
			h.Pairs[i*rows+j] = new(differences)
		}
	}
	for range methods {
		var row []tally
		for range settings {
			row = append(row, newTally(voltageBin))
		}
		h.Stopping = append(h.Stopping, row)
	}
	return h
}

// merge adds another half of the same study.
func (h *half) merge(other half) {
	for i := range h.HOverE {
		h.HOverE[i].merge(other.HOverE[i])
		h.WorkFunction[i].merge(other.WorkFunction[i])
	}
	for m := range h.Stopping {
		for s := range h.Stopping[m] {
			h.Stopping[m][s].merge(other.Stopping[m][s])
		}
	}
	for key, p := range h.Pairs {
		p.merge(*other.Pairs[key])
	}
}

// compare returns the pair of two rows, in the order of their indices.
func (h *half) compare(i, j int) *differences { return h.Pairs[min(i, j)*len(h.HOverE)+max(i, j)] }

// A Tally is what a study knows after some of its blocks: enough for every
// measure, in memory that does not grow with the number of replicates.
type Tally struct {
	// Blocks are the indices of the blocks that are counted.
	Blocks blockSet `json:"blocks"`
	// Halves are the replicates of even and of odd index.
	Halves [2]half `json:"halves"`
}

// newTally returns the empty tally of a study.
func (s Study) newTally() *Tally {
	r, m, l := len(s.rows()), len(s.Methods), len(s.Apparatus.Lights)
	return &Tally{Halves: [2]half{newHalf(r, m, l), newHalf(r, m, l)}}
}

// Merge adds a tally of other blocks of the same study. The error names a block
// that both hold.
func (t *Tally) Merge(other *Tally) error {
	both, err := t.Blocks.union(other.Blocks)
	if err != nil {
		return err
	}
	t.Blocks = both
	for i := range t.Halves {
		t.Halves[i].merge(other.Halves[i])
	}
	return nil
}

// Replicates returns the number of replicates that are counted.
func (t *Tally) Replicates() int {
	var n int64
	for _, h := range t.Halves {
		n += h.HOverE[0].Answers + h.HOverE[0].Failures
	}
	return int(n)
}

// whole returns the tally of all replicates of the tally of each half.
func (t *Tally) whole(of func(half) tally) tally {
	first, second := of(t.Halves[0]), of(t.Halves[1])
	all := newTally(first.Errors.Width)
	all.merge(first)
	all.merge(second)
	return all
}

// fits reports whether a tally that was read from a file has the shape of a
// study.
func (t *Tally) fits(s Study) error {
	want := s.newTally()
	for i, h := range t.Halves {
		w := want.Halves[i]
		ok := len(h.HOverE) == len(w.HOverE) && len(h.WorkFunction) == len(w.WorkFunction) &&
			len(h.Stopping) == len(w.Stopping) && len(h.Pairs) == len(w.Pairs)
		for m := range h.Stopping {
			ok = ok && len(h.Stopping[m]) == len(w.Stopping[m])
		}
		for key := range w.Pairs {
			ok = ok && h.Pairs[key] != nil
		}
		if !ok {
			return fmt.Errorf("its tables have not the shape of the study's")
		}
	}
	return nil
}
