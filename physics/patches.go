package physics

import "math"

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
	return newPatchwork(thermal, p, q), true
}

// Patchwork returns the closed form, where there is one.
func (Quadrature) Patchwork(thermal float64, p Patches, g Geometry) (Patchy, bool) {
	return Closed{}.Patchwork(thermal, p, g)
}

// Patchwork is a pair of patchy spheres. The currents between all patches have
// a mean that needs no double sum.
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
// of the two formulas is made of g_t and is integrated over the b below zero,
// where the spread reaches there.
type Patchwork struct {
	q float64
	// spread is that of the barrier, and follow the share of its variance that
	// is the emitter's.
	spread, follow float64
	// each smoothed function has its deviation.
	emitter, collector, reduced, conditional *smoothed
	// point has what q = 0 needs beside.
	point *pointlike
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

func newPatchwork(thermal float64, p Patches, q float64) *Patchwork {
	s := math.Hypot(p.Emitter, p.Collector)
	w := &Patchwork{
		q:           q,
		spread:      s,
		follow:      (p.Emitter / s) * (p.Emitter / s),
		emitter:     newSmoothed(thermal, p.Emitter, q, 0),
		collector:   newSmoothed(thermal, p.Collector, q, 0),
		conditional: newSmoothed(thermal, p.Emitter*p.Collector/s, q, 0),
	}
	switch q {
	case 0:
		w.point = &pointlike{
			newSmoothed(thermal, p.Collector, q, 1),
			newSmoothed(thermal, p.Collector, q, 2),
			newSmoothed(thermal, p.Emitter*p.Collector/s, q, 1),
		}
	case 1:
	default:
		w.reduced = newSmoothed(thermal, math.Hypot(q*p.Emitter, p.Collector)/math.Abs(1-q), q, 0)
	}
	return w
}

// Total returns the mean of Emission.Total over the emitter's patches in eV^2,
// for a mean excess in eV.
func (w *Patchwork) Total(excess float64) float64 { return w.emitter.at(excess) }

// Collection returns the collected share of all electrons that leave, for a
// mean excess in eV. The barrier that it takes is the mean one.
func (w *Patchwork) Collection(excess float64) Collection {
	p := patchwise{Patchwork: w, excess: excess, total: w.Total(excess)}
	reach := normalReach * w.spread
	if p.total > 0 && !p.bright(-reach) {
		p.changes = NewPiecewise(p.change, -reach, reach, Tolerance{
			Absolute: changeError * p.total,
			// It is smooth on the scale of kT, but made of tables.
			Finest: p.conditional.thermal / 16,
		})
	}
	return p
}

// changeError is relative to the whole current.
const changeError = 1e-10

// patchwise is a patchwork under light of one photon energy.
type patchwise struct {
	*Patchwork
	excess, total float64
	// changes is the table of change; it is nil for bright light, whose
	// change has a formula.
	changes *Piecewise
}

// Share returns the share, which has no error.
func (p patchwise) Share(barrier float64) (share, standardError float64) {
	if p.total == 0 {
		return 0, 0
	}
	var current float64
	switch {
	case barrier <= -normalReach*p.spread:
		current = p.accelerated(p.excess, barrier, p.emitter, p.reduced)
	default:
		current = p.retarded(barrier)
		if barrier < normalReach*p.spread {
			current += p.changeAt(barrier)
		}
	}
	return min(max(current/p.total, 0), 1), 0
}

// retarded returns in eV^2 the mean current by the formula for B > 0.
func (p patchwise) retarded(barrier float64) float64 {
	if p.point == nil {
		return p.twoTerms(p.excess, barrier, p.collector, p.reduced)
	}
	rest, c := p.excess-barrier, p.collector.deviation
	return p.collector.at(rest) + barrier*p.point.collectorSlope.at(rest) - c*c*p.point.collectorBend.at(rest)
}

// retardedAt is retarded for pairs of patches with one barrier b, of a mean
// excess.
func (w *Patchwork) retardedAt(excess, b float64) float64 {
	if w.point == nil {
		return w.twoTerms(excess, b, w.conditional, w.conditional)
	}
	return w.conditional.at(excess-b) + b*w.point.conditionalSlope.at(excess-b)
}

// twoTerms is the formula for B > 0 and q > 0. The functions are those that
// smooth its two terms.
func (w *Patchwork) twoTerms(excess, barrier float64, whole, reduced *smoothed) float64 {
	current := whole.at(excess - barrier)
	if w.q < 1 {
		current -= (1 - w.q) * reduced.at(excess-barrier/(1-w.q))
	}
	return current / w.q
}

// accelerated returns in eV^2 the mean current by the formula for B < 0. The
// functions are those that smooth its two terms.
func (w *Patchwork) accelerated(excess, barrier float64, whole, reduced *smoothed) float64 {
	current := whole.at(excess)
	if w.q > 1 {
		current -= (1 - 1/w.q) * reduced.at(excess+barrier/(w.q-1))
	}
	return current
}

// changeAt returns change, looked up or by its formula.
func (p patchwise) changeAt(barrier float64) float64 {
	if p.changes == nil {
		return p.brightChange(barrier)
	}
	return p.changes.At(barrier)
}

// change returns in eV^2 the mean, over the patches with B < 0, of what the
// formula there differs from the other by.
func (p patchwise) change(barrier float64) float64 {
	low := barrier - normalReach*p.spread
	high := min(barrier+normalReach*p.spread, 0)
	panels := min(math.Ceil((high-low)/p.panel()), mostPanels)
	step := (high - low) / panels
	var sum float64
	for i := range int(panels) {
		start := low + step*float64(i)
		sum += integrate(start, start+step, func(b float64) float64 {
			z := (b - barrier) / p.spread
			excess := p.excess + p.follow*(b-barrier)
			return math.Exp(-z*z/2) * (p.accelerated(excess, b, p.conditional, p.conditional) -
				p.retardedAt(excess, b))
		})
	}
	return sum / (p.spread * math.Sqrt(2*math.Pi))
}

// bright reports whether the excess is so far above zero that below B = 0 the
// Fermi tail adds less than 1e-10 to the current.
func (p patchwise) bright(barrier float64) bool {
	thermal := p.conditional.thermal
	margin := 22.0
	if p.q > 0 {
		margin -= math.Log(min(p.q, 1))
	}
	enough := func(mean, deviation float64) bool {
		if mean <= normalReach*deviation {
			return false
		}
		// The mean of exp(-y/kT) over a normal y, in the exponent.
		return thermal == 0 || mean > deviation*deviation/(2*thermal)+margin*thermal
	}
	if p.q > 1 {
		return enough(p.excess, p.emitter.deviation) && enough(p.excess+min(barrier, 0)/(p.q-1), p.reduced.deviation)
	}
	return enough(p.excess, p.emitter.deviation)
}

// brightChange is change where (kT)^2 f(y/kT) is y^2/2 and a constant.
func (p patchwise) brightChange(barrier float64) float64 {
	return truncatedChange(barrier, p.spread, p.follow, p.excess, 1/(1-p.q), p.q == 1)
}

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

// mostPanels bounds the work near the threshold of a nearly plane pair.
const mostPanels = 1000

// panel returns the width in eV over which what change integrates is a
// polynomial to about 1e-15: two deviations of a normal density, and
// three kT of a Fowler function, whose arguments run 1/|1-q| times as fast as
// the barrier.
func (p patchwise) panel() float64 {
	width := 2 * p.spread
	thermal, deviation := p.conditional.thermal, p.conditional.deviation
	fowler := max(3*thermal, 2*deviation)
	if p.q != 1 {
		fowler *= min(math.Abs(1-p.q), 1)
	}
	if fowler == 0 {
		return width / 8
	}
	return min(width, fowler)
}

// smoothed is the mean of (kT)^2 f(y/kT), or of a derivative of it, over a normal
// spread of y in eV.
type smoothed struct {
	thermal, deviation float64
	// order is that of the derivative by y.
	order int
	// shift in eV and weight are those of the trapezoidal rule.
	shift, weight []float64
	// low and high in eV are the ends of the table.
	low, high float64
	table     *Piecewise
}

// smoothedTolerance is relative, for the plane pair; for small q the difference
// of two tables is divided by q, and near q = 1 large terms cancel.
const smoothedTolerance = 1e-10

func newSmoothed(thermal, deviation, q float64, order int) *smoothed {
	s := newSmoothedRule(thermal, deviation)
	s.order = order
	if deviation == 0 || thermal == 0 {
		return s
	}
	s.high = reach*thermal + normalReach*deviation
	s.low = -s.high
	within := smoothedTolerance
	if q > 0 {
		within *= min(max(q, 0.01), 1)
	}
	if q != 1 {
		within *= min(max(math.Abs(1-q), 0.01), 1)
	}
	s.table = NewPiecewise(s.sum, s.low, s.high,
		Tolerance{Absolute: math.Inf(1), Relative: within, Floor: 1e-20 * math.Pow(thermal, float64(2-order))})
	return s
}

// newSmoothedRule returns the mean without its table.
func newSmoothedRule(thermal, deviation float64) *smoothed {
	s := &smoothed{thermal: thermal, deviation: deviation}
	if deviation == 0 || thermal == 0 {
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
	case y < s.low:
		return s.sum(y)
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
	var sum float64
	for i, weight := range s.weight {
		sum += weight * s.sharp(y-s.shift[i])
	}
	return sum
}
