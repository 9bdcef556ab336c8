package knee

import (
	"math"
	"reflect"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"stopvolt/instrument"
	"stopvolt/physics"
	"stopvolt/sim"
)

// Energies is a histogram of kinetic energies on leaving the emitter.
type Energies struct {
	// Edges are the bounds of the bins in eV, rising, one more than there are
	// Counts of electrons.
	Edges, Counts []float64
}

// part is the electrons of one spectral line from one kind of patch.
type part struct {
	emission physics.Emission
	// weight is proportional to the current that they carry.
	weight float64
}

// patchKinds is the number of work functions that stand for the patches of the
// emitter, from -patchReach to patchReach standard deviations.
const (
	patchKinds = 41
	patchReach = 4.
)

// parts returns those of the light on the emitter of an apparatus.
func parts(a instrument.Apparatus, l instrument.Light) []part {
	kinds := 1
	if a.Emitter.PatchSpread > 0 {
		kinds = patchKinds
	}
	thermal := physics.ThermalEnergy(a.Emitter.Temperature)
	pieces := a.Emitter.Pieces()
	var all []part
	for _, piece := range pieces {
		// One piece's alone needs no scale.
		scale := 1.0
		if len(pieces) > 1 {
			scale = piece.Response(a.World, thermal)
		}
		for _, line := range l.Spectrum() {
			photon := physics.PhotonEnergy(a.World.HOverE, line.Wavelength)
			photons := scale * line.Weight / photon
			for k := range kinds {
				var z float64
				if kinds > 1 {
					z = patchReach * (2*float64(k)/float64(kinds-1) - 1)
				}
				e := piece.Emission(photon, piece.WorkFunction, thermal)
				e.Excess -= z * piece.PatchSpread
				if e.Band != (physics.Band{}) {
					e.Band.Depth = e.Band.Fermi + photon - e.Excess
				}
				all = append(all, part{e, photons * e.Total() * math.Exp(-z*z/2)})
			}
		}
	}
	return seen(all)
}

// seen leaves out the parts that carry too little to be seen in a histogram.
func seen(all []part) []part {
	const least = 1e-5
	var sum float64
	for _, p := range all {
		sum += p.weight
	}
	return slices.DeleteFunc(all, func(p part) bool { return p.weight <= least*sum })
}

// energies draws the electrons of each step that changes them.
func (b Build) energies(s *Steps) error {
	lines := func(step Step) []part { return parts(step.Apparatus, step.Apparatus.Lights[b.Setting]) }
	highest := 0.0
	for _, step := range s.Steps {
		for _, p := range lines(step) {
			highest = max(highest, p.emission.Excess+8*p.emission.Thermal)
		}
	}
	edges := bins(highest)
	var before []part
	for i := range s.Steps {
		now := lines(s.Steps[i])
		if i > 0 && reflect.DeepEqual(now, before) {
			continue
		}
		before = now
		s.Steps[i].Energies = b.draw(now, edges, i)
	}
	return nil
}

// bins returns edges of a round width from zero to beyond an energy in eV.
func bins(highest float64) []float64 {
	const most = 80
	width := 0.01
	for _, wider := range []float64{0.02, 0.025, 0.05, 0.1, 0.2} {
		if highest/width > most {
			width = wider
		}
	}
	var edges []float64
	for i := 0; i == 0 || edges[i-1] < highest || i < 3; i++ {
		edges = append(edges, float64(i)*width)
	}
	return edges
}

// draw draws electrons and counts them by their energies; what lies beyond the
// last edge is left out. The number of each part is a Poisson number, as light
// makes it.
func (b Build) draw(all []part, edges []float64, step int) *Energies {
	e := &Energies{Edges: edges, Counts: make([]float64, len(edges)-1)}
	var sum float64
	for _, p := range all {
		sum += p.weight
	}
	if sum == 0 {
		return e
	}
	width := edges[1] - edges[0]
	src := sim.NewStream(sim.StreamName{Seed: b.Seed, Replicate: step, Purpose: "energies for a histogram"})
	for _, p := range all {
		mean := float64(b.Electrons) * p.weight / sum
		if mean == 0 {
			continue
		}
		sampler := sim.NewSampler(p.emission)
		for range int(distuv.Poisson{Lambda: mean, Src: src}.Rand()) {
			if bin := int(sampler.Energy(src) / width); bin < len(e.Counts) {
				e.Counts[bin]++
			}
		}
	}
	return e
}
