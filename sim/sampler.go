package sim

import (
	"math"

	"stopvolt/physics"
)

// Sampler draws electrons of one emission, exactly: also the tail beyond Em,
// which rounds the knee, follows the Fermi distribution, to less than one
// electron in 10^16. What a Band changes is done by rejection, and so is the escape of
// the electrons that lose energy on their way to the surface (see physics.Loss).
//
// The Fermi function F(E) is the probability that a logistic variable of mean
// Em and scale kT lies above E. The density E F(E) is therefore that of
// E = L sqrt(U), with U uniform and L > 0 of density L^2 logistic(L).
// L is drawn by strips of equal width: under the density each strip holds a
// rectangle, and on it a thin wedge that is drawn by rejection (J. von Neumann,
// 1951). All rectangles and wedges stand in one alias table.
//
// The density E (Em - E)^m of a film of exponent m is that of E = Em (1 - X), with X
// the product of powers 1/(m+1) and 1/(m+2) of two uniform numbers: X is then a beta
// variable of parameters m + 1 and 2.
type Sampler struct {
	emission physics.Emission
	// simple says that there are neither Band nor Film nor losses, and first and
	// second are the powers of a film.
	simple        bool
	first, second float64
	// origin is the lower end of the strips in eV, from the same as
	// (L - Em)/kT, and width their width in units of kT.
	origin, from, width float64
	rows                [2 * strips]row
	// low and high are the least and the greatest density of each strip.
	low, high [strips]float64
}

const (
	rowBits = 11
	strips  = 1 << (rowBits - 1)
	// reach is how far the strips go to either side of Em in units of kT.
	reach = 40
)

// row is a row of the alias table, for L in eV: with v uniform,
// L = start + v*slope, of the own cell where v < keep and of the donor
// elsewhere.
type row struct {
	keep         float64
	start, slope [2]float64
	// wedge is one more than the strip whose wedge the cell is; 0 is a
	// rectangle.
	wedge [2]int64
}

// NewSampler returns a sampler of the electrons of e. From a cold emitter at or
// below its threshold there are none; such a sampler returns electrons at rest.
func NewSampler(e physics.Emission) *Sampler {
	if e.Thermal == 0 {
		e.Excess = max(e.Excess, 0)
	}
	s := &Sampler{emission: e, origin: max(e.Excess-reach*e.Thermal, 0), from: -reach}
	s.simple = e.Band == (physics.Band{}) && e.Film == (physics.Film{}) && e.Loss.Share == 0
	s.first, s.second = 1/(e.Film.Exponent+1), 1/(e.Film.Exponent+2)
	if s.origin == 0 && e.Thermal > 0 {
		s.from = -e.Excess / e.Thermal
	}
	s.width = (reach - min(s.from, 0)) / strips
	mode := s.mode()
	weights := make([]float64, 2*strips)
	for i := range strips {
		left, right := s.edge(i), s.edge(i+1)
		s.low[i] = min(s.density(left), s.density(right))
		s.high[i] = max(s.density(left), s.density(right))
		if left <= mode && mode <= right {
			s.high[i] = s.density(mode) * (1 + 1e-12)
		}
		weights[i], weights[strips+i] = s.low[i], s.high[i]-s.low[i]
	}
	for i, cell := range newAlias(weights) {
		s.rows[i] = s.row(cell)
	}
	return s
}

// edge returns the lower end of a strip as (L - origin)/kT.
func (s *Sampler) edge(strip int) float64 { return float64(strip) * s.width }

// density returns that of x = (L - origin)/kT, up to a factor that keeps it from
// vanishing far below the threshold.
func (s *Sampler) density(x float64) float64 {
	l := 1.0
	if s.origin == 0 {
		l = x
	} else {
		l += s.emission.Thermal / s.origin * x
	}
	t := math.Abs(x + s.from)
	fall := t
	if s.from > 0 {
		fall = x
	}
	fermi := 1 + math.Exp(-t)
	return l * l * math.Exp(-fall) / (fermi * fermi)
}

// mode returns where the density is greatest, which has one peak, since both
// factors are log-concave.
func (s *Sampler) mode() float64 {
	low, high := s.edge(0), s.edge(strips)
	for range 100 {
		third := (high - low) / 3
		if s.density(low+third) < s.density(high-third) {
			low += third
		} else {
			high -= third
		}
	}
	return (low + high) / 2
}

// row returns a row of the table of cells, of which the first half are
// rectangles and the second half wedges, as a map from v to L.
func (s *Sampler) row(cell aliasRow) row {
	r := row{keep: cell.keep}
	for side, c := range [2]struct {
		cell       int
		from, size float64
	}{{cell.own, 0, cell.keep}, {cell.second, cell.keep, 1 - cell.keep}} {
		strip := c.cell % strips
		if c.cell >= strips {
			r.wedge[side] = int64(strip) + 1
		}
		if c.size > 0 {
			r.slope[side] = s.emission.Thermal * s.width / c.size
		}
		r.start[side] = s.origin + s.emission.Thermal*s.edge(strip) - r.slope[side]*c.from
	}
	return r
}

// Energy returns the total kinetic energy in eV of the next electron.
func (s *Sampler) Energy(src *Stream) float64 {
	for {
		energy := s.inside(src)
		if kept := s.emission.Kept(energy); kept < 1 && half(src.Uint64()) >= kept {
			continue
		}
		if s.emission.Loss.Share == 0 || energy == 0 {
			return energy
		}
		if energy, escapes := s.losing(energy, src); escapes {
			return energy
		}
	}
}

// inside draws the energy in eV of an electron that loses nothing.
func (s *Sampler) inside(src *Stream) float64 {
	if s.emission.Film == (physics.Film{}) {
		return s.limit(src) * math.Sqrt(half(src.Uint64()))
	}
	bits := src.Uint64()
	return s.emission.Excess * (1 - math.Pow(half(bits), s.first)*math.Pow(half(bits>>32), s.second))
}

// losing lets an electron that would leave with an energy in eV lose some of it, and
// says whether it then escapes still: the cone of directions through which it does
// is as wide as its energy.
func (s *Sampler) losing(energy float64, src *Stream) (left float64, escapes bool) {
	loss, bits := s.emission.Loss, src.Uint64()
	if half(bits) >= loss.Share {
		return energy, true
	}
	left = energy + loss.Energy*math.Log(half(bits>>32))
	return left, left > 0 && half(src.Uint64())*energy < left
}

// limit draws L in eV.
func (s *Sampler) limit(src *Stream) float64 {
	for {
		bits := src.Uint64()
		r := &s.rows[bits>>(64-rowBits)]
		v := float64(bits<<rowBits>>11) * 0x1p-53
		side := 0
		if v >= r.keep {
			side = 1
		}
		l := r.start[side] + v*r.slope[side]
		if wedge := r.wedge[side]; wedge == 0 || s.inWedge(int(wedge)-1, l, src) {
			return l
		}
	}
}

// inWedge decides whether L in eV lies under the density in the wedge of a
// strip.
func (s *Sampler) inWedge(strip int, l float64, src *Stream) bool {
	x := s.edge(strip)
	if s.emission.Thermal > 0 {
		x = (l - s.origin) / s.emission.Thermal
	}
	height := s.low[strip] + (s.high[strip]-s.low[strip])*half(src.Uint64())
	return height < s.density(x)
}

// half returns a uniform number above zero and below one, made of the lower 32
// of the bits.
func half(bits uint64) float64 { return (float64(uint32(bits)) + 0.5) * 0x1p-32 }

// Tally draws n electrons, finds for each the barrier that just stops it in a
// geometry, and counts it in the cell of that barrier.
func (s *Sampler) Tally(src *Stream, g physics.Geometry, n int, cells *Cells) {
	if spheres, ok := g.(physics.Spheres); ok && s.simple {
		s.tallySpheres(src, spheres.RadiusRatio*spheres.RadiusRatio, n, cells)
		return
	}
	for range n {
		energy, bits := s.Energy(src), src.Uint64()
		if stop := g.Stop(energy, half(bits), half(bits>>32)); !math.IsInf(stop, -1) {
			cells.add(stop)
		}
	}
}

// tallySpheres is Tally where an electron is stopped by the barrier
// E (1 - q sin^2(theta)), without a call through the interface for each.
func (s *Sampler) tallySpheres(src *Stream, q float64, n int, cells *Cells) {
	for range n {
		l, bits := s.limit(src), src.Uint64()
		cells.add(l * math.Sqrt(half(bits)) * (1 - q*half(bits>>32)))
	}
}
