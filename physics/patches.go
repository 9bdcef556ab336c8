package physics

import (
	"math"
	"slices"
	"sync"
)

// Patches are the standard deviations in eV of normally distributed work
// functions over the areas of the two electrodes, independent of each other.
// The patches are larger than the gap, so that each pair has its own barrier.
type Patches struct {
	Emitter, Collector float64
}

// A PatchTransport is a transport that takes some patchy electrodes as a whole,
// instead of a pair of patches at a time.
type PatchTransport interface {
	Transport
	// Patchwork returns the patchy electrodes with emitters of a thermal
	// energy in eV, and whether the transport takes them.
	Patchwork(thermal float64, p Patches, g Geometry) (Patchy, bool)
}

// Patchy is a pair of patchy electrodes made ready for light of any photon
// energy.
type Patchy interface {
	// Total returns the mean of Emission.Total over the emitter's patches in
	// eV^2, for a mean excess in eV.
	Total(excess float64) float64
	// Collection returns the collected share of all electrons that leave, for a
	// mean excess in eV. The barrier that it takes is the mean one.
	Collection(excess float64) Collection
}

var (
	_ PatchTransport = Closed{}
	_ PatchTransport = Quadrature{}
)

// Patchwork returns the closed form, which spheres have.
func (Closed) Patchwork(thermal float64, p Patches, g Geometry) (Patchy, bool) {
	s, ok := g.(Spheres)
	q := s.q()
	if !ok || p == (Patches{}) || q != 0 && !(q >= smallQ && q < 1/smallQ) || q != 1 && math.Abs(1-q) < smallQ {
		return nil, false
	}
	return newPatchwork(thermal, p, []orbit{newOrbit(q, 1)}), true
}

// Patchwork returns the closed form where there is one, and for cylinders the
// mean of those of the spheres that they are the mean of.
func (Quadrature) Patchwork(thermal float64, p Patches, g Geometry) (Patchy, bool) {
	if c, ok := g.(Cylinders); ok && p != (Patches{}) {
		orbits, ok := azimuths(c)
		if !ok {
			return nil, false
		}
		return newPatchwork(thermal, p, orbits), true
	}
	return Closed{}.Patchwork(thermal, p, g)
}

const (
	// patchAzimuths is the number of azimuths that stand for a quarter of a
	// circle, and thinAzimuths over the ratio of the radii that for a thin wire.
	// From spreads of a hundredth of an eV on, shares are right to 1e-8 and better;
	// below that the knees of single azimuths are sharp, and they are right to
	// 2e-5.
	patchAzimuths = 64
	thinAzimuths  = 12
	// mostPatchAzimuths and leastPatchGap bound the work for thinner wires and
	// nearly plane pairs.
	mostPatchAzimuths = 256
	leastPatchGap     = 1e-4
)

// azimuths returns the spheres that stand for a pair of cylinders, by the
// trapezoidal rule for a periodic function.
func azimuths(c Cylinders) (orbits []orbit, ok bool) {
	q := c.q()
	if q == 1 {
		return []orbit{newOrbit(1, 1)}, true
	}
	n := max(patchAzimuths, math.Ceil(thinAzimuths/min(c.RadiusRatio, 1/c.RadiusRatio)))
	if !(n <= mostPatchAzimuths) || math.Abs(1-q) < leastPatchGap {
		return nil, false
	}
	for i := range int(n) {
		sin, cos := math.Sincos(math.Pi / 2 * (float64(i) + 0.5) / n)
		orbits = append(orbits, newOrbit(sin*sin+q*cos*cos, 1/n))
	}
	return orbits, true
}

// Patchwork is a pair of patchy spheres, or of the cylinders that are the mean of
// several. The currents between all patches have a mean that needs no double sum.
//
// On either side of B = 0 the closed form of the spheres (see Spheres.Share) is
// a sum of terms G(a) whose argument Em - a is linear in the two normal work
// functions, and therefore normal itself. The mean of such a term is a Fowler
// function smoothed by a normal distribution,
//
//	g_s(y) = <(kT)^2 f((y - s Z)/kT)>,
//
// with, for a mean excess Em and a mean barrier B,
//
//	<G(B)>         = g_c(Em - B),           c the collector's deviation
//	<G(0)>         = g_e(Em),               e the emitter's
//	<G(B/(1-q))>   = g_r(Em - B/(1-q)),     r = sqrt(q^2 e^2 + c^2)/|1-q|
//	<G(-B/(q-1))>  = the same for q > 1.
//
// Only the change of the formula at B = 0 spoils it. The barrier is normal with
// the variance s^2 = e^2 + c^2, and given a barrier b the excess is normal with
// mean Em + (e/s)^2 (b - B) and deviation t = e c/s, so that the difference
// of the two formulas is made of g_t and is integrated over the b beyond zero,
// where the spread reaches there.
type Patchwork struct {
	kind kind
	// spread is that of the barrier, and follow the share of its variance that
	// is the emitter's.
	spread, follow float64
	// throughout is the mean of 1/q over the orbits, and gap that of 1/(1-q).
	throughout, gap float64
	orbits          []smoothedOrbit
	// each smoothed function has its deviation.
	emitter, collector, conditional *smoothed
	// point has what q = 0 needs beside.
	point *pointlike
}

// smoothedOrbit is an orbit with the function of its second term.
type smoothedOrbit struct {
	orbit
	reduced *smoothed
}

// pointlike has the derivatives of smoothed functions. For q = 0 the formula for
// B > 0 is the limit G(B) - B G'(B), and for normal B and Y a mean <B h(Y)> is
// <B><h(Y)> + cov(B, Y) <h'(Y)> (C. Stein, Ann. Stat. 9, 1135 (1981)); the
// covariance of B and Em - B is less the collector's variance.
type pointlike struct {
	collectorSlope, collectorBend, conditionalSlope *smoothed
}

// normalReach is the number of standard deviations beyond which a normal
// variable has less than one part in 10^16.
const normalReach = 8.5

// newPatchwork returns that of the spheres that a geometry is the mean of, which
// are on one side of the plane pair.
func newPatchwork(thermal float64, p Patches, orbits []orbit) *Patchwork {
	q, within := orbits[0].q, orbits[0].tolerance()
	s := math.Hypot(p.Emitter, p.Collector)
	w := &Patchwork{
		kind:        kindOf(q),
		spread:      s,
		follow:      (p.Emitter / s) * (p.Emitter / s),
		throughout:  1,
		gap:         1,
		emitter:     newSmoothed(thermal, p.Emitter, within, 0),
		collector:   newSmoothed(thermal, p.Collector, within, 0),
		conditional: newSmoothed(thermal, p.Emitter*p.Collector/s, within, 0),
	}
	switch w.kind {
	case plane:
		return w
	case point:
		w.point = &pointlike{
			newSmoothed(thermal, p.Collector, within, 1),
			newSmoothed(thermal, p.Collector, within, 2),
			newSmoothed(thermal, p.Emitter*p.Collector/s, within, 1),
		}
		return w
	}
	w.throughout, w.gap = 0, 0
	for _, o := range orbits {
		w.throughout += o.weight / o.q
		w.gap += o.weight * o.steep
		w.orbits = append(w.orbits, smoothedOrbit{o, newSmoothed(thermal, math.Hypot(o.q*p.Emitter, p.Collector)/math.Abs(1-o.q), o.tolerance(), 0)})
	}
	return w
}

// kindOf returns the kind of spheres.
func kindOf(q float64) kind {
	switch {
	case q == 0:
		return point
	case q == 1:
		return plane
	case q > 1:
		return smallCollector
	}
	return largeCollector
}

// Total returns the mean of Emission.Total over the emitter's patches in eV^2,
// for a mean excess in eV.
func (w *Patchwork) Total(excess float64) float64 { return w.emitter.at(excess) }

// Collection returns the collected share of all electrons that leave, for a
// mean excess in eV. The barrier that it takes is the mean one.
func (w *Patchwork) Collection(excess float64) Collection {
	p := &patchwise{Patchwork: w, excess: excess, total: w.Total(excess)}
	if p.total == 0 {
		return p
	}
	p.squares = w.kind != smallCollector && excess > 0
	p.dark = darkThermals*w.conditional.thermal + darkDeviations*w.conditional.deviation + max(-excess, 0)
	if p.squares && w.emitter.at(-excess)*max(w.throughout, 1) < changeError/10*p.total {
		return p.quickened()
	}
	reach := normalReach * w.spread
	within := Tolerance{Absolute: changeError * p.total, Finest: p.finest()}
	if p.squares {
		p.table = NewPiecewise(p.change, -reach, reach, within)
	} else {
		within.Relative, within.Floor = 1e-7, 1e-15*p.total
		p.table = NewPiecewise(p.current, -reach, reach, within)
	}
	return p.quickened()
}

const (
	// changeError is relative to the whole current.
	changeError = 1e-10
	// darkThermals and darkDeviations are where a smoothed Fowler function has
	// fallen by 1e-12.
	darkThermals, darkDeviations = 28, 7
)

// finest returns the width in eV on which what is made of tables is smooth
// enough for a table.
func (w *Patchwork) finest() float64 { return w.conditional.thermal / 16 }

// patchwise is a patchwork under light of one photon energy.
type patchwise struct {
	*Patchwork
	excess, total float64
	// squares says that the current is that by the formula for B > 0 and what
	// change adds, and not a mean over both sides of B = 0.
	squares bool
	// dark is the argument in eV, less zero, below which nothing is left of the
	// conditional function.
	dark float64
	// table is that of change or of current where the spread reaches B = 0; it
	// is nil where change is a formula.
	table *Piecewise
}

// quickened returns the share as a table where it is the mean of many orbits.
func (p *patchwise) quickened() Collection {
	if len(p.orbits) <= 1 {
		return p
	}
	share := func(barrier float64) float64 {
		share, _ := p.Share(barrier)
		return share
	}
	low := -normalReach * p.spread
	if p.kind == smallCollector {
		low += (1 - p.orbits[0].q) * (max(p.excess, 0) + reach*p.emitter.thermal + normalReach*p.emitter.deviation)
	}
	high := max(p.excess, 0) + reach*p.emitter.thermal + normalReach*p.spread
	return tabulated{share: share, table: NewPiecewise(share, low, high, Tolerance{Absolute: changeError, Relative: 1e-7, Floor: 1e-19, Finest: p.finest()})}
}

// Share returns the share, which has no error.
func (p *patchwise) Share(barrier float64) (share, standardError float64) {
	if p.total == 0 {
		return 0, 0
	}
	var current float64
	reach := normalReach * p.spread
	switch {
	case barrier <= -reach:
		current = p.accelerated(barrier)
	case barrier >= reach:
		current = p.retarded(barrier)
	case !p.squares:
		current = p.table.At(barrier)
	default:
		current = p.retarded(barrier) + truncatedChange(barrier, p.spread, p.follow, p.excess, p.gap, p.kind == plane)
		if p.table != nil {
			current += p.table.At(barrier)
		}
	}
	return min(max(current/p.total, 0), 1), 0
}

// retarded returns in eV^2 the mean current by the formula for B > 0.
func (p *patchwise) retarded(barrier float64) float64 {
	rest := p.excess - barrier
	current := p.collector.at(rest) * p.throughout
	switch p.kind {
	case largeCollector:
		current -= p.second(barrier)
	case point:
		c := p.collector.deviation
		current += barrier*p.point.collectorSlope.at(rest) - c*c*p.point.collectorBend.at(rest)
	}
	return current
}

// accelerated returns in eV^2 the mean current by the formula for B < 0.
func (p *patchwise) accelerated(barrier float64) float64 {
	current := p.emitter.at(p.excess)
	if p.kind == smallCollector {
		current -= p.second(barrier)
	}
	return current
}

// second returns in eV^2 the mean of the second terms of the formulas.
func (p *patchwise) second(barrier float64) float64 {
	var sum float64
	for i := range p.orbits {
		o := &p.orbits[i]
		sum += o.loss * o.reduced.at(p.excess-barrier*o.steep)
	}
	return sum
}

// change returns in eV^2 the mean, over the patches with B < 0, of what the
// formula there is more than that for B > 0, without the squares, which
// truncatedChange takes. With g(y) = (y^2 + v^2)/2 - g(-y) what remains decays
// where all is bright.
func (p *patchwise) change(barrier float64) float64 {
	reach := normalReach * p.spread
	m := barrierMean{p, barrier, barrier - reach, min(barrier+reach, 0)}
	// The excess at b is start + follow b.
	start := p.excess - p.follow*barrier
	sum := p.throughout*m.term(-start, 1-p.follow) - m.term(-start, -p.follow)
	if p.kind == point {
		sum -= m.slopeTerm(-start, 1-p.follow)
	}
	return sum - m.second(-start, -p.follow, 1)
}

// current returns in eV^2 the mean current, by both formulas.
func (p *patchwise) current(barrier float64) float64 {
	reach := normalReach * p.spread
	start := p.excess - p.follow*barrier
	m := barrierMean{p, barrier, barrier - reach, min(barrier+reach, 0)}
	sum := m.term(start, p.follow)
	if p.kind == smallCollector {
		sum -= m.second(start, p.follow, -1)
	}
	m.low, m.high = max(barrier-reach, 0), barrier+reach
	sum += p.throughout * m.term(start, p.follow-1)
	switch p.kind {
	case largeCollector:
		sum -= m.second(start, p.follow, -1)
	case point:
		sum += m.slopeTerm(start, p.follow-1)
	}
	return sum
}

// barrierMean takes means over the normally distributed barriers between two
// ends in eV.
type barrierMean struct {
	*patchwise
	barrier, low, high float64
}

// term returns the mean of g(start + slope b) in eV^2.
func (m *barrierMean) term(start, slope float64) float64 {
	return m.over(start, slope, func(b float64) float64 { return m.conditional.at(start + slope*b) })
}

// second returns the mean of the orbits' second terms, of which each is its loss
// times g(start + (slope + turn steep) b).
func (m *barrierMean) second(start, slope, turn float64) float64 {
	var sum float64
	for i := range m.orbits {
		o := &m.orbits[i]
		sum += o.loss * m.term(start, slope+turn*o.steep)
	}
	return sum
}

// slopeTerm returns the mean of b g'(start + slope b) in eV^2.
func (m *barrierMean) slopeTerm(start, slope float64) float64 {
	return m.over(start, slope, func(b float64) float64 { return b * m.point.conditionalSlope.at(start+slope*b) })
}

// over returns the mean of f(b), which is a function of y = start + slope b that
// goes over from nothing to a square near y = 0.
func (m *barrierMean) over(start, slope float64, f func(b float64) float64) float64 {
	if slope == 0 {
		if start < -m.dark {
			return 0
		}
		return m.panels(m.low, m.high, m.widest(), f)
	}
	at := func(y float64) float64 { return min(max((y-start)/slope, m.low), m.high) }
	dark, knee, bright := at(-m.dark), at(0), at(m.dark)
	end := m.high
	if slope < 0 {
		end = m.low
	}
	fine := min(m.widest(), m.bend()/math.Abs(slope))
	sum := m.panels(dark, knee, fine, f) + m.panels(knee, bright, fine, f) + m.panels(bright, end, m.widest(), f)
	if slope < 0 {
		return -sum
	}
	return sum
}

// widest returns the width in eV over which 16 points integrate a normal density,
// and bend that for the conditional function near zero, whose poles are pi kT
// from the axis.
func (m *barrierMean) widest() float64 { return 3 * m.spread }

func (m *barrierMean) bend() float64 {
	return max(8*m.conditional.thermal, 3*m.conditional.deviation)
}

// panels integrates f and the normal density on panels of a width at most. The
// ends may be exchanged. A function without a bend is a square on either side.
func (m *barrierMean) panels(from, to, width float64, f func(b float64) float64) float64 {
	if from == to {
		return 0
	}
	n := 1.0
	if width > 0 {
		n = min(max(math.Ceil(math.Abs(to-from)/width), 1), mostPanels)
	}
	step := (to - from) / n
	var sum float64
	for i := range int(n) {
		start := from + step*float64(i)
		sum += integrate(start, start+step, func(b float64) float64 {
			z := (b - m.barrier) / m.spread
			return math.Exp(-z*z/2) * f(b)
		})
	}
	return sum / (m.spread * math.Sqrt(2*math.Pi))
}

// mostPanels bounds the work.
const mostPanels = 1000

// truncatedChange returns in eV^2 the mean over the barriers below zero of what
// the formulas differ by where (kT)^2 f(y/kT) is y^2/2 and a constant: by
// b^2/(2(1-q)), gap being 1/(1-q), and for the plane pair by M b - b^2/2 with M
// the mean excess at b. Moments of a truncated normal distribution do the rest.
func truncatedChange(barrier, spread, follow, excess, gap float64, plane bool) float64 {
	z := barrier / spread
	below := math.Erfc(z/math.Sqrt2) / 2
	density := math.Exp(-z*z/2) / math.Sqrt(2*math.Pi)
	first := barrier*below - spread*density
	second := (barrier*barrier+spread*spread)*below - barrier*spread*density
	if plane {
		return first*(excess-follow*barrier) + second*(follow-0.5)
	}
	return second * gap / 2
}

// smoothed is the mean of (kT)^2 f(y/kT), or of a derivative of it, over a normal
// spread of y in eV.
type smoothed struct {
	thermal, deviation float64
	// order is that of the derivative by y.
	order int
	// shift in eV and weight are those of the trapezoidal rule; where the spread
	// is wide, there is a series instead.
	shift, weight []float64
	series        []float64
	// low and high in eV are the ends of the table.
	low, high float64
	table     *Piecewise
}

// smoothedTolerance is relative, for the plane pair.
const smoothedTolerance = 1e-10

// tolerance returns that of the functions of an orbit: for small q the
// difference of two tables is divided by q, and near q = 1 large terms cancel.
func (o orbit) tolerance() float64 {
	within := smoothedTolerance
	if o.q > 0 {
		within *= min(max(o.q/o.weight, 0.01), 1)
	}
	if o.q != 1 {
		within *= min(max(math.Abs(1-o.q)/o.weight, 0.01), 1)
	}
	return within
}

func newSmoothed(thermal, deviation, within float64, order int) *smoothed {
	s := newSmoothedRule(thermal, deviation)
	s.order = order
	if deviation == 0 || thermal == 0 {
		return s
	}
	s.high = reach*thermal + normalReach*deviation
	s.low = -s.high
	s.table = NewPiecewise(s.sum, s.low, s.high,
		Tolerance{Absolute: math.Inf(1), Relative: within, Floor: 1e-20 * math.Pow(math.Hypot(thermal, deviation), float64(2-order))})
	return s
}

// newSmoothedRule returns the mean without its table.
func newSmoothedRule(thermal, deviation float64) *smoothed {
	s := &smoothed{thermal: thermal, deviation: deviation}
	if deviation == 0 || thermal == 0 {
		return s
	}
	if deviation > wideInThermals*thermal {
		s.series = heatSeries(thermal / deviation)
		return s
	}
	// In deviations: the normal density asks for a half, the poles for less
	// where the spread is wide.
	step := min(0.6, 2*math.Pi*math.Pi*thermal/deviation/28)
	n := int(math.Ceil(normalReach / step))
	for i := -n; i <= n; i++ {
		z := step * float64(i)
		s.shift = append(s.shift, deviation*z)
		s.weight = append(s.weight, step*math.Exp(-z*z/2)/math.Sqrt(2*math.Pi))
	}
	return s
}

// at returns the mean about y in eV, in eV^2 over a power of eV.
func (s *smoothed) at(y float64) float64 {
	switch {
	case s.deviation == 0:
		return s.sharp(y)
	case s.thermal == 0:
		return s.cold(y)
	case y >= s.high:
		// What the inversion formula takes off is gone.
		return [...]float64{(math.Pi*math.Pi/3*s.thermal*s.thermal + y*y + s.deviation*s.deviation) / 2, y, 1}[s.order]
	case y < s.low && s.series != nil:
		// One part in 10^30 of the square of the spread is left.
		return 0
	case y < s.low:
		// The mean of an exponential is left.
		part := s.deviation / s.thermal
		return math.Pow(s.thermal, float64(2-s.order)) * math.Exp(y/s.thermal+part*part/2)
	}
	return s.table.At(y)
}

// sharp is the function without spread.
func (s *smoothed) sharp(y float64) float64 {
	e := Emission{Excess: y, Thermal: s.thermal}
	switch s.order {
	case 0:
		return e.Beyond(0)
	case 1:
		return -e.BeyondSlope(0)
	}
	if s.thermal == 0 {
		return math.Ceil(min(max(y, 0), 1))
	}
	return 1 / (1 + math.Exp(-y/s.thermal))
}

// cold is the mean of max(y, 0)^2/2, or of a derivative of it.
func (s *smoothed) cold(y float64) float64 {
	z := y / s.deviation
	below := math.Erfc(-z/math.Sqrt2) / 2
	density := math.Exp(-z*z/2) / math.Sqrt(2*math.Pi)
	return [...]float64{
		s.deviation * s.deviation / 2 * max((z*z+1)*below+z*density, 0),
		s.deviation * max(z*below+density, 0),
		below,
	}[s.order]
}

// sum is the mean by the trapezoidal rule, whose error for a function with
// poles at pi kT from the real axis falls as exp(-2 pi (pi kT)/step) (L. N.
// Trefethen and J. A. C. Weideman, SIAM Review 56, 385 (2014)).
func (s *smoothed) sum(y float64) float64 {
	if s.series != nil {
		return s.expanded(y)
	}
	var sum float64
	for i, weight := range s.weight {
		sum += weight * s.sharp(y-s.shift[i])
	}
	return sum
}

const (
	// wideInThermals is the spread in kT from which the series of the heat is
	// good to 1e-12.
	wideInThermals = 12
	seriesTerms    = 10
)

// heatMoments are the moments over their factorials of a logistic variable,
//
//	2 (1 - 2^(-2k) + 3^(-2k) - ...)
//
// for k from 1 (M. Abramowitz and I. A. Stegun, Handbook of Mathematical
// Functions, 23.2.19), which are also the coefficients of the Sommerfeld
// expansion.
var heatMoments = sync.OnceValue(func() []float64 {
	moments := make([]float64, seriesTerms)
	for k := range moments {
		power := float64(2 * (k + 1))
		// Half of the term after the last leaves the change of the changes.
		const last = 10_000
		sum := -math.Pow(last, -power) / 2
		for n := last - 1; n > 0; n-- {
			sign := float64(2*(n%2) - 1)
			sum += sign * math.Pow(float64(n), -power)
		}
		moments[k] = 2 * sum
	}
	return moments
})

// heatSeries returns the coefficients by which the even derivatives of a function
// of z, beside the function itself, add up to its mean over z - kT L, for kT in
// deviations and a logistic L.
func heatSeries(thermal float64) []float64 {
	series := slices.Clone(heatMoments())
	for k := range series {
		series[k] *= math.Pow(thermal, float64(2*(k+1)))
	}
	return series
}

// expanded is the mean by the series.
func (s *smoothed) expanded(y float64) float64 {
	z := y / s.deviation
	// this and before are derivatives of the normal density of z, of the order
	// next less three and one below.
	this, before := math.Exp(-z*z/2)/math.Sqrt(2*math.Pi), 0.0
	next := 3
	derivative := func(order int) float64 {
		if order == 2 {
			return math.Erfc(-z/math.Sqrt2) / 2
		}
		for ; next < order; next++ {
			this, before = -(z*this + float64(next-3)*before), this
		}
		return this
	}
	var sum float64
	for k, c := range s.series {
		sum += c * derivative(s.order+2*(k+1))
	}
	return max(s.cold(y)+sum*math.Pow(s.deviation, float64(2-s.order)), 0)
}
