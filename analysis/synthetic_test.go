package analysis

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"

	"stopvolt/instrument/run"
	"stopvolt/physics"
)

// A cell makes curves from the closed forms, without a meter.
type cell struct {
	radiusRatio              float64
	emitter, collector       float64 // work functions in eV
	temperature              float64
	reverse, leakage         float64 // A and A/V of the background
	from, to, step, greatest float64
}

// planePair is a pair of planes with a little leakage, swept in 61 steps.
func planePair() cell {
	return cell{radiusRatio: 1, emitter: 1.95, collector: 2.1, temperature: run.RoomTemperature,
		reverse: -4e-12, leakage: -1e-12, from: -0.5, to: 2.5, step: 0.05, greatest: 2e-9}
}

// cutoff is (hv - phi_c)/e in V.
func (c cell) cutoff(nm float64) float64 {
	return physics.PhotonEnergy(physics.HOverE, nm) - c.collector
}

// current is the current in A at a retarding voltage in V.
func (c cell) current(nm, v float64) float64 {
	e := physics.Emission{
		Excess:  physics.PhotonEnergy(physics.HOverE, nm) - c.emitter,
		Thermal: physics.ThermalEnergy(c.temperature),
	}
	share := physics.Spheres{RadiusRatio: c.radiusRatio}.Share(e, v+c.collector-c.emitter)
	return c.greatest*share + c.reverse + c.leakage*v
}

// curve is a sweep without noise.
func (c cell) curve(nm float64) run.Curve {
	out := run.Curve{Setting: "synthetic", Wavelength: nm}
	n := int(math.Round((c.to - c.from) / c.step))
	for k := range n + 1 {
		v := c.from + float64(k)*c.step
		out.Readings = append(out.Readings, run.Reading{Retarding: v, Current: c.current(nm, v)})
	}
	return out
}

// mercury are wavelengths in air in nm of five lines of mercury.
var mercury = []float64{365.015, 404.656, 435.833, 546.074, 576.960}

// source is a stream of random numbers for a seed.
func source(seed uint64) rand.Source { return rand.NewPCG(seed, 0) }

// noisy is a sweep with normal noise of a standard deviation sigma in A, read in
// steps of resolution in A unless that is 0. Each reading states its
// uncertainty, rounding included.
func (c cell) noisy(nm, sigma, resolution float64, src rand.Source) run.Curve {
	out := c.curve(nm)
	noise := distuv.Normal{Sigma: sigma, Src: src}
	for i := range out.Readings {
		r := &out.Readings[i]
		r.Current += noise.Rand()
		if resolution > 0 {
			r.Current = math.Round(r.Current/resolution) * resolution
		}
		r.Uncertainty = math.Sqrt(sigma*sigma + resolution*resolution/12)
	}
	return out
}

// run is a sweep without noise for each line of mercury.
func (c cell) run() run.Run {
	var r run.Run
	for _, nm := range mercury {
		r.Curves = append(r.Curves, c.curve(nm))
	}
	return r
}

// noisyRun is a run with noise, see noisy.
func (c cell) noisyRun(sigma, resolution float64, src rand.Source) run.Run {
	var r run.Run
	r.Facts.Resolution = resolution
	for _, nm := range mercury {
		r.Curves = append(r.Curves, c.noisy(nm, sigma, resolution, src))
	}
	return r
}

// runFacts are the facts of a meter of which only the resolution is known.
func runFacts(resolution float64) run.Facts { return run.Facts{Resolution: resolution} }
