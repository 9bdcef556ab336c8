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
	// v, d and y are voltages, their distances from the weighted mean, and
	// currents; w are inverse squares of uncertainties, and r residuals.
	v, d, y, w, r []float64
	kT            float64
	centre        float64
	// sw, sdd, sy and sdy are weighted sums of 1, d^2, y and d y.
	sw, sdd, sy, sdy float64
	points           []spherePoint
	// at are the parameters that the points were filled for, if filled.
	at     sphereParameters
	filled bool
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
	s.v, s.kT = p.V, kT
	s.minima, s.filled = s.minima[:0], false
	s.y, s.w = append(s.y[:0], p.I...), s.w[:0]
	for _, u := range p.U {
		s.w = append(s.w, 1/(u*u))
	}
	if cap(s.points) < len(s.v) {
		s.points = make([]spherePoint, len(s.v))
	}
	s.points = s.points[:len(s.v)]
	s.d, s.r = grow(s.d, len(s.v)), grow(s.r, len(s.v))
	s.ready()
}

// ready prepares the sums that do not change during a search.
func (s *sphereFit) ready() {
	s.sw, s.sdd, s.sy, s.sdy = 0, 0, 0, 0
	var swv float64
	for i, w := range s.w {
		s.sw += w
		swv += w * s.v[i]
	}
	s.centre = swv / s.sw
	for i, w := range s.w {
		d := s.v[i] - s.centre
		s.d[i] = d
		s.sdd += w * d * d
		s.sy += w * s.y[i]
		s.sdy += w * d * s.y[i]
	}
}

// unround replaces the readings of p and their weights by those that stand for
// rounded readings near the parameters a.
func (s *sphereFit) unround(p *Prepared, a sphereParameters) {
	s.fitLinear(a)
	for i := range s.y {
		q := &s.points[i]
		model := s.linear[forwardPart]*q.forward + s.linear[constantPart] + s.linear[slopePart]*s.d[i] +
			s.linear[reversePart]*q.reverse
		s.y[i], s.w[i] = unrounded(p.I[i], model, p.Resolution, p.noiseWithin(i))
	}
	s.ready()
}

// fitLinear fits the linear parameters, and returns the factor of their normal
// equations and which of them could be told.
func (s *sphereFit) fitLinear(a sphereParameters) (gram [linearParts][linearParts]float64, used [linearParts]bool) {
	gram, s.linear = s.amplitudes(a)
	used = factor(&gram)
	s.fitted = 0
	for _, u := range used {
		if u {
			s.fitted++
		}
	}
	solveLower(&gram, used, &s.linear)
	solveUpper(&gram, used, &s.linear)
	return gram, used
}

// evaluate fits the linear parameters and returns the normal equations of the
// others, or no more than the sum of squares where that is not less than enough.
// Elimination of the linear ones leaves the term that changes with the residuals
// out (L. Kaufman, BIT 15, 49 (1975)).
func (s *sphereFit) evaluate(a sphereParameters, enough float64) normal {
	gram, used := s.fitLinear(a)
	chi2 := s.residuals()
	if !(chi2 < enough) {
		return normal{chi2: chi2}
	}
	out, mixed := s.derivatives()
	out.chi2 = chi2
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

// fill computes the points, unless that was done for these parameters: other
// weights do not change them.
func (s *sphereFit) fill(a sphereParameters) {
	if s.filled && s.at == a {
		return
	}
	s.at, s.filled = a, true
	pair := newElectrodes(a, s.kT)
	for i, v := range s.v {
		pair.fill(&s.points[i], v)
	}
}

// amplitudes fills the points and returns the normal equations of the linear
// parameters.
func (s *sphereFit) amplitudes(a sphereParameters) (gram [linearParts][linearParts]float64, right [linearParts]float64) {
	s.fill(a)
	n := len(s.points)
	weights, away, currents := s.w[:n], s.d[:n], s.y[:n]
	var sf, sr, sff, sfr, srr, sfd, srd, sfy, sry float64
	for i := range s.points {
		p := &s.points[i]
		w, d, y := weights[i], away[i], currents[i]
		wf, wr := w*p.forward, w*p.reverse
		sf += wf
		sr += wr
		sff += wf * p.forward
		sfr += wf * p.reverse
		srr += wr * p.reverse
		sfd += wf * d
		srd += wr * d
		sfy += wf * y
		sry += wr * y
	}
	// d is measured from the weighted mean, so that the sum of w d vanishes.
	gram = [linearParts][linearParts]float64{
		forwardPart:  {sff},
		constantPart: {sf, s.sw},
		slopePart:    {sfd, 0, s.sdd},
		reversePart:  {sfr, sr, srd, srr},
	}
	return gram, [linearParts]float64{sfy, s.sy, s.sdy, sry}
}

// residuals fills them and returns the sum of their weighted squares.
func (s *sphereFit) residuals() (chi2 float64) {
	forward, constant, slope, reverse := s.linear[forwardPart], s.linear[constantPart], s.linear[slopePart], s.linear[reversePart]
	n := len(s.points)
	weights, away, currents, left := s.w[:n], s.d[:n], s.y[:n], s.r[:n]
	for i := range s.points {
		p := &s.points[i]
		r := currents[i] - forward*p.forward - constant - slope*away[i] - reverse*p.reverse
		left[i] = r
		chi2 += weights[i] * r * r
	}
	return chi2
}

// derivatives returns the sums over the readings that the searched parameters
// take part in: those with each other and the residuals, and the mixed ones
// with the factors of the linear parameters.
func (s *sphereFit) derivatives() (out normal, mixed [searched][linearParts]float64) {
	forward, reverse := s.linear[forwardPart], s.linear[reversePart]
	m := &out.matrix
	n := len(s.points)
	weights, away, left := s.w[:n], s.d[:n], s.r[:n]
	for i := range s.points {
		p := &s.points[i]
		w, d, residual := weights[i], away[i], left[i]
		j0 := forward*p.dForward[0] + reverse*p.dReverse[0]
		j1 := forward*p.dForward[1] + reverse*p.dReverse[1]
		j2 := forward*p.dForward[2] + reverse*p.dReverse[2]
		w0, w1, w2 := w*j0, w*j1, w*j2
		out.downhill[0] += w0 * residual
		out.downhill[1] += w1 * residual
		out.downhill[2] += w2 * residual
		m[0][0] += w0 * j0
		m[1][0] += w1 * j0
		m[1][1] += w1 * j1
		m[2][0] += w2 * j0
		m[2][1] += w2 * j1
		m[2][2] += w2 * j2
		mixed[0][forwardPart] += w0 * p.forward
		mixed[0][constantPart] += w0
		mixed[0][slopePart] += w0 * d
		mixed[0][reversePart] += w0 * p.reverse
		mixed[1][forwardPart] += w1 * p.forward
		mixed[1][constantPart] += w1
		mixed[1][slopePart] += w1 * d
		mixed[1][reversePart] += w1 * p.reverse
		mixed[2][forwardPart] += w2 * p.forward
		mixed[2][constantPart] += w2
		mixed[2][slopePart] += w2 * d
		mixed[2][reversePart] += w2 * p.reverse
	}
	return out, mixed
}

// electrodes are emitter and collector of a fit, with what all voltages share.
type electrodes struct {
	from, back electrode
	contact    float64
	// perKT is 1/kT, and perSquare 1/q^2.
	perKT, perSquare float64
}

func newElectrodes(a sphereParameters, kT float64) electrodes {
	return electrodes{
		from:      newElectrode(a.q, (a.cutoff-a.contact)/kT),
		back:      newElectrode(1/a.q, a.cutoff/kT),
		contact:   a.contact,
		perKT:     1 / kT,
		perSquare: 1 / (a.q * a.q),
	}
}

// fill sets p for a voltage v in V and the electrons that leave either way.
func (e *electrodes) fill(p *spherePoint, v float64) {
	barrier := (v - e.contact) * e.perKT
	f := e.from.crossing(barrier)
	p.forward = f.share
	p.dForward = [searched]float64{f.byExcess * e.perKT, -(f.byExcess + f.byBarrier) * e.perKT, f.byQ}
	b := e.back.crossing(-barrier)
	p.reverse = b.share
	p.dReverse = [searched]float64{b.byExcess * e.perKT, b.byBarrier * e.perKT, -b.byQ * e.perSquare}
}

// An electrode emits electrons of an excess Em/kT into a geometry q.
type electrode struct {
	q, excess float64
	// rest is |1 - q|, and perRest one over it.
	rest, perRest float64
	// all and dAll are the Fowler function and its slope at the excess.
	all, dAll float64
}

func newElectrode(q, excess float64) electrode {
	f, df := fowler(excess)
	rest := math.Abs(1 - q)
	return electrode{q: q, excess: excess, rest: rest, perRest: 1 / rest, all: f, dAll: df}
}

// A crossed is a share of electrons with its derivatives.
type crossed struct {
	share, byExcess, byBarrier, byQ float64
}

// crossing returns the electrons that cross a barrier B/kT between spheres, in
// units of (kT)^2 and times q, so that it goes through q = 1 without a step:
//
//	q < 1, B > 0:  f(Em - B) - (1-q) f(Em - B/(1-q))    q < 1, B <= 0: q f(Em)
//	q >= 1, B >= 0: f(Em - B)    q >= 1, B < 0:  q f(Em) - (q-1) f(Em + B/(q-1))
//
// with f the Fowler function and energies in units of kT; see physics.Spheres.
func (e *electrode) crossing(barrier float64) crossed {
	// narrow is the |1 - q| below which the second term is nowhere seen.
	const narrow = 1e-9
	switch {
	case e.q < 1 && barrier <= 0:
		return crossed{share: e.q * e.all, byExcess: e.q * e.dAll, byQ: e.all}
	case e.q < 1:
		f, df := fowler(e.excess - barrier)
		if e.rest < narrow {
			return crossed{share: f, byExcess: df, byBarrier: -df}
		}
		g, dg := fowler(e.excess - barrier*e.perRest)
		return crossed{
			share:     f - e.rest*g,
			byExcess:  df - e.rest*dg,
			byBarrier: dg - df,
			byQ:       g + dg*barrier*e.perRest,
		}
	case barrier >= 0:
		f, df := fowler(e.excess - barrier)
		return crossed{share: f, byExcess: df, byBarrier: -df}
	case e.rest < narrow:
		return crossed{share: e.q * e.all, byExcess: e.q * e.dAll, byQ: e.all}
	}
	g, dg := fowler(e.excess + barrier*e.perRest)
	return crossed{
		share:     e.q*e.all - e.rest*g,
		byExcess:  e.q*e.dAll - e.rest*dg,
		byBarrier: -dg,
		byQ:       e.all - g + dg*barrier*e.perRest,
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
