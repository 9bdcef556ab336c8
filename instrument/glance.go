package instrument

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"

	"stopvolt/physics"
)

// A Glance is the light's currents at single voltages, where a MeanCurrent,
// which knows them at all, costs too much: a scenario may state the current at
// 0 V, and a population has thousands of benches. It is right to a part in a
// hundred where most of the electrons arrive.
type Glance struct {
	apparatus Apparatus
	// outward and backward are the two ways; there may be none back.
	outward, backward []glanced
}

// glanced is a way across the gap from one surface to one.
type glanced struct {
	from, to Surface
	geometry physics.Geometry
	thermal  float64
	// scale in electrons for each photon over the emission's Total has the
	// shares of both surfaces in it.
	scale float64
}

// Glance returns the currents of an apparatus at single voltages, and whether
// it can be looked at in this way: not where electrons are traced, thrown back or
// leave by another law than that of the threshold.
func (a Apparatus) Glance() (Glance, bool) {
	reverse := a.Geometry.Reversed()
	if a.Reverse.Geometry != nil {
		reverse = a.Reverse.Geometry
	}
	if !simple(a.Geometry) || !simple(reverse) || a.Collector.Reflection.Share > 0 || !a.Emitter.ordinary() {
		return Glance{}, false
	}
	coated := a.Collector.EmitterCoating
	bare := a.Collector.Surface
	if a.Reverse.Threshold > 0 {
		bare.WorkFunction = a.Reverse.Threshold
	}
	out, back := physics.ThermalEnergy(a.Emitter.Temperature), physics.ThermalEnergy(a.Collector.Temperature)
	g := Glance{apparatus: a}
	for _, piece := range a.Emitter.Pieces() {
		g.outward = a.ways(g.outward, piece.Surface, a.Collector.Surface, a.Geometry, out, (1-coated)*piece.Share)
		g.outward = a.ways(g.outward, piece.Surface, a.Emitter.Surface, a.Geometry, out, coated*piece.Share)
		if a.Collector.StrayLight > 0 {
			g.backward = a.ways(g.backward, bare, piece.Surface, reverse, back, (1-coated)*piece.Share)
			g.backward = a.ways(g.backward, a.Emitter.Surface, piece.Surface, reverse, back, coated*piece.Share)
		}
	}
	return g, true
}

// simple reports whether a geometry is one of those whose shares are quick.
func simple(g physics.Geometry) bool {
	switch g.(type) {
	case physics.Spheres, physics.Cylinders:
		return true
	}
	return false
}

// ways adds the way between two surfaces, of a share.
func (a Apparatus) ways(ways []glanced, from, to Surface, g physics.Geometry, thermal, share float64) []glanced {
	photon := physics.PhotonEnergy(a.World.HOverE, from.YieldWavelength)
	total := meanTotal(photon-from.WorkFunction, from.PatchSpread, thermal)
	if share == 0 || !(total > 0) {
		return ways
	}
	return append(ways, glanced{from, to, g, thermal, share * from.Yield / total})
}

// glanceNodes are enough for a normal spread of barriers, whose kink at zero is
// what converges slowly.
const glanceNodes = 13

// normalNodes are those of the Gauss-Hermite rule for a normal distribution about
// zero with a standard deviation of one.
var normalNodes, normalWeights = func() (x, weight []float64) {
	x, weight = make([]float64, glanceNodes), make([]float64, glanceNodes)
	quad.Hermite{}.FixedLocations(x, weight, math.Inf(-1), math.Inf(1))
	for i := range x {
		x[i] *= math.Sqrt2
		weight[i] /= math.Sqrt(math.Pi)
	}
	return x, weight
}()

// meanTotal is the mean of Emission.Total over the patches.
func meanTotal(excess, spread, thermal float64) float64 {
	if spread == 0 {
		return physics.Emission{Excess: excess, Thermal: thermal}.Total()
	}
	var sum float64
	for i, z := range normalNodes {
		sum += normalWeights[i] * physics.Emission{Excess: excess + spread*z, Thermal: thermal}.Total()
	}
	return sum
}

// minor is the part of the strongest line's power below which a line is taken
// without patches, and negligible that below which it is left out.
const minor, negligible = 0.05, 1e-5

// At returns the mean currents in A that the light of a setting drives at a
// voltage in V, without ambient light, warmth and leakage.
func (g Glance) At(l Light, retarding float64) (forward, reverse float64) {
	a := g.apparatus
	lines := l.Spectrum()
	var strongest float64
	for _, line := range lines {
		strongest = max(strongest, line.Weight)
	}
	for _, line := range joined(lines) {
		// A fast neighbour carries a few times the electrons of its power.
		if line.Weight < negligible*strongest {
			continue
		}
		photon := physics.PhotonEnergy(a.World.HOverE, line.Wavelength)
		stray := a.Collector.Stray(line.Wavelength)
		for _, w := range g.outward {
			forward += (1 - stray) * line.Weight / photon * w.current(photon, retarding+l.Shift, line.Weight >= minor*strongest)
		}
		for _, w := range g.backward {
			// Far from its knee the patches do not matter.
			reverse += stray * line.Weight / photon * w.current(photon, -retarding-l.Shift, false)
		}
	}
	return forward, reverse
}

// Rough returns the forward current in A of the setting's strongest line without
// patches and coating, for telling bright settings from dim ones.
func (g Glance) Rough(l Light, retarding float64) float64 {
	var strongest physics.SpectralLine
	for _, line := range l.Spectrum() {
		if line.Weight > strongest.Weight {
			strongest = line
		}
	}
	if len(g.outward) == 0 || strongest.Weight == 0 {
		return 0
	}
	photon := physics.PhotonEnergy(g.apparatus.World.HOverE, strongest.Wavelength)
	return strongest.Weight / photon * g.outward[0].current(photon, retarding+l.Shift, false)
}

// joined takes neighbouring lines of a multiplet for one line at their mean.
func joined(lines []physics.SpectralLine) []physics.SpectralLine {
	const gap = 2 // nm
	kept := lines[:0]
	for _, line := range lines {
		if n := len(kept); n > 0 && math.Abs(kept[n-1].Wavelength-line.Wavelength) < gap {
			last := &kept[n-1]
			sum := last.Weight + line.Weight
			last.Wavelength += (line.Wavelength - last.Wavelength) * line.Weight / sum
			last.Weight = sum
			continue
		}
		kept = append(kept, line)
	}
	return kept
}

// current returns the current in A of one way for each ampere of photons of an
// energy in eV.
func (w *glanced) current(photon, retarding float64, patchy bool) float64 {
	excess, barrier := photon-w.from.WorkFunction, retarding+w.to.WorkFunction-w.from.WorkFunction
	spread := math.Hypot(w.from.PatchSpread, w.to.PatchSpread)
	if spread == 0 {
		return w.scale * w.arriving(excess, barrier)
	}
	if !patchy {
		return w.scale * w.arriving(broadened(excess, w.from.PatchSpread), barrier)
	}
	// Given a barrier the excess is normal again.
	follow := w.from.PatchSpread * w.from.PatchSpread / (spread * spread)
	rest := w.from.PatchSpread * w.to.PatchSpread / spread
	var sum float64
	for i, z := range normalNodes {
		sum += normalWeights[i] * w.arriving(broadened(excess+follow*spread*z, rest), barrier+spread*z)
	}
	return w.scale * sum
}

// broadened returns the excess whose square is the mean square of a normal one:
// far above the threshold the current is proportional to the square.
func broadened(excess, spread float64) float64 {
	if excess <= 0 {
		return excess
	}
	return math.Hypot(excess, spread)
}

// arriving returns in eV^2 the current between two patches.
func (w *glanced) arriving(excess, barrier float64) float64 {
	e := physics.Emission{Excess: excess, Thermal: w.thermal}
	total := e.Total()
	if !(total > 0) {
		return 0
	}
	switch g := w.geometry.(type) {
	case physics.Spheres:
		return total * g.Share(e, barrier)
	case physics.Cylinders:
		return total * w.roundCylinder(e, g.RadiusRatio, barrier)
	}
	return 0
}

// roundCylinder returns the share of a pair of cylinders, which is the mean of
// those of spheres over the azimuth phi (see physics.Cylinders). The mean over a
// period converges as fast as the poles of the integrand are far; with
// tan(phi) = sqrt(ratio) tan(psi) those of the share and of the weight are
// equally far.
func (w *glanced) roundCylinder(e physics.Emission, ratio, barrier float64) float64 {
	azimuths := 4 + int(1.8*math.Abs(math.Log(ratio)))
	var sum float64
	for i := range azimuths {
		sine, cosine := math.Sincos(math.Pi / 2 * (float64(i) + 0.5) / float64(azimuths))
		sine, cosine = ratio*sine*sine, cosine*cosine
		q := (sine + ratio*ratio*cosine) / (sine + cosine)
		sum += math.Sqrt(ratio) / (sine + cosine) * physics.Spheres{RadiusRatio: math.Sqrt(q)}.Share(e, barrier)
	}
	return sum / float64(azimuths)
}
