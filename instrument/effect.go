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
		{"reverse threshold", func(a Apparatus) Apparatus {
			a.Reverse.Threshold = 0
			return a
		}},
		{"reverse geometry", func(a Apparatus) Apparatus {
			a.Reverse.Geometry = nil
			return a
		}},
		{"stray light by wavelength", func(a Apparatus) Apparatus {
			a.Collector.StrayExponent = 0
			return a
		}},
		{"neighbour line", func(a Apparatus) Apparatus {
			return eachLight(a, withoutNeighbours)
		}},
		{"nominal wavelength", func(a Apparatus) Apparatus {
			return eachLight(a, func(l Light) Light {
				l.Nominal = l.Effective()
				return l
			})
		}},
		{"ambient light", func(a Apparatus) Apparatus {
			a.Ambient = Light{}
			return a
		}},
		{"thermionic emission", func(a Apparatus) Apparatus {
			a.Emitter.Area, a.Collector.Area = 0, 0
			return a
		}},
		{"reflection at the collector", func(a Apparatus) Apparatus {
			a.Collector.Reflection = physics.Reflection{}
			return a
		}},
		{"magnetic field", func(a Apparatus) Apparatus {
			if _, ok := a.Geometry.(physics.MagneticPlanes); ok {
				a.Geometry = physics.Spheres{RadiusRatio: 1}
			}
			return a
		}},
		{"emission beyond the threshold form", func(a Apparatus) Apparatus {
			a.Emitter.FermiEnergy = 0
			return a
		}},
		{"leakage", func(a Apparatus) Apparatus {
			a.Leakage = Leakage{}
			return a
		}},
		{"meter noise", func(a Apparatus) Apparatus {
			// The resistor stays, as it may be the burden.
			a.Meter.Temperature = 0
			return a
		}},
		{"meter offset", func(a Apparatus) Apparatus {
			a.Meter.Offset, a.Meter.OffsetSteps = 0, 0
			return a
		}},
		{"resolution", func(a Apparatus) Apparatus {
			a.Meter.Stepless = a.Meter.Steps > 0 || a.Meter.Resolution > 0 || a.Meter.Needle.Present()
			return a
		}},
		{"meter gain", func(a Apparatus) Apparatus {
			a.Meter.Gain = 0
			return a
		}},
		{"meter drift", func(a Apparatus) Apparatus {
			a.Meter.Drift, a.Meter.Flicker = 0, 0
			return a
		}},
		{"slow response", func(a Apparatus) Apparatus {
			a.Meter.Response = 0
			return a
		}},
		{"burden", func(a Apparatus) Apparatus {
			a.Meter.Burden, a.Meter.Shunt = 0, false
			return a
		}},
		{"full scale", func(a Apparatus) Apparatus {
			a.Meter.Endless = len(a.Meter.FullScales) > 0
			return a
		}},
		{"parallax", func(a Apparatus) Apparatus {
			a.Meter.Needle.Parallax = 0
			return a
		}},
		{"displacement current", func(a Apparatus) Apparatus {
			// What the insulation absorbs is stated relative to the
			// capacitance, and goes with it.
			a.Leads = Leads{}
			return a
		}},
		{"dielectric absorption", func(a Apparatus) Apparatus {
			a.Leads.Absorption = 0
			return a
		}},
		{"voltmeter error", func(a Apparatus) Apparatus {
			a.Voltmeter = Voltmeter{}
			return a
		}},
		{"supply error", func(a Apparatus) Apparatus {
			a.Supply.Offset, a.Supply.Gain = 0, 0
			return a
		}},
		{"supply ripple", func(a Apparatus) Apparatus {
			a.Supply.Ripple = 0
			return a
		}},
		{"mains hum", func(a Apparatus) Apparatus {
			a.Mains.Hum = 0
			return a
		}},
		{"lamp warm-up", func(a Apparatus) Apparatus {
			a.Lamp.WarmUp = 0
			return a
		}},
		{"lamp drift", func(a Apparatus) Apparatus {
			a.Lamp.Drift = 0
			return a
		}},
		{"lamp flicker", func(a Apparatus) Apparatus {
			a.Lamp.Flicker = 0
			return a
		}},
		{"lamp ripple", func(a Apparatus) Apparatus {
			a.Lamp.Ripple = 0
			return a
		}},
	}
}

// eachLight changes every setting of the light.
func eachLight(a Apparatus, change func(Light) Light) Apparatus {
	lights := make([]Light, len(a.Lights))
	for i, l := range a.Lights {
		lights[i] = change(l)
	}
	a.Lights = lights
	return a
}

// monochromatic gives each setting all its power at its nominal wavelength.
func monochromatic(a Apparatus) Apparatus {
	return eachLight(a, func(l Light) Light {
		l.Lines, l.Flux = []physics.SpectralLine{{Wavelength: l.Nominal, Weight: 1}}, power(l.Spectrum())
		l.Filter, l.Neutral = Filter{}, 1
		return l
	})
}

// withoutNeighbours leaves a setting the lines that it is meant to have.
func withoutNeighbours(l Light) Light {
	var kept []physics.SpectralLine
	for _, line := range l.Spectrum() {
		if l.belongs(line.Wavelength) {
			kept = append(kept, line)
		}
	}
	l.Lines, l.Flux = kept, power(kept)
	l.Filter, l.Neutral = Filter{}, 1
	return l
}

// power returns that of lines together in W.
func power(lines []physics.SpectralLine) float64 {
	var sum float64
	for _, line := range lines {
		sum += line.Weight
	}
	return sum
}
