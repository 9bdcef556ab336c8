package analysis

import "math"

// A separable fit is one of readings to
//
//	I = A s(V) + b + c (V - centre)
//
// with a shape s that has one parameter to be searched. A, b and c are found by
// linear least squares for each shape (G. H. Golub and V. Pereyra, SIAM J.
// Numer. Anal. 10, 413 (1973)). Background and slope do not change during the
// search, so they are taken out of the readings once.
type separable struct {
	// v and y are voltages and currents, w inverse squares of uncertainties.
	v, y, w []float64
	// kind says which of b and c are fitted; those that are not are zero.
	kind background
	// shape and slope hold s at each v and its derivative by the parameter.
	shape, slope []float64
	// amplitude, base and tilt are A, b and c.
	amplitude, base, tilt float64

	// from is the first reading of p that takes part, and less what was taken
	// off all.
	from int
	less float64

	centre, sw     float64
	sdd, sdy, rest float64
	mean           float64
}

// begin sets the readings from <= i < to of p as those to fit, less a given
// current, and returns the number of parameters.
func (s *separable) begin(p *Prepared, from, to int, kind background, less float64) int {
	s.y, s.w, s.from, s.less = s.y[:0], s.w[:0], from, less
	for i := from; i < to; i++ {
		s.y = append(s.y, p.I[i]-less)
		s.w = append(s.w, 1/(p.U[i]*p.U[i]))
	}
	s.ready(p.V[from:to], kind)
	return s.parameters()
}

// ready takes the voltages that belong to y and w and prepares the sums that do
// not change during a search.
func (s *separable) ready(v []float64, kind background) {
	s.v, s.kind = v, kind
	s.shape, s.slope = grow(s.shape, len(v)), grow(s.slope, len(v))
	var swv, swy float64
	s.sw = 0
	for i, w := range s.w {
		s.sw += w
		swv += w * s.v[i]
		swy += w * s.y[i]
	}
	s.centre, s.mean = 0, 0
	if kind != fixed {
		s.centre, s.mean = swv/s.sw, swy/s.sw
	}
	s.sdd, s.sdy, s.rest = 0, 0, 0
	for i, w := range s.w {
		d, y := s.v[i]-s.centre, s.y[i]-s.mean
		s.sdd += w * d * d
		s.sdy += w * d * y
		s.rest += w * y * y
	}
	if kind == sloped {
		s.rest -= s.sdy * s.sdy / s.sdd
	}
}

// grow returns a slice of length n that uses the memory of x if that is enough.
func grow[T any](x []T, n int) []T {
	if cap(x) < n {
		return make([]T, n)
	}
	return x[:n]
}

// chiSquare returns the weighted sum of squared residuals for the shape in
// s.shape, after setting the linear parameters.
func (s *separable) chiSquare() float64 {
	var sf, sfd, sff, sfy float64
	n := len(s.shape)
	w, v, y := s.w[:n], s.v[:n], s.y[:n]
	for i, f := range s.shape {
		wf := w[i] * f
		sf += wf
		sfd += wf * (v[i] - s.centre)
		sff += wf * f
		sfy += wf * (y[i] - s.mean)
	}
	level, tilt := 0.0, 0.0
	if s.kind != fixed {
		level = sf / s.sw
	}
	if s.kind == sloped {
		tilt = sfd / s.sdd
	}
	ff := sff - level*sf - tilt*sfd
	fy := sfy - tilt*s.sdy
	s.amplitude = fy / ff
	s.base = s.mean - s.amplitude*level
	s.tilt = 0
	if s.kind == sloped {
		s.tilt = s.sdy/s.sdd - s.amplitude*tilt
	}
	return s.rest - s.amplitude*fy
}

// unround replaces readings and weights by those that stand for rounded readings
// near the fitted currents.
func (s *separable) unround(p *Prepared) {
	for i := range s.y {
		k := s.from + i
		y, w := unrounded(p.I[k], s.model(i)+s.less, p.Resolution, p.noiseWithin(k))
		s.y[i], s.w[i] = y-s.less, w
	}
	s.ready(s.v, s.kind)
}

// normal returns, for the derivative of the model by the searched parameter,
// A s.slope, with its parts along background, slope and shape taken out, its
// square and its product with the residuals, and the sum of the squares of
// the residuals, all weighted. The parameter's Gauss-Newton step is
// product/square and its variance 1/square.
func (s *separable) normal() (square, product, chi2 float64) {
	f0, f1 := s.along(s.shape)
	g0, g1 := s.along(s.slope)
	var ff, fg float64
	for i, w := range s.w {
		d := s.v[i] - s.centre
		f := s.shape[i] - f0 - f1*d
		ff += w * f * f
		fg += w * f * (s.slope[i] - g0 - g1*d)
	}
	along := fg / ff
	for i, w := range s.w {
		d := s.v[i] - s.centre
		g := s.amplitude * (s.slope[i] - g0 - g1*d - along*(s.shape[i]-f0-f1*d))
		r := s.y[i] - s.model(i)
		square += w * g * g
		product += w * g * r
		chi2 += w * r * r
	}
	return square, product, chi2
}

// along returns the level and the tilt of the fitted background closest to x.
func (s *separable) along(x []float64) (level, tilt float64) {
	if s.kind == fixed {
		return 0, 0
	}
	var sx, sxd float64
	for i, w := range s.w {
		sx += w * x[i]
		sxd += w * x[i] * (s.v[i] - s.centre)
	}
	if s.kind == constant {
		return sx / s.sw, 0
	}
	return sx / s.sw, sxd / s.sdd
}

// model returns the fitted current at reading i.
func (s *separable) model(i int) float64 {
	return s.amplitude*s.shape[i] + s.base + s.tilt*(s.v[i]-s.centre)
}

// parameters is the number of fitted parameters, the searched one included.
func (s *separable) parameters() int { return 2 + int(s.kind) }

// inflation is what the variance of a fit is to be multiplied by. Where the
// noise is only estimated, it is the variance of the residuals over that of the
// noise. Where it is known it is one, unless the residuals are larger than
// chance allows once in a thousand times: then the model does not hold, and
// R. T. Birge's ratio (Phys. Rev. 40, 207 (1932)) says by how much.
func inflation(chi2 float64, degrees int, known bool) float64 {
	if degrees < 1 {
		return 1
	}
	ratio := chi2 / float64(degrees)
	if !known || ratio > likelyRatio(degrees) {
		return ratio
	}
	return 1
}

// likelyRatio is the 99.9 % point of chi-square over its degrees of freedom (E.
// B. Wilson and M. M. Hilferty, Proc. Natl. Acad. Sci. 17, 684 (1931)).
func likelyRatio(degrees int) float64 {
	const quantile = 3.0902
	v := 2 / (9 * float64(degrees))
	return math.Pow(1-v+quantile*math.Sqrt(v), 3)
}
