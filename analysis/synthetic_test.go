package analysis

import (
	"math"

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
