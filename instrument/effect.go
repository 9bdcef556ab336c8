package instrument

import "stopvolt/physics"

// An Effect is one cause that rounds the knee or moves the cutoff.
type Effect struct {
	// Name is what the trade calls it.
	Name string
	// Off returns the apparatus without the effect. The argument is not
	// changed.
	Off func(Apparatus) Apparatus
}

// Effects returns those that an apparatus can have, each with its off.
func Effects() []Effect {
	return []Effect{
		{"thermal smearing", func(a Apparatus) Apparatus {
			a.Emitter.Temperature, a.Collector.Temperature = 0, 0
			return a
		}},
		{"angular spread", func(a Apparatus) Apparatus {
			a.Geometry = physics.Spheres{}
			return a
		}},
		{"band and multiplet", monochromatic},
		{"patches", func(a Apparatus) Apparatus {
			a.Emitter.PatchSpread, a.Collector.PatchSpread = 0, 0
			return a
		}},
		{"emitter metal on the collector", func(a Apparatus) Apparatus {
			a.Collector.EmitterCoating = 0
			return a
		}},
		{"reverse emission", func(a Apparatus) Apparatus {
			a.Collector.StrayLight = 0
			return a
		}},
		{"leakage", func(a Apparatus) Apparatus {
			a.Leakage = Leakage{}
			return a
		}},
		{"meter noise", func(a Apparatus) Apparatus {
			a.Meter.Feedback = 0
			return a
		}},
		{"meter offset", func(a Apparatus) Apparatus {
			a.Meter.Offset = 0
			return a
		}},
		{"resolution", func(a Apparatus) Apparatus {
			a.Meter.Resolution = 0
			return a
		}},
	}
}

// monochromatic gives each setting all its power at its nominal wavelength.
func monochromatic(a Apparatus) Apparatus {
	lights := make([]Light, len(a.Lights))
	for i, l := range a.Lights {
		var power float64
		for _, line := range l.Spectrum() {
			power += line.Weight
		}
		l.Lines = []physics.SpectralLine{{Wavelength: l.Nominal, Weight: 1}}
		l.Flux, l.Filter, l.Neutral = power, Filter{}, 1
		lights[i] = l
	}
	a.Lights = lights
	return a
}
