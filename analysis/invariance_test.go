package analysis

import (
	"math"
	"math/rand/v2"
	"testing"

	"stopvolt/instrument/run"
)

// A change is one of a sweep that leaves the photocell as it is.
type change struct {
	name string
	// sweep returns the curves before and after, and the coarser of their steps in V.
	sweep func(b inventedBench, setting int) (before, after run.Curve, coarser float64)
	// digits says that it is the last digit that changes.
	digits bool
}

// changes are those that must not move a cutoff.
var changes = []change{
	{name: "cut at -1 V", sweep: func(b inventedBench, k int) (run.Curve, run.Curve, float64) {
		return b.sweep(k, -3, b.to, b.step, b.digit), b.sweep(k, -1, b.to, b.step, b.digit), b.step
	}},
	{name: "from -20 V", sweep: func(b inventedBench, k int) (run.Curve, run.Curve, float64) {
		return b.sweep(k, b.from, b.to, b.step, b.digit), b.sweep(k, -20, b.to, b.step, b.digit), b.step
	}},
	{name: "to 10 V", sweep: func(b inventedBench, k int) (run.Curve, run.Curve, float64) {
		return b.sweep(k, b.from, b.to, b.step, b.digit), b.sweep(k, b.from, 10, b.step, b.digit), b.step
	}},
	{name: "half the steps", sweep: func(b inventedBench, k int) (run.Curve, run.Curve, float64) {
		return b.sweep(k, b.from, b.to, b.step, b.digit), b.sweep(k, b.from, b.to, b.half(), b.digit), b.step
	}},
	{name: "steps of 10 and 5 mV", sweep: func(b inventedBench, k int) (run.Curve, run.Curve, float64) {
		return b.sweep(k, b.from, b.to, 0.01, b.digit), b.sweep(k, b.from, b.to, 0.005, b.digit), 0.01
	}},
	{name: "last digit up to the noise", digits: true, sweep: func(b inventedBench, k int) (run.Curve, run.Curve, float64) {
		return b.sweep(k, b.from, b.to, b.step, b.floor/8), b.sweep(k, b.from, b.to, b.step, b.floor), b.step
	}},
}

// TestASweepsLimitsStepsAndDigitsDoNotMoveACutoff: for each method at most one in
// twenty cutoffs moves by more than two standard uncertainties of the poorer curve
// and by more than half the coarser step, when a sweep is cut, extended, refined or
// read with fewer digits. A method may say of either curve that it has no answer.
func TestASweepsLimitsStepsAndDigitsDoNotMoveACutoff(t *testing.T) {
	const benches, seed = 100, 1000
	type count struct{ both, moved, lost int }
	methods := Methods()
	counts := make([][]count, len(methods))
	for m := range counts {
		counts[m] = make([]count, len(changes))
	}
	before, after := new(Prepared), new(Prepared)
	for s := range benches {
		b := invent(seed + uint64(s))
		k := rand.New(rand.NewPCG(seed, uint64(s))).IntN(len(mercury))
		b.work(k)
		for i, c := range changes {
			one, other, coarser := c.sweep(b, k)
			var digits [2]float64
			digits[0], digits[1] = b.digit, b.digit
			if c.digits {
				digits[0], digits[1] = b.floor/8, b.floor
			}
			if before.Prepare(one, runFacts(digits[0])) != nil || after.Prepare(other, runFacts(digits[1])) != nil {
				t.Fatal("a synthetic curve cannot be prepared")
			}
			for m, method := range methods {
				if _, counts := method.(NullReading); counts && c.digits {
					continue
				}
				x, y := method.Cutoff(before), method.Cutoff(after)
				if x.Status != OK || y.Status != OK {
					if x.Status == OK {
						counts[m][i].lost++
					}
					continue
				}
				counts[m][i].both++
				if math.Abs(x.Stopping-y.Stopping) > max(2*max(x.U, y.U), coarser/2) {
					counts[m][i].moved++
				}
			}
		}
	}
	for m, method := range methods {
		both, moved, lost := 0, 0, 0
		for i, c := range changes {
			n := counts[m][i]
			both, moved, lost = both+n.both, moved+n.moved, lost+n.lost
			if n.moved > 0 {
				t.Logf("%-18s %-26s %d of %d moved, %d lost", method.Name(), c.name, n.moved, n.both, n.lost)
			}
		}
		if 20*moved > both {
			t.Errorf("%s: %d of %d moved", method.Name(), moved, both)
		}
		t.Logf("%-18s %d pairs of cutoffs, %d moved, %d lost (seed %d)", method.Name(), both, moved, lost, seed)
	}
}
