package physics

import (
	"math"
	"slices"
)

// Reflection is the throwing back of slow electrons by the surface that they
// arrive at. An electron that arrives with the kinetic energy K of its motion
// towards the surface is thrown back with the probability
//
//	Share exp(-K/Energy).
//
// W. B. Nottingham (Phys. Rev. 49, 78 (1936), from memory) found Share = 1 and
// Energy = 0.191 eV for thoriated tungsten; clean metals throw back less.
//
// In a symmetrical gap K is what the electron has left of the barrier that
// would just stop it, so that with S(B) the share that crosses, the collected
// share is
//
//	(1 - Share) S(B) + Share/Energy integral over t > 0 of S(B + t) exp(-t/Energy) dt.
//
// Electrons thrown back return to the emitter or end on the glass.
type Reflection struct {
	// Share is the probability at no energy, from 0 to 1; 0 is none.
	Share float64
	// Energy is in eV, above zero.
	Energy float64
}

// Of returns a collection less what is thrown back. The electrons have the
// thermal energy kT in eV, and none crosses a barrier above top in eV.
func (r Reflection) Of(c Collection, thermal, top float64) Collection {
	if top <= 0 {
		// Electrons at rest have nothing to arrive with.
		return reflected{crossing: c, reflection: r, step: r.Energy, mean: []float64{0}}
	}
	out := reflected{crossing: c, reflection: r, step: r.Energy}
	if thermal > 0 {
		out.step = min(out.step, fermiPanel*thermal)
	}
	// The edges are multiples of the step, among them zero and the top, where a
	// cold share has corners.
	out.step = top / math.Ceil(min(top/out.step, 1000))
	out.lowest = -math.Ceil(40*r.Energy/out.step) * out.step
	n := int(math.Round((top-out.lowest)/out.step)) + 1
	out.mean = make([]float64, n)
	for i := n - 2; i >= 0; i-- {
		low := out.lowest + float64(i)*out.step
		out.mean[i] = out.slice(low, low+out.step) + math.Exp(-out.step/r.Energy)*out.mean[i+1]
	}
	return out
}

// reflected is a collection less what is thrown back.
type reflected struct {
	crossing   Collection
	reflection Reflection
	// mean has the integral without Share at the edges, which begin at lowest
	// and are a step apart.
	lowest, step float64
	mean         []float64
}

// slice returns the integral of S(t) exp(-(t - low)/Energy)/Energy from low to
// high.
func (r reflected) slice(low, high float64) float64 {
	energy := r.reflection.Energy
	return integrate(low, high, func(t float64) float64 {
		share, _ := r.crossing.Share(t)
		return share * math.Exp(-(t-low)/energy) / energy
	})
}

// Share returns the share that is collected.
func (r reflected) Share(barrier float64) (share, standardError float64) {
	share, standardError = r.crossing.Share(barrier)
	return (1-r.reflection.Share)*share + r.reflection.Share*r.smoothed(barrier), standardError
}

// smoothed returns the integral at a barrier.
func (r reflected) smoothed(barrier float64) float64 {
	energy := r.reflection.Energy
	place := math.Floor((barrier-r.lowest)/r.step) + 1
	if place >= float64(len(r.mean)) {
		return 0
	}
	if place >= 1 {
		edge := r.lowest + place*r.step
		return r.slice(barrier, edge) + math.Exp(-(edge-barrier)/energy)*r.mean[int(place)]
	}
	// Far below: 40 energies up, or to the lowest edge.
	end := min(barrier+40*energy, r.lowest)
	edges := []float64{end}
	for edge := end - r.step; edge > barrier; edge -= r.step {
		edges = append(edges, edge)
	}
	edges = append(edges, barrier)
	slices.Reverse(edges)
	var sum float64
	for i := 1; i < len(edges); i++ {
		sum += math.Exp(-(edges[i-1]-barrier)/energy) * r.slice(edges[i-1], edges[i])
	}
	if end == r.lowest {
		sum += math.Exp(-(end-barrier)/energy) * r.mean[0]
	}
	return sum
}
