package study

import (
	"errors"
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

// An outcome is an estimate beside the truth.
type outcome struct {
	// x is the error in units of a scale, NaN for a failure, u the standard
	// uncertainty and reach the half of the 95 % interval in the same units.
	x, u, reach float64
}

// newOutcome compares an estimate with a truth.
func newOutcome(e Estimate, truth, scale float64) outcome {
	o := outcome{x: (e.Value - truth) / scale, u: e.U / scale}
	o.reach = e.Factor * o.u
	if !(math.Abs(o.x) < mostOff && o.u < mostOff && math.Abs(o.reach) < mostOff) {
		return failed
	}
	return o
}

// failed is the outcome of a failure.
var failed = outcome{math.NaN(), math.NaN(), math.NaN()}

// A tally is what the estimates of one quantity at many benches leave behind. All
// its parts merge in any order to the last bit.
type tally struct {
	// Benches is the number of benches, Answers that of the estimates with a
	// finite value and uncertainty, Failures that of the others, and Both that of
	// the benches with two answers.
	Benches  int64 `json:"benches"`
	Answers  int64 `json:"answers"`
	Failures int64 `json:"failures"`
	Both     int64 `json:"both"`
	// Holds counts the 95 % intervals that hold the truth.
	Holds counted `json:"holds"`
	// The sums are over the answers, x being the error in units of the truth's
	// scale and u the stated uncertainty in the same units. Differences is over
	// the benches with both, of the square of the difference of the two errors.
	X           clustered `json:"x"`
	X2          clustered `json:"x2"`
	U2          clustered `json:"u2"`
	Differences Sum       `json:"differences"`
	// Errors, Lows and Highs count the errors and the ends of the intervals.
	Errors histogram `json:"errors"`
	Lows   histogram `json:"lows"`
	Highs  histogram `json:"highs"`
}

// newTally returns an empty tally.
func newTally() tally {
	return tally{Errors: make(histogram), Lows: make(histogram), Highs: make(histogram)}
}

// add counts the outcomes at one bench, one or two of them. A sum of even count
// n is no more than a nanosecond or two, so nothing here is worth avoiding.
func (t *tally) add(bench []outcome) {
	var x, x2, u2 [2]float64
	var n, holds int64
	for _, o := range bench {
		if math.IsNaN(o.x) {
			t.Failures++
			continue
		}
		x[n], x2[n], u2[n] = o.x, o.x*o.x, o.u*o.u
		n++
		if math.Abs(o.x) <= o.reach {
			holds++
		}
		t.Errors.add(o.x)
		t.Lows.add(o.x - o.reach)
		t.Highs.add(o.x + o.reach)
	}
	t.Benches++
	t.Answers += n
	t.Holds.add(holds, n)
	t.X.add(x[:n])
	t.X2.add(x2[:n])
	t.U2.add(u2[:n])
	if n == 2 {
		t.Both++
		d := x[0] - x[1]
		t.Differences.Add(d * d)
	}
}

// merge adds another tally of the same quantity.
func (t *tally) merge(other tally) {
	t.Benches += other.Benches
	t.Answers += other.Answers
	t.Failures += other.Failures
	t.Both += other.Both
	t.Holds.merge(other.Holds)
	t.X.merge(other.X)
	t.X2.merge(other.X2)
	t.U2.merge(other.U2)
	t.Differences.Merge(other.Differences)
	t.Errors.merge(other.Errors)
	t.Lows.merge(other.Lows)
	t.Highs.merge(other.Highs)
}

// check says what cannot be in a tally of a number of experiments at a number of
// benches.
func (t *tally) check(replicates, benches int64) error {
	switch {
	case t.Benches != benches || t.Answers < 0 || t.Failures < 0 || t.Answers+t.Failures != replicates:
		return fmt.Errorf("a tally is of %d answers and %d failures at %d benches, and the blocks have %d experiments at %d", t.Answers, t.Failures, t.Benches, replicates, benches)
	case t.Both < 0 || 2*t.Both > t.Answers || t.Answers-t.Both > benches:
		return fmt.Errorf("a tally has %d benches with two answers of %d answers in all", t.Both, t.Answers)
	case t.Holds.All < 0 || t.Holds.All > t.Answers || t.Holds.Both < 0 || t.Holds.Both > min(t.Holds.All, 2*t.Both) ||
		t.Holds.Squares < t.Holds.All || t.Holds.Squares > 2*t.Holds.All:
		return fmt.Errorf("a tally has %d intervals that hold the truth of %d answers", t.Holds.All, t.Answers)
	case t.X2.All.units().Sign() < 0 || t.U2.All.units().Sign() < 0 || t.Differences.units().Sign() < 0:
		return errors.New("a sum of squares is below zero")
	}
	for _, h := range []histogram{t.Errors, t.Lows, t.Highs} {
		if err := h.check(t.Answers); err != nil {
			return err
		}
	}
	return nil
}

// A Tally is what a study knows after some of its blocks: enough for every
// measure. Its memory stops growing with the number of replicates when all
// records are there.
type Tally struct {
	// Blocks are the indices of the blocks that are counted.
	Blocks blockSet `json:"blocks"`
	// HOverE and WorkFunction are by row.
	HOverE       []tally `json:"h_over_e"`
	WorkFunction []tally `json:"work_function"`
	// Stopping is by method and setting.
	Stopping [][]tally `json:"stopping"`
	// Records are those of the first benches, by block.
	Records records `json:"records"`
}

// newTally returns the empty tally of a study.
func (s Study) newTally() *Tally {
	t := &Tally{Records: make(records)}
	for range s.rows() {
		t.HOverE = append(t.HOverE, newTally())
		t.WorkFunction = append(t.WorkFunction, newTally())
	}
	for range s.Methods {
		var row []tally
		for range s.lights() {
			row = append(row, newTally())
		}
		t.Stopping = append(t.Stopping, row)
	}
	return t
}

// Merge adds a tally of other blocks of the same study. The error names a block
// that both hold, and then nothing is added.
func (t *Tally) Merge(other *Tally) error {
	both, err := t.Blocks.union(other.Blocks)
	if err != nil {
		return err
	}
	t.Blocks = both
	for i := range t.HOverE {
		t.HOverE[i].merge(other.HOverE[i])
		t.WorkFunction[i].merge(other.WorkFunction[i])
	}
	for m := range t.Stopping {
		for s := range t.Stopping[m] {
			t.Stopping[m][s].merge(other.Stopping[m][s])
		}
	}
	for block, r := range other.Records {
		t.Records[block] = r
	}
	return nil
}

// Replicates returns the number of replicates that are counted.
func (t *Tally) Replicates() int { return int(t.HOverE[0].Answers + t.HOverE[0].Failures) }

// Check says what makes a tally that was read from a file no tally of some of
// the blocks of a study: another shape, blocks that the study does not have, or
// numbers that do not go together.
func (s Study) Check(t *Tally) error {
	want := s.newTally()
	if len(t.HOverE) != len(want.HOverE) || len(t.WorkFunction) != len(want.WorkFunction) || len(t.Stopping) != len(want.Stopping) {
		return errors.New("its tables have not the shape of the study's")
	}
	var replicates, benches int64
	for i, r := range t.Blocks {
		if r.First < 0 || r.Last < r.First || r.Last >= s.blockCount() || i > 0 && r.First <= t.Blocks[i-1].Last+1 {
			return fmt.Errorf("its blocks are %v, and the study has those from 0 to %d", t.Blocks, s.blockCount()-1)
		}
		n := int64(min((r.Last+1)*BlockSize, s.Replicates) - r.First*BlockSize)
		replicates += n
		benches += (n + 1) / 2
		if s.Part.Count < 2 {
			continue
		}
		for b := r.First; b <= r.Last; b++ {
			if !s.Part.has(b) {
				return fmt.Errorf("block %d is none of part %d of %d", b, s.Part.Index, s.Part.Count)
			}
		}
	}
	for i := range t.HOverE {
		if err := errors.Join(t.HOverE[i].check(replicates, benches), t.WorkFunction[i].check(replicates, benches)); err != nil {
			return err
		}
	}
	for m := range t.Stopping {
		if len(t.Stopping[m]) != len(want.Stopping[m]) {
			return errors.New("its tables have not the shape of the study's")
		}
		for i := range t.Stopping[m] {
			if err := t.Stopping[m][i].check(replicates, benches); err != nil {
				return err
			}
		}
	}
	return t.checkRecords(s)
}
