package instrument

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"

	"stopvolt/physics"
)

// Surface is the metal of an electrode.
type Surface struct {
	// Law says how electrons leave it.
	Law
	// WorkFunction is the mean over the area in eV.
	WorkFunction float64
	// PatchSpread is the standard deviation in eV of the work function over
	// the area, not negative: a real surface is a patchwork of crystal faces
	// and of more or less adsorbate. The patches are taken as larger than the
	// gap, so that each sees its own barrier.
	PatchSpread float64
	// Yield is the number of electrons for each photon of YieldWavelength, in
	// nm in standard air. A surface that no light falls on needs neither.
	Yield, YieldWavelength float64
	// Area in cm^2 is that from which heat drives electrons; 0 is a surface
	// without thermionic emission.
	Area float64
}

// Emitter is the electrode that the light is meant for.
type Emitter struct {
	Surface
	// Temperature is in K, not negative.
	Temperature float64
	// Second is another surface on a part of the area.
	Second Part
}

// Part is a surface on a part of the emitter: a thin layer of caesium on the base
// metal, or metal that a film leaves bare. It is larger than the gap, as patches are,
// and has the spread, the losses and the heat of the rest. The zero Part is none.
type Part struct {
	// Share is that of the emitter's area and of the light on it, from 0 to 1.
	Share float64
	// WorkFunction is in eV, and Yield in electrons for each photon at the
	// wavelength of the emitter's, on this part alone.
	WorkFunction, Yield float64
	// Film and FilmEdge are as in Law.
	Film     physics.Film
	FilmEdge float64
}

// second returns the surface of the second part.
func (e Emitter) second() Surface {
	s := e.Surface
	s.WorkFunction, s.Yield = e.Second.WorkFunction, e.Second.Yield
	s.Film, s.FilmEdge = e.Second.Film, e.Second.FilmEdge
	return s
}

// A Piece is a surface and the share of its electrode's area that it has.
type Piece struct {
	Surface
	Share float64
}

// Pieces returns those of the emitter that have a share of it.
func (e Emitter) Pieces() []Piece {
	switch e.Second.Share {
	case 0:
		return []Piece{{e.Surface, 1}}
	case 1:
		return []Piece{{e.second(), 1}}
	}
	return []Piece{{e.Surface, 1 - e.Second.Share}, {e.second(), e.Second.Share}}
}

// Response returns the electrons of the piece for each photon on the electrode over
// the emission's Total, for kT in eV; of a yield that cannot be it is none.
func (p Piece) Response(w World, thermal float64) float64 {
	scale, err := p.response(w, thermal, nil)
	if err != nil {
		return 0
	}
	return p.Share * scale
}

// Scaled returns the emitter in a world whose photons have so many times the energy:
// what decides which light frees electrons goes with it. The spread of the work
// function stays.
func (e Emitter) Scaled(times float64) Emitter {
	e.WorkFunction *= times
	e.FilmEdge *= times
	e.Loss.Energy *= times
	e.Second.WorkFunction *= times
	e.Second.FilmEdge *= times
	return e
}

// Collector is the electrode opposite.
type Collector struct {
	Surface
	// Temperature is in K, not negative.
	Temperature float64
	// StrayLight is the fraction of the light that falls on the collector
	// instead of the emitter, at StrayWavelength in nm in standard air. Light
	// of another wavelength has the fraction
	//
	//	StrayLight (StrayWavelength/wavelength)^StrayExponent,
	//
	// and at most all of it: scattering by what is small against the
	// wavelength has an exponent of 4 (Lord Rayleigh, 1871). An exponent of 0
	// needs no StrayWavelength.
	StrayLight, StrayExponent, StrayWavelength float64
	// Reflection is that of slow electrons which arrive from the emitter.
	Reflection physics.Reflection
	// EmitterCoating is the fraction of the collector's area that is covered
	// with the emitter's metal, by evaporation.
	EmitterCoating float64
}

// Stray returns the fraction of the light of a wavelength in nm in standard air
// that falls on the collector.
func (c Collector) Stray(wavelength float64) float64 {
	if c.StrayExponent == 0 {
		return c.StrayLight
	}
	return min(c.StrayLight*math.Pow(c.StrayWavelength/wavelength, c.StrayExponent), 1)
}

// patch is a piece of a surface with one work function and its share of the
// area.
type patch struct {
	workFunction, share float64
}

// mostNodes is the largest number of work functions that stand for a normal
// spread, and leastNodes the smallest. The curves being averaged are smooth on
// the scale of kT, so that the number grows with the square of the spread over
// kT.
const leastNodes, mostNodes = 12, 48

// patches returns the nodes of the Gauss-Hermite rule for a normal spread, fine
// enough for a thermal energy in eV.
func (s Surface) patches(thermal float64) []patch {
	if s.PatchSpread == 0 {
		return []patch{{s.WorkFunction, 1}}
	}
	n := mostNodes
	if wide := s.PatchSpread / thermal; leastNodes*wide*wide < mostNodes {
		n = max(leastNodes, int(leastNodes*wide*wide))
	}
	x := make([]float64, n)
	weight := make([]float64, n)
	quad.Hermite{}.FixedLocations(x, weight, math.Inf(-1), math.Inf(1))
	patches := make([]patch, n)
	for i := range patches {
		patches[i] = patch{
			workFunction: s.WorkFunction + math.Sqrt2*s.PatchSpread*x[i],
			share:        weight[i] / math.Sqrt(math.Pi),
		}
	}
	return patches
}

// response returns the number of electrons for each photon over the emission's
// Total, which by DuBridge's theory does not depend on the photon energy, for
// kT in eV; work is the patchy surface if it is made ready. The error says that the
// stated yield cannot be.
func (s Surface) response(w World, thermal float64, work physics.Patchy) (float64, error) {
	photon := physics.PhotonEnergy(w.HOverE, s.YieldWavelength)
	var total float64
	if work != nil {
		total = work.Total(photon - s.Threshold(s.WorkFunction))
	} else {
		for _, p := range s.patches(0) {
			total += p.share * s.Emission(photon, p.workFunction, thermal).Total()
		}
	}
	if total == 0 || math.IsInf(s.Yield/total, 0) {
		return 0, fmt.Errorf("light of %g nm (%.3g eV) ejects no electrons from a work function of %g eV where kT is %.3g eV, so it cannot have a yield of %g",
			s.YieldWavelength, photon, s.Threshold(s.WorkFunction), s.Smearing(thermal), s.Yield)
	}
	return s.Yield / total, nil
}
