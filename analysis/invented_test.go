package analysis

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"

	"stopvolt/instrument/run"
	"stopvolt/physics"
)

// An inventedBench is a photocell with all that rounds a knee, its meter and the plan
// of its sweeps, drawn from the ranges that are common in teaching laboratories.
// The truth about it is known.
type inventedBench struct {
	// radiusRatio is that of emitter and collector, of spheres or cylinders.
	radiusRatio float64
	cylinders   bool
	// emitter and collector are work functions in eV.
	emitter, collector float64
	temperature        float64
	// digit is a step of the last digit in A, floor the noise of the meter in
	// A, and scatter that in proportion to the current.
	digit, floor, scatter float64
	// from, to and step are those of the sweeps in V.
	from, to, step float64
	// stated says that readings come with their uncertainty.
	stated bool
	// emitterPatch and collectorPatch are standard deviations of the work
	// functions in eV.
	emitterPatch, collectorPatch float64
	// brightest is the photocurrent of the brightest setting at zero volts in A,
	// reverseShare its reverse plateau over it, and leak the leakage in siemens.
	brightest, reverseShare, leak float64
	// flux is the light of each setting, and seeds those of their noise.
	flux  []float64
	seeds []uint64
	// mean are the mean currents by setting, once work was called.
	mean []func(v float64) float64
}

// invent draws a bench.
func invent(seed uint64) inventedBench {
	r := rand.New(rand.NewPCG(seed, 14))
	between := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	logBetween := func(low, high float64) float64 { return low * math.Pow(high/low, r.Float64()) }
	b := inventedBench{cylinders: r.IntN(2) == 1, temperature: between(290, 305)}
	if r.Float64() < 0.4 {
		b.radiusRatio = logBetween(0.224, 0.9)
	} else {
		b.radiusRatio = logBetween(1.1, 10)
	}
	b.emitter = between(1.2, 2)
	b.collector = physics.PhotonEnergy(physics.HOverE, mercury[4]) - between(0.05, 0.8)
	patch := func(sd float64) float64 { return min(math.Abs(sd*r.NormFloat64()), 0.2) }
	b.emitterPatch, b.collectorPatch = patch(0.05), patch(0.07)
	b.brightest, b.reverseShare = logBetween(1e-11, 1e-7), logBetween(1e-3, 0.1)
	b.leak = 1 / logBetween(1e10, 1e13)
	b.digit = b.brightest * logBetween(1e-4, 1e-2)
	b.floor = b.digit * between(0.1, 1)
	b.scatter = logBetween(0.001, 0.02)
	b.step = []float64{0.02, 0.04, 0.05, 0.1, 0.2, 0.25}[r.IntN(6)]
	b.from = []float64{0, -1, -3}[r.IntN(3)]
	b.stated = r.IntN(2) == 1
	top := physics.PhotonEnergy(physics.HOverE, mercury[0]) - b.collector
	b.to = math.Ceil((top+0.8)/b.step) * b.step
	for range mercury {
		b.flux = append(b.flux, logBetween(0.3, 1))
		b.seeds = append(b.seeds, r.Uint64())
	}
	return b
}

// half is half the step in V, as far as the grid goes.
func (b inventedBench) half() float64 { return math.Round(b.step/2/grid) * grid }

// work fills the mean currents of a setting, in proportion to the brightest, which
// is the first, or of all settings without one.
func (b *inventedBench) work(settings ...int) {
	var geometry physics.Geometry = physics.Spheres{RadiusRatio: b.radiusRatio}
	if b.cylinders {
		geometry = physics.Cylinders{RadiusRatio: b.radiusRatio}
	}
	kT := physics.ThermalEnergy(b.temperature)
	var forward, reverse float64
	if len(settings) == 0 {
		settings = []int{0, 1, 2, 3, 4}
	}
	out, back := make([]func(v float64) float64, len(mercury)), make([]func(v float64) float64, len(mercury))
	for k, nm := range mercury {
		if k > 0 && !slices.Contains(settings, k) {
			continue
		}
		photon := physics.PhotonEnergy(physics.HOverE, nm)
		out[k] = patched(b.flux[k], photon, kT, geometry, b.emitter, b.emitterPatch, b.collector, b.collectorPatch)
		back[k] = patched(b.flux[k], photon, kT, geometry.Reversed(), b.collector, 0, b.emitter, 0)
		if k == 0 {
			forward, reverse = out[k](0)/b.flux[k], back[k](-b.to)/b.flux[k]
		}
	}
	b.mean = make([]func(v float64) float64, len(mercury))
	for _, k := range settings {
		b.mean[k] = func(v float64) float64 {
			return b.brightest*(out[k](v)/forward-b.reverseShare*back[k](-v)/reverse) - b.leak*v
		}
	}
}

// patched returns the current that crosses a gap against the retarding voltage in
// V, averaged over the patches of both electrodes by quadrature.
func patched(flux, photon, kT float64, g physics.Geometry, near, nearPatch, far, farPatch float64) func(v float64) float64 {
	type beam struct {
		weight, contact float64
		current         func(barrier float64) float64
	}
	nodes := func(sd float64, n int) (x, w []float64) {
		if sd == 0 {
			return []float64{0}, []float64{1}
		}
		x, w = make([]float64, n), make([]float64, n)
		quad.Hermite{}.FixedLocations(x, w, math.Inf(-1), math.Inf(1))
		for i := range x {
			x[i], w[i] = x[i]*math.Sqrt2*sd, w[i]/math.Sqrt(math.Pi)
		}
		return x, w
	}
	var beams []beam
	xn, wn := nodes(nearPatch, 5)
	xf, wf := nodes(farPatch, 9)
	for i := range xn {
		current := crossing(physics.Emission{Excess: photon - near - xn[i], Thermal: kT}, g)
		for k := range xf {
			beams = append(beams, beam{flux * wn[i] * wf[k], far + xf[k] - near - xn[i], current})
		}
	}
	return func(v float64) (sum float64) {
		for _, b := range beams {
			sum += b.weight * b.current(v+b.contact)
		}
		return sum
	}
}

// crossing returns the electrons of an emission that cross a barrier in V, by a
// cubic between barriers where they were summed over their energies.
func crossing(e physics.Emission, g physics.Geometry) func(barrier float64) float64 {
	const energies = 160
	top := max(e.Excess, 0) + 25*e.Thermal
	at := func(barrier float64) (sum float64) {
		from := max(barrier, 0)
		if from >= top {
			return 0
		}
		// The middle of each of equal pieces.
		width := (top - from) / energies
		for k := range energies {
			energy := from + (float64(k)+0.5)*width
			sum += e.Density(energy) * g.Collected(energy, barrier) * width
		}
		return sum
	}
	fine, coarse := newGridded(at, -1.5, top+0.03, 0.01), newGridded(at, -24, -1.2, 0.1)
	return func(barrier float64) float64 {
		if barrier < -1.4 {
			return coarse.at(barrier)
		}
		return fine.at(barrier)
	}
}

// A gridded function is one that is known at equal distances.
type gridded struct {
	from, step float64
	values     []float64
}

func newGridded(f func(float64) float64, from, to, step float64) gridded {
	g := gridded{from: from, step: step}
	for v := from; v < to+step; v += step {
		g.values = append(g.values, f(v))
	}
	return g
}

// at returns the cubic through the four nearest values, and the last one beyond.
func (g gridded) at(v float64) float64 {
	x := (v - g.from) / g.step
	k := min(max(int(x), 1), len(g.values)-3)
	if x > float64(len(g.values)-1) {
		return g.values[len(g.values)-1]
	}
	t := x - float64(k)
	a, b, c, d := g.values[k-1], g.values[k], g.values[k+1], g.values[k+2]
	return -t*(t-1)*(t-2)/6*a + (t+1)*(t-1)*(t-2)/2*b - (t+1)*t*(t-2)/2*c + (t+1)*t*(t-1)/6*d
}

// grid is the smallest step in V that an inventedBench can sweep with.
const grid = 0.005

// sweep returns the curve of a setting from one voltage to another in V. A reading
// is the same in every sweep of the setting, apart from its digit, so that sweeps
// can be cut, extended and thinned.
func (b inventedBench) sweep(setting int, from, to, step, digit float64) run.Curve {
	out := run.Curve{Setting: colours[setting], Wavelength: mercury[setting]}
	every := int(math.Round(step / grid))
	for k := int(math.Round(from / grid)); float64(k)*grid <= to+1e-9; k += every {
		v := float64(k) * grid
		noise := rand.New(rand.NewPCG(b.seeds[setting], uint64(k+1e6)))
		mean := b.mean[setting](v)
		sigma := math.Hypot(b.floor, b.scatter*mean)
		i := mean + sigma*noise.NormFloat64()
		i = math.Round(i/digit) * digit
		reading := run.Reading{Retarding: v, Current: i}
		if b.stated {
			reading.Uncertainty = math.Sqrt(sigma*sigma + digit*digit/12)
		}
		out.Readings = append(out.Readings, reading)
	}
	return out
}

// colours are names of the settings.
var colours = []string{"ultraviolet", "violet", "blue", "green", "yellow"}
