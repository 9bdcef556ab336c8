package sim

import "stopvolt/instrument/run"

// Dark stands for a setting of the light when the shutter is closed.
const Dark = -1

// stage is one curve of a plan.
type stage struct {
	// light is the setting, counted from zero, or Dark.
	light int
	// curve has the name and the wavelength of the curve, and no readings.
	curve run.Curve
	// voltages are in the order of the plan.
	voltages []float64
}

// stages returns the curves of the bench's plan in the order in which they are
// taken.
func (b *Bench) stages() []stage {
	p := b.apparatus.Plan
	dark := func(when string) stage {
		return stage{Dark, run.Curve{Setting: "dark " + when, Dark: true}, p.Voltages(p.Start)}
	}
	var stages []stage
	if p.DarkCurves {
		stages = append(stages, dark("before"))
	}
	for i, l := range b.apparatus.Lights {
		stages = append(stages, stage{i, run.Curve{Setting: l.Name, Wavelength: l.Nominal}, p.Voltages(b.knee(i))})
	}
	if p.DarkCurves {
		stages = append(stages, dark("after"))
	}
	return stages
}

// kneeShare is the part of a curve's height at which a person who looks it
// through would say that it bends (common practice, no source).
const kneeShare = 0.05

// knee returns the voltage in V about which a curve bends, as a first look at
// it shows: where the current has come down to a small part of its fall.
func (b *Bench) knee(light int) float64 {
	p := b.apparatus.Plan
	if p.FineWidth == 0 {
		// Nobody asks where it is.
		return p.Start
	}
	at := func(v float64) float64 { return b.currents[light].At(v).Net() }
	end := at(p.Stop)
	level := end + kneeShare*(at(p.Start)-end)
	low, high := p.Start, p.Stop
	for high-low > p.Step/64 {
		middle := (low + high) / 2
		if at(middle) > level {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}
