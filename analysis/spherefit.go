package analysis

import "math"

// sphereParameters are what the shape of a curve between concentric spheres
// depends on, apart from the temperature.
type sphereParameters struct {
	// cutoff is the stopping voltage (hv - phi_c)/e in V.
	cutoff float64
	// contact is the retarding voltage in V at which the vacuum levels are
	// level, (phi_e - phi_c)/e.
	contact float64
	// q is the square of emitter radius over collector radius.
	q float64
}

// The parts of a current between spheres that are linear in their amplitudes.
const (
	forwardPart = iota
	constantPart
	slopePart
	reversePart
	linearParts
)

// searched is the number of sphereParameters.
const searched = 3

// A sphereFit is the least-squares fit of one curve to
//
//	I = A F(V; cutoff, contact, q) + b + c (V - centre) + R B(V; cutoff, contact, q)
//
// with F the electrons that cross from the emitter, whose largest energy is
// cutoff - contact, and B those that light frees from the collector, whose
// largest energy is the cutoff itself and which see the reverse of barrier and
// geometry. A, b, c and R are linear.
type sphereFit struct {
	v, y, w []float64
	kT      float64
	centre  float64
	points  []spherePoint
	// linear are the amplitudes, and fitted says how many of them could be told.
	linear [linearParts]float64
	fitted int
	// minima are the solutions that a search came by.
	minima []solution
}

// A spherePoint holds forward and reverse share at one voltage, each with its
// derivatives by cutoff, contact and q.
type spherePoint struct {
	forward, reverse   float64
	dForward, dReverse [searched]float64
}

// A normal holds what a step of the fit needs: for the searched parameters the
// matrix of second derivatives of half the sum of squares, with the linear ones
// eliminated, and minus its gradient.
type normal struct {
	matrix   [searched][searched]float64
	downhill [searched]float64
	// chi2 is the sum of the weighted squares of the residuals.
	chi2 float64
}

// begin sets the readings of p as those to fit.
func (s *sphereFit) begin(p *Prepared, kT float64) {
	s.v, s.y, s.kT = p.V, p.I, kT
	s.minima = s.minima[:0]
	s.w = grow(s.w, len(s.v))
	if cap(s.points) < len(s.v) {
		s.points = make([]spherePoint, len(s.v))
	}
	s.points = s.points[:len(s.v)]
	var sw, swv float64
	for i, u := range p.U {
		s.w[i] = 1 / (u * u)
		sw += s.w[i]
		swv += s.w[i] * s.v[i]
	}
	s.centre = swv / sw
}

// evaluate fits the linear parameters and returns the normal equations of the
// others. Elimination of the linear ones leaves the term that changes with the
// residuals out (L. Kaufman, BIT 15, 49 (1975)).
func (s *sphereFit) evaluate(a sphereParameters) normal {
	var gram [linearParts][linearParts]float64
	var right [linearParts]float64
	for i, v := range s.v {
		p := &s.points[i]
		p.set(a, v, s.kT)
		column := s.columns(i)
		for k, x := range column {
			x *= s.w[i]
			right[k] += x * s.y[i]
			for j := 0; j <= k; j++ {
				gram[k][j] += x * column[j]
			}
		}
	}
	used := factor(&gram)
	s.fitted = 0
	for _, u := range used {
		if u {
			s.fitted++
		}
	}
	s.linear = right
	solveLower(&gram, used, &s.linear)
	solveUpper(&gram, used, &s.linear)

	var out normal
	var mixed [searched][linearParts]float64
	for i := range s.v {
		p := &s.points[i]
		column := s.columns(i)
		residual := s.y[i]
		for k, x := range column {
			residual -= x * s.linear[k]
		}
		out.chi2 += s.w[i] * residual * residual
		var slope [searched]float64
		for k := range slope {
			slope[k] = s.linear[forwardPart]*p.dForward[k] + s.linear[reversePart]*p.dReverse[k]
		}
		for k, x := range slope {
			x *= s.w[i]
			out.downhill[k] += x * residual
			for j := 0; j <= k; j++ {
				out.matrix[k][j] += x * slope[j]
			}
			for j, y := range column {
				mixed[k][j] += x * y
			}
		}
	}
	for k := range mixed {
		solveLower(&gram, used, &mixed[k])
	}
	for k := range searched {
		for j := 0; j <= k; j++ {
			for m := range linearParts {
				out.matrix[k][j] -= mixed[k][m] * mixed[j][m]
			}
			out.matrix[j][k] = out.matrix[k][j]
		}
	}
	return out
}

// columns are the factors of the linear parameters at reading i.
func (s *sphereFit) columns(i int) [linearParts]float64 {
	return [linearParts]float64{
		forwardPart:  s.points[i].forward,
		constantPart: 1,
		slopePart:    s.v[i] - s.centre,
		reversePart:  s.points[i].reverse,
	}
}

// set fills p for a voltage v in V.
func (p *spherePoint) set(a sphereParameters, v, kT float64) {
	barrier := (v - a.contact) / kT
	f := crossing(a.q, (a.cutoff-a.contact)/kT, barrier)
	p.forward = f.share
	p.dForward = [searched]float64{f.byExcess / kT, -(f.byExcess + f.byBarrier) / kT, f.byQ}
	b := crossing(1/a.q, a.cutoff/kT, -barrier)
	p.reverse = b.share
	p.dReverse = [searched]float64{b.byExcess / kT, b.byBarrier / kT, -b.byQ / (a.q * a.q)}
}

// A crossed is a share of electrons with its derivatives.
type crossed struct {
	share, byExcess, byBarrier, byQ float64
}

// crossing returns the electrons of an excess Em/kT that cross a barrier B/kT
// between spheres, in units of (kT)^2 and times q, so that it goes through
// q = 1 without a step:
//
//	q < 1, B > 0:  f(Em - B) - (1-q) f(Em - B/(1-q))    q < 1, B <= 0: q f(Em)
//	q >= 1, B >= 0: f(Em - B)    q >= 1, B < 0:  q f(Em) - (q-1) f(Em + B/(q-1))
//
// with f the Fowler function and energies in units of kT; see physics.Spheres.
func crossing(q, excess, barrier float64) crossed {
	// narrow is the |1 - q| below which the second term is nowhere seen.
	const narrow = 1e-9
	rest := math.Abs(1 - q)
	switch {
	case q < 1 && barrier <= 0:
		f, df := fowler(excess)
		return crossed{share: q * f, byExcess: q * df, byQ: f}
	case q < 1:
		f, df := fowler(excess - barrier)
		if rest < narrow {
			return crossed{share: f, byExcess: df, byBarrier: -df}
		}
		g, dg := fowler(excess - barrier/rest)
		return crossed{
			share:     f - rest*g,
			byExcess:  df - rest*dg,
			byBarrier: dg - df,
			byQ:       g + dg*barrier/rest,
		}
	case barrier >= 0:
		f, df := fowler(excess - barrier)
		return crossed{share: f, byExcess: df, byBarrier: -df}
	}
	f, df := fowler(excess)
	if rest < narrow {
		return crossed{share: q * f, byExcess: q * df, byQ: f}
	}
	g, dg := fowler(excess + barrier/rest)
	return crossed{
		share:     q*f - rest*g,
		byExcess:  q*df - rest*dg,
		byBarrier: -dg,
		byQ:       f - g + dg*barrier/rest,
	}
}

// dependent is the share of a column that must be left after the columns before
// it are taken out, for its amplitude to be told apart from theirs.
const dependent = 1e-11

// factor replaces the lower half of a symmetric matrix by its Cholesky factor
// and says which columns took part; a column that depends on those before it is
// left out.
func factor(a *[linearParts][linearParts]float64) (used [linearParts]bool) {
	for k := range linearParts {
		whole := a[k][k]
		for j := range k {
			if !used[j] {
				a[k][j] = 0
				continue
			}
			for m := range j {
				a[k][j] -= a[k][m] * a[j][m]
			}
			a[k][j] /= a[j][j]
			a[k][k] -= a[k][j] * a[k][j]
		}
		used[k] = a[k][k] > dependent*whole
		a[k][k] = math.Sqrt(max(a[k][k], 0))
	}
	return used
}

// solveLower replaces x by the solution of L x = x, L from factor.
func solveLower(l *[linearParts][linearParts]float64, used [linearParts]bool, x *[linearParts]float64) {
	for k := range linearParts {
		if !used[k] {
			x[k] = 0
			continue
		}
		for j := range k {
			x[k] -= l[k][j] * x[j]
		}
		x[k] /= l[k][k]
	}
}

// solveUpper replaces x by the solution of L' x = x, L from factor.
func solveUpper(l *[linearParts][linearParts]float64, used [linearParts]bool, x *[linearParts]float64) {
	for k := linearParts - 1; k >= 0; k-- {
		if !used[k] {
			x[k] = 0
			continue
		}
		for j := k + 1; j < linearParts; j++ {
			x[k] -= l[j][k] * x[j]
		}
		x[k] /= l[k][k]
	}
}
