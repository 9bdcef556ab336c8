package physics

import (
	"math"
	"slices"
)

// A LawPatchTransport is a transport that takes some patchy electrodes as a whole
// also where the emitter is a film or electrons lose energy in it.
type LawPatchTransport interface {
	Transport
	// LawPatchwork returns the electrodes for emissions like e, of any Excess, and
	// whether the transport takes them.
	LawPatchwork(e Emission, p Patches, g Geometry) (Patchy, bool)
}

var (
	_ LawPatchTransport = Quadrature{}
	_ LawPatchTransport = Quick{}
)

// LawPatchwork takes patchy spheres, to about 1e-8 of the emitted electrons.
func (Quadrature) LawPatchwork(e Emission, p Patches, g Geometry) (Patchy, bool) {
	s, ok := g.(Spheres)
	q := s.q()
	if !ok || p == (Patches{}) || e.Band != (Band{}) || q != 0 && !(q >= smallQ && q < 1/smallQ) || q != 1 && math.Abs(1-q) < smallQ {
		return nil, false
	}
	return newLawPatchwork(e, p, []orbit{newOrbit(q, 1)}, 1/q, finely), true
}

// LawPatchwork takes spheres and cylinders, clean or patchy.
func (Quick) LawPatchwork(e Emission, p Patches, g Geometry) (Patchy, bool) {
	orbits, mean, ok := orbitsOf(g)
	if !ok || e.Band != (Band{}) {
		return nil, false
	}
	return newLawPatchwork(e, p, orbits, mean, roughly), true
}

// care is how finely a lawPatchwork is worked out.
type care struct {
	rule gauss
	// reach in deviations is where a normal density ends. panel in deviations of the barrier and warm in kT bound the width of a panel,
	// and bend does in deviations of what is left of the spread at a given barrier.
	reach, panel, warm, bend float64
	within                   Tolerance
}

var (
	finely  = care{gauss16, normalReach, 1.5, 4, 2, Tolerance{Absolute: math.Inf(1), Relative: 1e-10, Floor: 1e-19}}
	roughly = care{gauss8, quickReach, 3, 8, 6, Tolerance{Absolute: math.Inf(1), Relative: 1e-5, Floor: 1e-12}}
)

// lawPatchwork is the mean of the spheres' closed form over the barriers. As in
// Patchwork the barrier is normal, and given a barrier b the excess is normal with
// the mean Em + follow (b - B); the mean over it is taken once, into a table of the
// emission's G, and that over b for each share, since G has no mirror image here that
// would spare it.
type lawPatchwork struct {
	kind       kind
	thermal    float64
	spread     float64
	follow     float64
	left       float64
	orbits     []orbit
	throughout float64
	care       care
	beyond     *smoothLaw
	// slope is that of beyond, for a point emitter.
	slope *smoothLaw
}

func newLawPatchwork(e Emission, p Patches, orbits []orbit, throughout float64, c care) *lawPatchwork {
	w := &lawPatchwork{
		thermal: e.Thermal, spread: math.Hypot(p.Emitter, p.Collector),
		orbits: orbits, throughout: throughout, care: c,
	}
	if w.spread > 0 {
		w.follow = (p.Emitter / w.spread) * (p.Emitter / w.spread)
		w.left = p.Emitter * p.Collector / w.spread
	}
	w.beyond = newSmoothLaw(e, w.left, 0, c)
	switch q := orbits[0].q; {
	case q == 0:
		w.kind = point
		w.slope = newSmoothLaw(e, w.left, 1, c)
	case q == 1:
		w.kind = plane
	case q > 1:
		w.kind = smallCollector
	}
	return w
}

// Total returns the mean of Emission.Total over the emitter's patches.
func (w *lawPatchwork) Total(excess float64) float64 {
	return w.mean(excess, 0, func(excess, _ float64) float64 { return w.beyond.at(excess) })
}

// Collection returns the collected share for a mean excess in eV.
func (w *lawPatchwork) Collection(excess float64) Collection {
	return &lawPatchwise{w, excess, w.Total(excess)}
}

// lawPatchwise is a lawPatchwork under light of one photon energy.
type lawPatchwise struct {
	*lawPatchwork
	excess, total float64
}

// Share returns the share, which is taken as exact.
func (p *lawPatchwise) Share(barrier float64) (share, standardError float64) {
	if p.total == 0 {
		return 0, 0
	}
	if p.kind != smallCollector && barrier <= -p.care.reach*p.spread {
		return 1, 0
	}
	return min(max(p.mean(p.excess, barrier, p.crossing)/p.total, 0), 1), 0
}

// crossing returns in eV^2 the current of an excess over a barrier in eV.
func (w *lawPatchwork) crossing(excess, barrier float64) float64 {
	if barrier <= 0 {
		current := w.beyond.at(excess)
		if w.kind == smallCollector {
			current -= w.turned(excess, barrier)
		}
		return current
	}
	straight := w.beyond.at(excess - barrier)
	switch w.kind {
	case plane:
		return straight
	case point:
		return straight + barrier*w.slope.at(excess-barrier)
	case smallCollector:
		return straight * w.throughout
	}
	return straight*w.throughout - w.turned(excess, barrier)
}

// turned returns in eV^2 what is left out for the electrons that turn round the
// middle.
func (w *lawPatchwork) turned(excess, barrier float64) float64 {
	var sum float64
	for i := range w.orbits {
		o := &w.orbits[i]
		sum += o.loss * w.beyond.at(excess-barrier*o.steep)
	}
	return sum
}

// mean returns that of a function of excess and barrier over the patches.
func (w *lawPatchwork) mean(excess, barrier float64, f func(excess, barrier float64) float64) float64 {
	if w.spread == 0 {
		return f(excess, barrier)
	}
	ends, n := w.corners(excess, barrier)
	// A corner at an end of a panel asks for its points to crowd there, which
	// x = s^2 (3 - 2s) makes them.
	var sum float64
	for i := 1; i < n; i++ {
		low, high := ends[i-1], ends[i]
		panels := math.Ceil(min((high-low)/w.panel(), mostPanels))
		step := (high - low) / panels
		for k := range int(panels) {
			start := low + step*float64(k)
			for j, s := range w.care.rule.x {
				b := start + step*s*s*(3-2*s)
				z := (b - barrier) / w.spread
				sum += step * w.care.rule.weight[j] * 6 * s * (1 - s) * math.Exp(-z*z/2) * f(excess+w.follow*(b-barrier), b)
			}
		}
	}
	return sum / (w.spread * math.Sqrt(2*math.Pi))
}

// corners returns the ends of the range of barriers in eV and those between where
// the current is not smooth, or bends within a few kT.
func (w *lawPatchwork) corners(excess, barrier float64) (ends [6]float64, n int) {
	reach := w.care.reach * w.spread
	ends[0], ends[1], n = barrier-reach, barrier+reach, 2
	add := func(b float64) {
		if b > barrier-reach && b < barrier+reach {
			ends[n] = b
			n++
		}
	}
	add(0)
	start := excess - w.follow*barrier
	if w.follow > 0 {
		add(-start / w.follow)
	}
	if w.follow < 1 {
		add(start / (1 - w.follow))
	}
	if steep := w.orbits[0].steep; len(w.orbits) == 1 && w.kind != plane && steep != w.follow {
		add(start / (steep - w.follow))
	}
	slices.Sort(ends[:n])
	return ends, n
}

// panel returns the width in eV over which the current is nearly a polynomial
// between corners.
func (w *lawPatchwork) panel() float64 {
	width := w.care.panel * w.spread
	if scale := max(w.care.warm*w.thermal, w.care.bend*w.left); scale > 0 {
		if len(w.orbits) == 1 && w.kind != plane {
			scale *= min(1/math.Abs(w.orbits[0].steep), 1)
		}
		width = min(width, scale)
	}
	return width
}

// smoothLaw is the mean over a normal spread of an emission's G, or of its slope by
// the distance to the edge, read off from a table.
type smoothLaw struct {
	emission  Emission
	deviation float64
	order     int
	care      care
	// sharp is what is smoothed, if anything is.
	sharp, table *Piecewise
}

// lawReach in eV is the end of the tables: no photon of a bench has more.
const lawReach = 8

func newSmoothLaw(e Emission, deviation float64, order int, c care) *smoothLaw {
	s := &smoothLaw{emission: e, deviation: deviation, order: order, care: c}
	beyond := c.reach * deviation
	low := -reach*e.Thermal - beyond - 1e-9
	if deviation > 0 {
		finer := c.within
		finer.Relative /= 10
		s.sharp = NewPiecewise(s.past, low-beyond, lawReach+beyond, finer)
	}
	s.table = NewPiecewise(s.mean, low, lawReach, c.within)
	return s
}

// at returns the mean about y in eV.
func (s *smoothLaw) at(y float64) float64 {
	if s.table.Holds(y) {
		return max(s.table.At(y), 0)
	}
	if y < 0 {
		return 0
	}
	return s.mean(y)
}

// past returns what is smoothed.
func (s *smoothLaw) past(y float64) float64 { return s.emission.past(y, s.order) }

// mean is the mean about y in eV.
func (s *smoothLaw) mean(y float64) float64 {
	if s.deviation == 0 {
		return s.past(y)
	}
	beyond := s.care.reach * s.deviation
	low, high := y-beyond, y+beyond
	if s.emission.Thermal == 0 {
		low = max(low, 0)
	}
	width := 2 * s.deviation
	if s.emission.Thermal > 0 {
		width = min(width, s.care.warm*s.emission.Thermal)
	}
	panels := math.Ceil(max(high-low, 0) / width)
	step := (high - low) / panels
	var sum float64
	for k := range int(panels) {
		start := low + step*float64(k)
		for i, x := range s.care.rule.x {
			// As in lawPatchwork.mean.
			u := start + step*x*x*(3-2*x)
			z := (u - y) / s.deviation
			sum += s.care.rule.weight[i] * 6 * x * (1 - x) * step * math.Exp(-z*z/2) * s.unsmoothed(u)
		}
	}
	return sum / (s.deviation * math.Sqrt(2*math.Pi))
}

// unsmoothed is past, from its table.
func (s *smoothLaw) unsmoothed(y float64) float64 {
	if s.sharp.Holds(y) {
		return max(s.sharp.At(y), 0)
	}
	return s.past(y)
}
