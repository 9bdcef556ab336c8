package instrument

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"

	"stopvolt/physics"
)

// Surface is the metal of an electrode.
type Surface struct {
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
}

// Emitter is the electrode that the light is meant for.
type Emitter struct {
	Surface
	// Temperature is in K, not negative.
	Temperature float64
}

// Collector is the electrode opposite.
type Collector struct {
	Surface
	// Temperature is in K, not negative.
	Temperature float64
	// StrayLight is the fraction of the light that falls on the collector
	// instead of the emitter.
	StrayLight float64
	// EmitterCoating is the fraction of the collector's area that is covered
	// with the emitter's metal, by evaporation.
	EmitterCoating float64
}

// patch is a piece of a surface with one work function and its share of the
// area.
type patch struct {
	workFunction, share float64
}

// patchNodes is the number of work functions that stand for a normal spread.
// For spreads up to four kT the mean over them is good to 1e-9, since the
// curves being averaged are smooth on the scale of kT.
const patchNodes = 48

// patches returns the nodes of the Gauss-Hermite rule for a normal spread.
func (s Surface) patches() []patch {
	if s.PatchSpread == 0 {
		return []patch{{s.WorkFunction, 1}}
	}
	x := make([]float64, patchNodes)
	weight := make([]float64, patchNodes)
	quad.Hermite{}.FixedLocations(x, weight, math.Inf(-1), math.Inf(1))
	patches := make([]patch, patchNodes)
	for i := range patches {
		patches[i] = patch{
			workFunction: s.WorkFunction + math.Sqrt2*s.PatchSpread*x[i],
			share:        weight[i] / math.Sqrt(math.Pi),
		}
	}
	return patches
}

// response is the number of electrons for each photon as a function of the
// photon's energy: by DuBridge's theory it goes as Emission.Total, scaled to
// the stated yield.
type response struct {
	thermal float64
	scale   float64
}

// response returns the photoelectric response of the surface at a temperature
// in K. The error says that the stated yield cannot be.
func (s Surface) response(w World, temperature float64) (response, error) {
	thermal := physics.ThermalEnergy(temperature)
	photon := physics.PhotonEnergy(w.HOverE, s.YieldWavelength)
	var total float64
	for _, p := range s.patches() {
		total += p.share * physics.Emission{Excess: photon - p.workFunction, Thermal: thermal}.Total()
	}
	if total == 0 || math.IsInf(s.Yield/total, 0) {
		return response{}, fmt.Errorf("light of %g nm (%.3g eV) ejects no electrons from a work function of %g eV at %g K, so it cannot have a yield of %g",
			s.YieldWavelength, photon, s.WorkFunction, temperature, s.Yield)
	}
	return response{thermal, s.Yield / total}, nil
}

// at returns the emission of a patch under photons of an energy in eV and the
// number of electrons for each photon.
func (r response) at(photon float64, p patch) (physics.Emission, float64) {
	e := physics.Emission{Excess: photon - p.workFunction, Thermal: r.thermal}
	return e, r.scale * e.Total()
}
