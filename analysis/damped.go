package analysis

import "math"

// most is the largest number of parameters that a damped search is used for.
const most = 4

// A problem is a sum of squares in n <= most parameters, with the others
// already eliminated.
type problem interface {
	// normal returns the sum of squares at x, half the matrix of its second
	// derivatives and half of minus its gradient. Where the sum, or a part of
	// it, is not less than enough, that is all it returns.
	normal(x [most]float64, enough float64) (chi2 float64, matrix [most][most]float64, downhill [most]float64)
	// limits returns between which values the parameters may lie, and the
	// longest step of each from x.
	limits(x [most]float64) (low, high, longest [most]float64)
}

// A solution is where a damped search ended.
type solution struct {
	x      [most]float64
	chi2   float64
	matrix [most][most]float64
	// converged says that no step promised more.
	converged bool
	// onTheWay is the sum that two more steps like the next one would lead to.
	onTheWay float64
}

// behind says whether a search is not on the way to a sum near that of a rival.
func (s solution) behind(rival float64, degrees int) bool {
	// notable is a difference in units of what one reading adds to the sum.
	const notable = 30
	return s.onTheWay-rival > notable*(1+rival/float64(max(degrees, 1)))
}

// same says whether two searches ended at one minimum: less than a hundredth of
// a standard uncertainty apart in the n parameters together.
func (s solution) same(other solution, n, degrees int) bool {
	const near = 0.01 * 0.01
	var apart float64
	for i := range n {
		for j := range n {
			apart += (s.x[i] - other.x[i]) * s.matrix[i][j] * (s.x[j] - other.x[j])
		}
	}
	return s.converged && other.converged && apart < near*(1+s.chi2/float64(max(degrees, 1)))
}

// damped finds a minimum of the sum of squares by steps that are damped where
// they would not lead downhill (D. W. Marquardt, J. Soc. Ind. Appl. Math. 11,
// 431 (1963)). It gives up where it is not on the way to a sum near rival,
// which another search has found.
func damped[P problem](p P, x [most]float64, n, degrees int, rival float64) solution {
	const (
		tries = 100
		// A step that promises less than this, in units of what one reading
		// adds to the sum, changes nothing that could be seen.
		promise = 1e-6
		least   = 1
		nearly  = 1e-3
		// After so many tries a search must not be behind its rival.
		patience = 8
	)
	chi2, matrix, downhill := p.normal(x, math.Inf(1))
	s := solution{x: x, chi2: chi2, matrix: matrix}
	damping := 1e-3
	var promised float64
	for try := range tries {
		low, high, longest := p.limits(s.x)
		step := confinedStep(&s, downhill, n, damping, low, high, longest)
		promised = 0
		for k := range n {
			promised += step[k] * downhill[k]
		}
		s.onTheWay = s.chi2 - 2*promised
		if !(promised > promise*(s.chi2/float64(max(degrees, 1))+least)) {
			s.converged = true
			return s
		}
		if try > patience && s.behind(rival, degrees) {
			return s
		}
		next := s.x
		for k := range n {
			next[k] += step[k]
		}
		chi2, matrix, d := p.normal(next, s.chi2)
		if !(chi2 < s.chi2) {
			damping *= 8
			if damping > 1e9 {
				s.converged = true
				return s
			}
			continue
		}
		damping = max(damping/8, 1e-9)
		s.x, s.chi2, s.matrix, downhill = next, chi2, matrix, d
	}
	// A long valley may hide where it is deepest, but not how deep it is.
	s.converged = promised < nearly*(s.chi2/float64(max(degrees, 1))+least)
	return s
}

// confinedStep returns a damped step within the limits. A parameter that stands
// at a limit and wants to go beyond is held there; then the step as a whole is
// made shorter, which leaves it downhill.
func confinedStep(s *solution, downhill [most]float64, n int, damping float64, low, high, longest [most]float64) [most]float64 {
	matrix := s.matrix
	step := dampedStep(&matrix, downhill, n, damping)
	for range n {
		held := false
		for k := range n {
			if step[k] < 0 && s.x[k] <= low[k] || step[k] > 0 && s.x[k] >= high[k] {
				matrix[k] = [most]float64{}
				for j := range n {
					matrix[j][k] = 0
				}
				held = true
			}
		}
		if !held {
			break
		}
		step = dampedStep(&matrix, downhill, n, damping)
	}
	scale := 1.0
	for k := range n {
		switch room := math.Min(longest[k], high[k]-s.x[k]); {
		case step[k] > 0:
			scale = math.Min(scale, room/step[k])
		case step[k] < 0:
			room = math.Min(longest[k], s.x[k]-low[k])
			scale = math.Min(scale, room/-step[k])
		}
	}
	for k := range n {
		step[k] *= scale
	}
	return step
}

// dampedStep solves (matrix + damping diagonal) step = downhill for the first n
// parameters. A parameter that the data do not show stays where it is.
func dampedStep(matrix *[most][most]float64, downhill [most]float64, n int, damping float64) [most]float64 {
	a := *matrix
	for k := range n {
		a[k][k] *= 1 + damping
	}
	inverse := invert(&a, n)
	var step [most]float64
	for k := range n {
		for j := range n {
			step[k] += inverse[k][j] * downhill[j]
		}
	}
	return step
}

// invert returns the inverse of the first n rows and columns of a symmetric
// matrix without negative eigenvalues. A row whose pivot vanishes is left out:
// its parameter has no inverse and does not trouble the others.
func invert(a *[most][most]float64, n int) [most][most]float64 {
	m := *a
	var diagonal [most]float64
	for k := range n {
		diagonal[k] = m[k][k]
	}
	// The sweep operator (J. H. Goodnight, Am. Stat. 33, 149 (1979)), largest
	// remaining share of a diagonal first.
	var swept [most]bool
	for range n {
		best, share := -1, 1e-12
		for k := range n {
			if !swept[k] && diagonal[k] > 0 && m[k][k]/diagonal[k] > share {
				best, share = k, m[k][k]/diagonal[k]
			}
		}
		if best < 0 {
			break
		}
		swept[best] = true
		sweep(&m, n, best)
	}
	var out [most][most]float64
	for i := range n {
		for j := range n {
			if swept[i] && swept[j] {
				out[i][j] = m[i][j]
			}
		}
	}
	return out
}

// sweep exchanges parameter k with its right side.
func sweep(m *[most][most]float64, n, k int) {
	pivot := m[k][k]
	for j := range n {
		m[k][j] /= pivot
	}
	for i := range n {
		if i == k {
			continue
		}
		factor := m[i][k]
		for j := range n {
			m[i][j] -= factor * m[k][j]
		}
		m[i][k] = -factor / pivot
	}
	m[k][k] = 1 / pivot
}
