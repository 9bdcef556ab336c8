package study

import (
	"math"
	"math/rand/v2"
	"testing"
)

// chartBenches are those of an invented method that reads 1 - plateau of the
// truth, but for a scatter of 1 %, and of another that is right; the knee says
// nothing.
func chartBenches(n int) []benchRecord {
	src := rand.New(rand.NewPCG(20261125, 9))
	var benches []benchRecord
	for i := range n {
		plateau := 0.3 * src.Float64()
		s := session{
			errors: []float64{-plateau + 0.01*src.NormFloat64(), 0.2 * src.NormFloat64()},
			lost:   []int{0, 0}, seen: Observables{Plateau: plateau, Knee: src.Float64()},
		}
		benches = append(benches, benchRecord{index: i, sessions: []session{s}})
	}
	return benches
}

// The plateau tells nearly all, so that the chart is by it, a row's factor is
// that of its middle, and the range holds on further benches as often as it
// says.
func TestAChartIsByWhatTellsMost(t *testing.T) {
	const rows = 4
	benches := chartBenches(rows*ChartBenches + checkingBenches)
	var read, other []charted
	for _, b := range benches[:rows*ChartBenches] {
		s := b.sessions[0]
		read = append(read, charted{s.seen.Plateau, 1 + s.errors[0]})
		other = append(other, charted{s.seen.Knee, 1 + s.errors[0]})
	}
	c, useless := divide(read, rows), divide(other, rows)
	if len(c.Rows) != rows {
		t.Fatalf("%d rows", len(c.Rows))
	}
	// Each row has a quarter of the plateaus, and so about a quarter of the width.
	if w := c.width(); w < 0.2 || w > 0.4 {
		t.Errorf("the plateau leaves %.2f of the width", w)
	}
	if w := useless.width(); math.Abs(w-1) > 0.05 {
		t.Errorf("what says nothing leaves %.2f of the width", w)
	}
	for i, r := range c.Rows {
		if middle := 1 / (1 - (r.From+r.To)/2); math.Abs(r.Factor.Median/middle-1) > 0.01 || r.Factor.Benches < ChartBenches-1 {
			t.Errorf("row %d, %.3f to %.3f: factor %.3f of %d benches, want %.3f", i, r.From, r.To, r.Factor.Median, r.Factor.Benches, middle)
		}
	}
	holds := 0.
	for _, b := range benches[rows*ChartBenches:] {
		s := b.sessions[0]
		if f, ok := c.factorAt(s.seen.Plateau); ok && f.Holds(1+s.errors[0]) {
			holds++
		}
	}
	// Five standard deviations of a binomial share of 1000, and of the
	// calibration.
	if share := holds / checkingBenches; math.Abs(share-0.95) > 5*math.Sqrt(2*0.95*0.05/1000) {
		t.Errorf("the rows hold the truth in %.3f of further benches", share)
	}
	if _, ok := c.factorAt(0.5); ok {
		t.Error("there is a factor beyond the end of the chart")
	}
}

// Where all readings are equal there are no rows to make.
func TestAChartByOneReadingHasOneRow(t *testing.T) {
	var read []charted
	for i := range 4000 {
		read = append(read, charted{0, 1 + float64(i%7)/100})
	}
	if c := divide(read, 4); len(c.Rows) != 1 || !math.IsInf(c.width(), 1) {
		t.Errorf("%d rows, width %g", len(c.Rows), c.width())
	}
}
