package instrument

import "math"

// Table is a mean current that is read off quickly: piecewise polynomials made
// once from At, accurate to 1e-9 of the largest current in their range. Beyond
// the range it asks the mean current itself.
//
// The curves are smooth but for corners where a barrier vanishes, so the range
// is halved until each piece is followed; a piece at a corner ends up too
// narrow to matter.
type Table struct {
	mean      source
	low, high float64
	// buckets are of equal width; each names the first piece that reaches it.
	buckets []int32
	scale   float64
	pieces  []piece
}

// source is what a table is made of.
type source interface {
	At(retarding float64) Currents
	// leak returns the leakage alone.
	leak(retarding float64) float64
}

// pieceDegree is that of the polynomials; a higher one needs fewer pieces and
// more multiplications, and seven is about the fastest here.
const pieceDegree = 7

// piece is a polynomial in x = (v - middle) * inverse, |x| <= 1.
type piece struct {
	end, middle, inverse float64
	forward, reverse     [pieceDegree + 1]float64
}

const (
	tableError  = 1e-10
	mostHalves  = 30
	bucketCount = 1024
)

// NewTable returns the table of a mean current between two voltages in V, of
// which low must be less than high.
func NewTable(m source, low, high float64) *Table {
	t := &Table{mean: m, low: low, high: high, scale: bucketCount / (high - low)}
	largest := 0.0
	for i := range bucketCount + 1 {
		c := m.At(low + (high-low)*float64(i)/bucketCount)
		largest = max(largest, c.Forward, c.Reverse)
	}
	t.follow(low, high, tableError*largest, mostHalves)
	t.buckets = make([]int32, bucketCount)
	next := 0
	for i := range t.buckets {
		start := low + float64(i)/t.scale
		for next < len(t.pieces)-1 && t.pieces[next].end <= start {
			next++
		}
		t.buckets[i] = int32(next)
	}
	return t
}

// follow appends pieces for a range, halving it until they are within an error
// in A.
func (t *Table) follow(low, high, within float64, halves int) {
	p := newPiece(t.mean, low, high)
	if halves > 0 && !p.follows(t.mean, within) {
		middle := (low + high) / 2
		t.follow(low, middle, within, halves-1)
		t.follow(middle, high, within, halves-1)
		return
	}
	t.pieces = append(t.pieces, p)
}

// newPiece interpolates at the Chebyshev points of a range.
func newPiece(m source, low, high float64) piece {
	const n = pieceDegree + 1
	p := piece{end: high, middle: (low + high) / 2, inverse: 2 / (high - low)}
	var forward, reverse [n]float64
	for i := range n {
		c := m.At(p.middle + math.Cos(math.Pi*(float64(i)+0.5)/n)/p.inverse)
		forward[i], reverse[i] = c.Forward, c.Reverse
	}
	p.forward, p.reverse = powers(forward), powers(reverse)
	return p
}

// powers returns the coefficients of 1, x, x^2, ... of the polynomial through
// values at the Chebyshev points, by way of its Chebyshev series.
func powers(values [pieceDegree + 1]float64) [pieceDegree + 1]float64 {
	const n = pieceDegree + 1
	var coefficient [n]float64
	// before and this are the Chebyshev polynomials T(k-1) and T(k).
	var before, this [n]float64
	this[0] = 1
	for k := range n {
		var c float64
		for i, v := range values {
			c += v * math.Cos(math.Pi*float64(k)*(float64(i)+0.5)/n)
		}
		c *= 2. / n
		if k == 0 {
			c /= 2
		}
		var after [n]float64
		for j := range n {
			coefficient[j] += c * this[j]
			after[j] = -before[j]
			if j > 0 {
				after[j] += 2 * this[j-1]
			}
		}
		if k == 0 {
			after = [n]float64{0, 1}
		}
		before, this = this, after
	}
	return coefficient
}

// follows reports whether the piece is within an error in A of the mean current
// between its nodes.
func (p *piece) follows(m source, within float64) bool {
	for _, x := range [...]float64{-1, -0.83, -0.56, -0.2, 0.2, 0.56, 0.83, 1} {
		v := p.middle + x/p.inverse
		want, got := m.At(v), p.at(v)
		if math.Abs(want.Forward-got.Forward) > within || math.Abs(want.Reverse-got.Reverse) > within {
			return false
		}
	}
	return true
}

// at evaluates the piece.
func (p *piece) at(v float64) Currents {
	x := (v - p.middle) * p.inverse
	forward, reverse := p.forward[pieceDegree], p.reverse[pieceDegree]
	for i := pieceDegree - 1; i >= 0; i-- {
		forward = forward*x + p.forward[i]
		reverse = reverse*x + p.reverse[i]
	}
	return Currents{Forward: max(forward, 0), Reverse: max(reverse, 0)}
}

// At returns the mean currents at a voltage across the cell in V.
func (t *Table) At(retarding float64) Currents {
	if !(retarding >= t.low && retarding < t.high) {
		return t.mean.At(retarding)
	}
	i := t.buckets[min(int((retarding-t.low)*t.scale), bucketCount-1)]
	for t.pieces[i].end <= retarding {
		i++
	}
	c := t.pieces[i].at(retarding)
	c.Leakage = t.mean.leak(retarding)
	return c
}
