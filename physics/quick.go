package physics

import "math"

// Quick is the transport for benches of which each serves a few runs: it makes
// no tables of its own, and its shares are right to 1 % above 1e-4 of the
// saturation, mostly to a thousand times better. It takes clean and patchy spheres and
// cylinders; for whatever else it is Quadrature.
type Quick struct{ Quadrature }

var _ PatchTransport = Quick{}

const (
	// quickReach is the number of standard deviations beyond which a normal
	// variable has less than one part in 10^7.
	quickReach = 5.3
	// quickBright and quickSupport are in deviations of a spread and a
	// temperature together: that above which a mean excess leaves no Fermi tail,
	// and that below which nothing is left of one.
	quickBright, quickSupport = 5, 7
	// quickGap is the distance of q from 0 and 1 up to which it is taken as
	// that.
	quickGap = 1e-3
	// quickAzimuths over the ratio of the radii is the number of azimuths that
	// stand for a quarter of a circle: the mean of 1/Q over them is right to
	// exp(-4 quickAzimuths).
	quickAzimuths = 2.5
	// leastAzimuths and mostAzimuths bound it. A wire so thin that it needs
	// more is left to Quadrature.
	leastAzimuths, mostAzimuths = 8, 64
)

// Negligible returns the share of the current below which a line of the light
// may be left out.
func (Quick) Negligible() float64 { return 1e-6 }

// Patchwork returns the electrodes, also clean ones.
func (Quick) Patchwork(thermal float64, p Patches, g Geometry) (Patchy, bool) {
	orbits, mean, ok := orbitsOf(g)
	if !ok {
		return nil, false
	}
	s := math.Hypot(p.Emitter, p.Collector)
	w := &quickwork{
		thermal: thermal, patches: p, spread: s, throughout: mean,
		emitter:   newSpreadFowler(thermal, p.Emitter),
		collector: newSpreadFowler(thermal, p.Collector),
		orbits:    orbits,
	}
	w.conditional = w.collector
	if s > 0 {
		w.follow = (p.Emitter / s) * (p.Emitter / s)
		w.conditional = newSpreadFowler(thermal, p.Emitter*p.Collector/s)
	}
	switch q := w.orbits[0].q; {
	case q == 0:
		w.kind = point
		w.gap = 1
	case q == 1:
		w.kind = plane
	case q > 1:
		w.kind = smallCollector
	}
	for i := range w.orbits {
		o := &w.orbits[i]
		if o.q == 0 || o.q == 1 {
			continue
		}
		o.reduced = newSpreadFowler(thermal, math.Hypot(o.q*p.Emitter, p.Collector)/math.Abs(1-o.q))
		w.gap += o.weight * o.steep
	}
	return w, true
}

// orbitsOf returns the spheres that a geometry is the mean of, and the mean of
// their 1/q.
func orbitsOf(g Geometry) (orbits []orbit, mean float64, ok bool) {
	switch g := g.(type) {
	case Spheres:
		q := g.q()
		switch {
		case math.IsInf(q, 1):
			return nil, 0, false
		case q < quickGap:
			return []orbit{{}}, 1, true
		case math.Abs(1-q) < quickGap:
			return []orbit{{q: 1}}, 1, true
		}
		return []orbit{newOrbit(q, 1)}, 1 / q, true
	case Cylinders:
		q := g.q()
		if math.Abs(1-q) < quickGap {
			return []orbit{{q: 1}}, 1, true
		}
		n := max(leastAzimuths, math.Ceil(quickAzimuths/min(g.RadiusRatio, 1/g.RadiusRatio)))
		if n > mostAzimuths {
			return nil, 0, false
		}
		for i := range int(n) {
			sin, cos := math.Sincos(math.Pi / 2 * (float64(i) + 0.5) / n)
			orbits = append(orbits, newOrbit(sin*sin+q*cos*cos, 1/n))
		}
		return orbits, 1 / g.RadiusRatio, true
	}
	return nil, 0, false
}

// orbit is one of the spheres that a geometry is the mean of.
type orbit struct {
	q float64
	// weight is its share, loss that times |1-q|/q, and steep is 1/(1-q).
	weight, loss, steep float64
	reduced             spreadFowler
}

func newOrbit(q, weight float64) orbit {
	return orbit{q: q, weight: weight, loss: weight * math.Abs(1-q) / q, steep: 1 / (1 - q)}
}

// kind says which formula holds on either side of B = 0.
type kind int

const (
	// largeCollector is that of q below 1, smallCollector that above.
	largeCollector kind = iota
	smallCollector
	point
	plane
)

// quickwork is the Patchwork of Quick. See there for the formulas.
type quickwork struct {
	kind           kind
	thermal        float64
	patches        Patches
	spread, follow float64
	// throughout is the mean of 1/q over the orbits, and gap that of 1/(1-q).
	throughout, gap                 float64
	emitter, collector, conditional spreadFowler
	orbits                          []orbit
}

// Total returns the mean of Emission.Total over the emitter's patches in eV^2.
func (w *quickwork) Total(excess float64) float64 { return w.emitter.at(excess) }

// Collection returns the collected share for a mean excess in eV.
func (w *quickwork) Collection(excess float64) Collection {
	return &quickwise{w, excess, w.Total(excess)}
}

// quickwise is a quickwork under light of one photon energy.
type quickwise struct {
	*quickwork
	excess, total float64
}

// Share returns the share, which is taken as exact.
func (p *quickwise) Share(barrier float64) (share, standardError float64) {
	if p.total == 0 {
		return 0, 0
	}
	var current float64
	reach := quickReach * p.spread
	if barrier <= -reach || barrier < 0 && p.kind == smallCollector {
		current = p.accelerated(p.excess, barrier)
	} else {
		current = p.retarded(p.excess, barrier)
	}
	if math.Abs(barrier) < reach {
		current += p.change(barrier)
	}
	return min(max(current/p.total, 0), 1), 0
}

// retarded returns in eV^2 the mean current by the formula for B > 0.
func (w *quickwork) retarded(excess, barrier float64) float64 {
	rest := excess - barrier
	current := w.collector.at(rest) * w.throughout
	switch w.kind {
	case largeCollector:
		for i := range w.orbits {
			o := &w.orbits[i]
			current -= o.loss * o.reduced.at(excess-barrier*o.steep)
		}
	case point:
		c := w.patches.Collector
		current += barrier*w.collector.slope(rest) - c*c*w.collector.bend(rest)
	}
	return current
}

// accelerated returns in eV^2 the mean current by the formula for B < 0.
func (w *quickwork) accelerated(excess, barrier float64) float64 {
	current := w.emitter.at(excess)
	if w.kind == smallCollector {
		for i := range w.orbits {
			o := &w.orbits[i]
			current -= o.loss * o.reduced.at(excess-barrier*o.steep)
		}
	}
	return current
}

// change returns in eV^2 the mean, over the pairs of patches with B < 0, of what
// the formula there is more than that for B > 0.
//
// With g(y) = (y^2 + v^2)/2 - g(-y) the squares give moments of a truncated
// normal distribution, and what is left decays where all is bright.
func (p *quickwise) change(barrier float64) float64 {
	if p.spread == 0 {
		return 0
	}
	reach := quickReach * p.spread
	// The excess at b is start + follow b.
	start := p.excess - p.follow*barrier
	n := truncated{g: &p.conditional, barrier: barrier, deviation: p.spread, low: barrier - reach, high: min(barrier+reach, 0)}
	if p.kind == smallCollector {
		if barrier < 0 {
			n.low, n.high = 0, barrier+reach
			return p.changeAbove(n, start)
		}
		return p.changeWhole(n, start)
	}
	current := truncatedChange(barrier, p.spread, p.follow, p.excess, p.gap, p.kind == plane)
	if p.excess < quickBright*p.emitter.deviation {
		current += p.changeBelow(n, start)
	}
	return current
}

// changeBelow returns what is left for B < 0.
func (p *quickwise) changeBelow(n truncated, start float64) float64 {
	current := -n.mean(-start, -p.follow)
	if p.kind == point {
		return current + n.pointMean(-start, 1-p.follow)
	}
	current += p.throughout * n.mean(-start, 1-p.follow)
	if p.kind == largeCollector {
		current -= n.orbitMean(p.orbits, -start, -p.follow, 1)
	}
	return current
}

// changeWhole is change for a small collector in front of a retarding barrier,
// where electrons that leave at a grazing angle may be too slow for it and the
// squares would not cancel well.
func (p *quickwise) changeWhole(n truncated, start float64) float64 {
	current := n.mean(start, p.follow) - p.throughout*n.mean(start, p.follow-1)
	return current - n.orbitMean(p.orbits, start, p.follow, -1)
}

// changeAbove is change for a small collector with the parts of B < 0 and B > 0
// exchanged: what the current is more than that by the formula for B < 0.
func (p *quickwise) changeAbove(n truncated, start float64) float64 {
	// The moments above zero are those below zero of the mirrored barrier.
	current := -truncatedChange(-n.barrier, p.spread, 0, 0, p.gap, false)
	current += n.mean(-start, -p.follow) - p.throughout*n.mean(-start, 1-p.follow)
	return current - n.orbitMean(p.orbits, -start, -p.follow, 1)
}

// truncated is a normal distribution of barriers between two ends in eV, and
// what is averaged over it.
type truncated struct {
	g                             *spreadFowler
	barrier, deviation, low, high float64
}

// mean returns the mean of g(start + slope b) in eV^2.
func (n *truncated) mean(start, slope float64) float64 {
	low, high, knee := n.support(start, slope)
	return n.integral(low, knee, start, slope) + n.integral(knee, high, start, slope)
}

// support returns the ends of where g(start + slope b) is not negligible, and
// where it bends.
func (n *truncated) support(start, slope float64) (low, high, knee float64) {
	low, high = n.low, n.high
	// Beyond this many deviations nothing is left of g.
	end := -quickSupport * n.g.deviation
	switch {
	case slope == 0:
		if start < end {
			high = low
		}
		return low, high, low
	case slope > 0:
		low = max(low, (end-start)/slope)
	default:
		high = min(high, (end-start)/slope)
	}
	return low, max(low, high), min(max(-start/slope, low), max(low, high))
}

// integral integrates g and the normal density from low to high, on panels over
// which the density is a polynomial to about 1e-6.
func (n *truncated) integral(low, high, start, slope float64) float64 {
	var sum float64
	for high-low > 1e-12 {
		end := min(low+3*n.deviation, high)
		for i, x := range gauss8.x {
			b := low + (end-low)*x
			z := (b - n.barrier) / n.deviation
			sum += gauss8.weight[i] * (end - low) * math.Exp(-z*z/2) * n.g.at(start+slope*b)
		}
		low = end
	}
	return sum / (n.deviation * math.Sqrt(2*math.Pi))
}

// orbitMean returns the sum over orbits of their loss times the mean of
// g(start + (slope + turn steep) b). Where there are many, they smooth each
// other's knees, and share the nodes.
func (n *truncated) orbitMean(orbits []orbit, start, slope, turn float64) float64 {
	if len(orbits) == 1 {
		return orbits[0].loss * n.mean(start, slope+turn*orbits[0].steep)
	}
	var sum float64
	// Most of the density lies near the end at the barrier.
	for low := n.low; n.high-low > 1e-12; {
		end := min(low+2*n.deviation, n.high)
		for k, x := range gauss8.x {
			b := low + (end-low)*x
			z := (b - n.barrier) / n.deviation
			weight := gauss8.weight[k] * (end - low) * math.Exp(-z*z/2)
			for i := range orbits {
				o := &orbits[i]
				sum += weight * o.loss * n.g.at(start+(slope+turn*o.steep)*b)
			}
		}
		low = end
	}
	return sum / (n.deviation * math.Sqrt(2*math.Pi))
}

// pointMean returns the mean of g(y) - b g'(y), y = start + slope b, in eV^2.
func (n *truncated) pointMean(start, slope float64) float64 {
	low, high, knee := n.support(start, slope)
	part := func(low, high float64) float64 {
		return integrate(low, high, func(b float64) float64 {
			z, y := (b-n.barrier)/n.deviation, start+slope*b
			return math.Exp(-z*z/2) * (n.g.at(y) - b*n.g.slope(y))
		})
	}
	return (part(low, knee) + part(knee, high)) / (n.deviation * math.Sqrt(2*math.Pi))
}
