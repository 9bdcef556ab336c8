package study

import (
	"math"
	"math/rand/v2"
	"testing"

	"stopvolt/instrument"
	"stopvolt/instrument/population"
)

// TestFewerFarByPencil: of ten benches four are far, and five are kept. Among those
// none is far in 6 of the 252 choices and one at most in 66, since C(4,1) C(6,4) = 60.
func TestFewerFarByPencil(t *testing.T) {
	all := make([]benchRecord, 10)
	for i := range all {
		all[i].index = i
	}
	far := map[int]bool{0: true, 1: true, 2: true, 3: true}
	for _, c := range []struct {
		kept []benchRecord
		want float64
	}{{all[5:], 6. / 252}, {all[3:8], 66. / 252}, {all[:5], 1}} {
		if got := fewerFar(all, c.kept, far); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%d kept: %g, want %g", len(c.kept), got, c.want)
		}
	}
}

// scattered are benches with one experiment of one row each, whose relative error has
// a standard deviation that hangs on the bench's numbers.
func scattered(n int, values map[int][]float64, deviation func(values []float64) float64) []benchRecord {
	r, hidden := rand.New(rand.NewPCG(6, 6)), rand.New(rand.NewPCG(7, 10))
	out := make([]benchRecord, n)
	for i := range out {
		values[i] = []float64{r.Float64(), r.Float64(), r.Float64(), hidden.Float64()}
		out[i] = benchRecord{index: i, sessions: []session{{errors: []float64{deviation(values[i]) * r.NormFloat64()}}}}
	}
	return out
}

// A property is named where it makes the far ends, and none where chance does: with
// Bonferroni's correction and a confirmation, in one population of 400 of chance.
func TestFarEndsAreBlamedOnWhatMakesThem(t *testing.T) {
	s := Study{Population: uniforms(t)}
	values := make(map[int][]float64)
	benches := scattered(900, values, func(v []float64) float64 {
		if v[1] > 0.75 {
			return 0.3
		}
		return 0.05
	})
	tail, ok := s.tail(benches, values, 0)
	if !ok || tail.Variable.Key != "b" || tail.Above || tail.Limit < 0.7 || tail.Limit > 0.8 {
		t.Errorf("b above 0.75 makes the far ends, and %+v (%v) is blamed", tail, ok)
	}
	benches = scattered(900, values, func([]float64) float64 { return 0.1 })
	if tail, ok := s.tail(benches, values, 0); ok {
		t.Errorf("chance is blamed on %+v", tail)
	}
}

// A property that makes many benches fall far, where the very ends of the range
// come from something that no property tells, is not worth ruling out: the benches
// without are seldomer far, as Fisher's test finds on either part, and their range
// is as wide.
func TestFarEndsAreNotBlamedWhereNothingIsGained(t *testing.T) {
	s := Study{Population: uniforms(t)}
	values := make(map[int][]float64)
	benches := scattered(900, values, func(v []float64) float64 {
		switch hidden := v[3]; {
		case hidden > 0.92:
			return 0.5
		case v[1] > 0.75:
			return 0.06
		}
		return 0.02
	})
	tail, ok := s.tail(benches, values, 0)
	if tail.Variable.Key != "b" || tail.Share < 0.6 || widthOf(tail.Kept) >= widthOf(tail.All) {
		t.Fatalf("%+v is tried; the test is of b, and of a range that is narrower by a little", tail)
	}
	if ok {
		t.Errorf("b is blamed for far ends that go from %.3f to %.3f with it and from %.3f to %.3f without", tail.All.Low, tail.All.High, tail.Kept.Low, tail.Kept.High)
	}
}

// uniforms is a population of three numbers from nought to one, to which the tests
// add a fourth that it does not know.
func uniforms(t *testing.T) population.Population {
	t.Helper()
	p, err := population.New("", []population.Variable{
		{Key: "a", Law: population.Uniform{High: 1}}, {Key: "b", Law: population.Uniform{High: 1}}, {Key: "c", Law: population.Uniform{High: 1}},
	}, nil, func([]float64) (instrument.Apparatus, error) { return instrument.Apparatus{}, nil })
	if err != nil {
		t.Fatal(err)
	}
	return p
}
