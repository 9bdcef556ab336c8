package physics

import "math"

// Piecewise is a function of one variable that is read off quickly: polynomials
// that were made once.
//
// The range is halved until each piece is followed, so that a piece at a corner
// of the function ends up too narrow to matter.
type Piecewise struct {
	low, high float64
	// buckets are of equal width; each names the first piece that reaches it.
	buckets []int32
	scale   float64
	pieces  []polynomial
}

// pieceDegree is that of the polynomials; a higher one needs fewer pieces and
// more multiplications, and seven is about the fastest here.
const pieceDegree = 7

// polynomial is one in x = (v - middle) * inverse, |x| <= 1.
type polynomial struct {
	end, middle, inverse float64
	coefficient          [pieceDegree + 1]float64
}

const mostHalves = 30

// Tolerance is how far a table may be from its function: by Absolute, and where
// Relative is not zero by no more than Relative times the function and Floor.
type Tolerance struct{ Absolute, Relative, Floor float64 }

// met reports whether a table may have the value got for want.
func (t Tolerance) met(got, want float64) bool {
	within := t.Absolute
	if t.Relative > 0 {
		within = min(within, t.Relative*math.Abs(want)+t.Floor)
	}
	// No polynomial does better than rounding.
	return math.Abs(got-want) <= max(within, 1e-13*math.Abs(want))
}

// NewPiecewise returns a table of f from low to high, which must be greater. It
// met the tolerance wherever that was tried between its nodes.
func NewPiecewise(f func(float64) float64, low, high float64, t Tolerance) *Piecewise {
	p := &Piecewise{low: low, high: high}
	p.follow(f, low, high, t, mostHalves)
	p.buckets = make([]int32, 4*len(p.pieces))
	p.scale = float64(len(p.buckets)) / (high - low)
	next := 0
	for i := range p.buckets {
		start := low + float64(i)/p.scale
		for next < len(p.pieces)-1 && p.pieces[next].end <= start {
			next++
		}
		p.buckets[i] = int32(next)
	}
	return p
}

// follow appends pieces for a range.
func (p *Piecewise) follow(f func(float64) float64, low, high float64, t Tolerance, halves int) {
	piece := interpolate(f, low, high)
	if halves > 0 && !piece.follows(f, t) {
		middle := (low + high) / 2
		p.follow(f, low, middle, t, halves-1)
		p.follow(f, middle, high, t, halves-1)
		return
	}
	p.pieces = append(p.pieces, piece)
}

// interpolate returns the polynomial through a function at the Chebyshev points
// of a range.
func interpolate(f func(float64) float64, low, high float64) polynomial {
	const n = pieceDegree + 1
	p := polynomial{end: high, middle: (low + high) / 2, inverse: 2 / (high - low)}
	var values [n]float64
	for i := range n {
		values[i] = f(p.middle + math.Cos(math.Pi*(float64(i)+0.5)/n)/p.inverse)
	}
	p.coefficient = powers(values)
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

// follows reports whether the polynomial is as close to a function between its
// nodes as a tolerance asks.
func (p *polynomial) follows(f func(float64) float64, t Tolerance) bool {
	for _, x := range [...]float64{-1, -0.83, -0.56, -0.2, 0.2, 0.56, 0.83, 1} {
		v := p.middle + x/p.inverse
		if !t.met(p.at(v), f(v)) {
			return false
		}
	}
	return true
}

// at evaluates the polynomial.
func (p *polynomial) at(v float64) float64 {
	x := (v - p.middle) * p.inverse
	y := p.coefficient[pieceDegree]
	for i := pieceDegree - 1; i >= 0; i-- {
		y = y*x + p.coefficient[i]
	}
	return y
}

// Holds reports whether an argument lies in the range.
func (p *Piecewise) Holds(v float64) bool { return v >= p.low && v < p.high }

// At returns the value at an argument in the range.
func (p *Piecewise) At(v float64) float64 {
	i := p.buckets[min(int((v-p.low)*p.scale), len(p.buckets)-1)]
	for p.pieces[i].end <= v && int(i) < len(p.pieces)-1 {
		i++
	}
	return p.pieces[i].at(v)
}
