package physics

import (
	"math"
	"sync"
)

// A spreadFowler is the mean of G over normally spread work functions, read off
// from a table that all spreads and temperatures share.
//
// The second derivative of the Fowler function is the distribution function of
// a logistic variable, so that (kT)^2 f(y/kT) is the mean of max(y - kT L, 0)^2/2
// over a logistic L, and the mean over a normal spread that of
//
//	max(y - kT L - s Z, 0)^2/2.
//
// With v^2 = s^2 + (pi kT)^2/3, the variance of the sum, it is v^2 H(y/v, r), and
// H depends beside its argument only on the share r of the variance that is the
// temperature's. H(z) + H(-z) = (z^2 + 1)/2, so that half of it is a table.
type spreadFowler struct {
	deviation, inverse, square float64
	pieces                     *[spreadPieces][pieceDegree + 1]float64
}

const (
	// spreadPieces is the number of pieces of H, each one deviation wide,
	// beyond which nothing is left.
	spreadPieces = 12
	// spreadDegree is that of the polynomials in r.
	spreadDegree = 13
)

// spreadTable has for each coefficient of each piece its Chebyshev series in
// 2r - 1.
type spreadTable [spreadPieces][pieceDegree + 1][spreadDegree + 1]float64

// spreads is made when it is first asked for.
var spreads = sync.OnceValue(newSpreadTable)

// newSpreadFowler returns the mean for kT and a standard deviation in eV.
func newSpreadFowler(thermal, deviation float64) spreadFowler {
	logistic := math.Pi * math.Pi / 3 * thermal * thermal
	square := deviation*deviation + logistic
	s := spreadFowler{deviation: math.Sqrt(square), square: square}
	if square == 0 {
		return s
	}
	s.inverse = 1 / s.deviation
	s.pieces = new([spreadPieces][pieceDegree + 1]float64)
	var chebyshev [spreadDegree + 1]float64
	x := 2*logistic/square - 1
	chebyshev[0], chebyshev[1] = 1, x
	for k := 2; k <= spreadDegree; k++ {
		chebyshev[k] = 2*x*chebyshev[k-1] - chebyshev[k-2]
	}
	table := spreads()
	for i := range table {
		for j := range table[i] {
			var sum float64
			for k, c := range &table[i][j] {
				sum += c * chebyshev[k]
			}
			s.pieces[i][j] = sum
		}
	}
	return s
}

// at returns the mean about y in eV, in eV^2.
func (s *spreadFowler) at(y float64) float64 {
	if s.pieces == nil {
		y = max(y, 0)
		return y * y / 2
	}
	z := y * s.inverse
	if z > 0 {
		return s.square * ((z*z+1)/2 - s.below(z))
	}
	return s.square * s.below(-z)
}

// slope returns the derivative of at, in eV.
func (s *spreadFowler) slope(y float64) float64 {
	if s.pieces == nil {
		return max(y, 0)
	}
	z := y * s.inverse
	if z > 0 {
		return s.deviation * (z + s.fall(z))
	}
	return s.deviation * s.fall(-z)
}

// bend returns the derivative of slope.
func (s *spreadFowler) bend(y float64) float64 {
	if s.pieces == nil {
		return math.Ceil(min(max(y, 0), 1))
	}
	z := y * s.inverse
	if z > 0 {
		return 1 - s.curve(z)
	}
	return s.curve(-z)
}

// piece returns that of H(-z) for a z of zero or above, and the place in it.
func (s *spreadFowler) piece(z float64) (c *[pieceDegree + 1]float64, x float64) {
	i := int(z)
	return &s.pieces[i], 2*(z-float64(i)) - 1
}

// below returns H(-z) for a z of zero or above.
func (s *spreadFowler) below(z float64) float64 {
	if !(z < spreadPieces) {
		return 0
	}
	c, x := s.piece(z)
	return max(c[0]+x*(c[1]+x*(c[2]+x*(c[3]+x*(c[4]+x*(c[5]+x*(c[6]+x*c[7])))))), 0)
}

// fall returns H'(-z).
func (s *spreadFowler) fall(z float64) float64 {
	if !(z < spreadPieces) {
		return 0
	}
	c, x := s.piece(z)
	return max(-2*(c[1]+x*(2*c[2]+x*(3*c[3]+x*(4*c[4]+x*(5*c[5]+x*(6*c[6]+x*7*c[7])))))), 0)
}

// curve returns H”(-z).
func (s *spreadFowler) curve(z float64) float64 {
	if !(z < spreadPieces) {
		return 0
	}
	c, x := s.piece(z)
	return max(4*(2*c[2]+x*(6*c[3]+x*(12*c[4]+x*(20*c[5]+x*(30*c[6]+x*42*c[7]))))), 0)
}

// newSpreadTable works H out at Chebyshev points.
func newSpreadTable() *spreadTable {
	const n = spreadDegree + 1
	var nodes [n][spreadPieces][pieceDegree + 1]float64
	for k := range n {
		r := (1 + math.Cos(math.Pi*(float64(k)+0.5)/n)) / 2
		for i := range spreadPieces {
			nodes[k][i] = interpolate(func(z float64) float64 { return standardSpread(-z, r) }, float64(i), float64(i+1)).coefficient
		}
	}
	table := new(spreadTable)
	for i := range spreadPieces {
		for j := range pieceDegree + 1 {
			for k := range n {
				var sum float64
				for l := range n {
					sum += nodes[l][i][j] * math.Cos(math.Pi*float64(k)*(float64(l)+0.5)/n)
				}
				table[i][j][k] = sum * 2 / n
			}
			table[i][j][0] /= 2
		}
	}
	return table
}

// standardSpread returns H(z, r) by the trapezoidal rule, over the part of the
// variance that is the smaller.
func standardSpread(z, r float64) float64 {
	thermal, normal := math.Sqrt(3*r)/math.Pi, math.Sqrt(1-r)
	var sum float64
	if r < 0.5 {
		// The logistic density has its poles at pi i.
		const step, end = 0.5, 40
		cold := smoothed{deviation: normal}
		for l := -int(end / step); l <= int(end/step); l++ {
			x := step * float64(l)
			e := math.Exp(-math.Abs(x))
			sum += step * e / ((1 + e) * (1 + e)) * cold.cold(z-thermal*x)
		}
		return sum
	}
	hot := newSmoothedRule(thermal, normal)
	return hot.sum(z)
}
