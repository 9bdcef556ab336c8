package analysis

import (
	"math"
	"slices"
	"testing"

	"stopvolt/physics"
)

// span returns how far in V a cutoff may lie below the last reading that shows
// light and above the beginning of the plateau: a step, twice its uncertainty where
// the method extrapolates, and the warm tail where it is fitted.
func span(m Method, p *Prepared, c Cutoff, step float64) (below, above float64) {
	below, above = step, step
	if slices.Contains([]string{"null-reading", "zero-crossing", "fixed-current"}, m.Name()) {
		return below, above
	}
	below, above = max(step, 2*c.U), max(step, 2*c.U)
	if slices.Contains([]string{"fowler-fit", "cell-fit", "joint-fit"}, m.Name()) {
		below = max(below, warmTail*p.kT)
	}
	return below, above
}

// inventedCurve draws a bench of a number and prepares its curve of one setting, each
// in turn.
func inventedCurve(t *testing.T, p *Prepared, seed uint64, number int) (b inventedBench, setting int) {
	t.Helper()
	b, setting = invent(seed+uint64(number)), number%len(mercury)
	b.work(setting)
	if p.Prepare(b.sweep(setting, b.from, b.to, b.step, b.digit), runFacts(b.digit)) != nil {
		t.Fatal("a synthetic curve cannot be prepared")
	}
	return b, setting
}

// TestNoMethodAnswersWhereLightStillFlows, told by the truth of synthetic curves and
// not by the rule that refuses: beyond a cutoff, give or take what the span allows,
// the mean current is below three times its noise. A single reading that the noise
// carries to zero shortens a span; at most one in twenty may be such.
func TestNoMethodAnswersWhereLightStillFlows(t *testing.T) {
	const benches, seed = 60, 4000
	methods := Methods()
	answered, lit := make([]int, len(methods)), make([]int, len(methods))
	p := new(Prepared)
	for s := range benches {
		b, k := inventedCurve(t, p, seed, s)
		for m, method := range methods {
			c := method.Cutoff(p)
			if c.Status != OK {
				continue
			}
			answered[m]++
			below, _ := span(method, p, c, b.step)
			// The last reading that is lit lies up to a step before the current is not.
			mean := b.mean[k](c.Stopping + below + b.step)
			noise := math.Sqrt(b.floor*b.floor + b.scatter*b.scatter*mean*mean + b.digit*b.digit/12)
			if mean > surely*noise && mean > faintest*b.mean[k](0) {
				lit[m]++
			}
		}
	}
	for m, method := range methods {
		if answered[m] < benches/10 || 20*lit[m] > answered[m] {
			t.Errorf("%s: %d of %d answers where light still flows (seed %d)", method.Name(), lit[m], answered[m], seed)
		}
	}
}

// TestNoiseHidesTheFootOfACurve: the true cutoff seldom lies where a reading still
// shows light, and often beyond the first plateau, by more than a step. So the span
// holds fast below, and fits that extrapolate may leave it above.
func TestNoiseHidesTheFootOfACurve(t *testing.T) {
	const benches, seed = 60, 5000
	var curves, before, beyond int
	p := new(Prepared)
	for s := range benches {
		b, k := inventedCurve(t, p, seed, s)
		knee, ok := p.Knee()
		if !ok {
			continue
		}
		curves++
		truth := physics.PhotonEnergy(physics.HOverE, mercury[k]) - b.collector
		if truth < knee.Low {
			before++
		}
		if truth > knee.High {
			beyond++
		}
	}
	t.Logf("of %d curves %d have their cutoff before the last light, %d beyond the first plateau (seed %d)", curves, before, beyond, seed)
	if 20*before > curves || 5*beyond < curves {
		t.Errorf("of %d curves %d have their cutoff before the last light, %d beyond the first plateau (seed %d)", curves, before, beyond, seed)
	}
}
