package instrument

import "stopvolt/physics"

// An Effect is one cause that rounds the knee or moves the cutoff.
type Effect struct {
	// Name is what the trade calls it.
	Name string
	// Remedy is a sentence about what to change at the bench.
	Remedy string
	// Off returns the apparatus without the effect. The argument is not
	// changed.
	Off func(Apparatus) Apparatus
}

// Effects returns those that an apparatus can have, each with its off.
func Effects() []Effect {
	return []Effect{
		{"thermal smearing", "Cool the cell if you can; else fit the knee with its temperature, for no reading of one point is free of it.", func(a Apparatus) Apparatus {
			a.Emitter.Temperature, a.Collector.Temperature = 0, 0
			return a
		}},
		{"angular spread", "Use a small emitter inside a large collector, or a method that does not take the steep part for the cutoff.", func(a Apparatus) Apparatus {
			a.Geometry = physics.Spheres{}
			return a
		}},
		{"band and multiplet", "Use narrower filters or a monochromator, and give the mean wavelength of what arrives.", func(a Apparatus) Apparatus {
			return eachLight(a, monochromatic)
		}},
		{"contact potential", "Nothing to do for the slope; do not read the emitter's work function from the intercept.", func(a Apparatus) Apparatus {
			a.Collector.WorkFunction = a.Emitter.WorkFunction
			return a
		}},
		{"patches", "Clean or renew the electrodes; the mean cutoff moves little, the knee gets rounder.", func(a Apparatus) Apparatus {
			a.Emitter.PatchSpread, a.Collector.PatchSpread = 0, 0
			return a
		}},
		{"emitter metal on the collector", "Warm the collector gently, as the maker of the cell allows, to drive the coating off it.", func(a Apparatus) Apparatus {
			a.Collector.EmitterCoating = 0
			return a
		}},
		{"reverse emission", "Keep the light off the collector by a stop or a lens, or fit the reverse plateau instead of crossing zero.", func(a Apparatus) Apparatus {
			a.Collector.StrayLight = 0
			return a
		}},
		{"reverse threshold", "A collector that red light cannot set free electrons from has no reverse current there; mind that it differs from line to line.", func(a Apparatus) Apparatus {
			a.Reverse.Threshold = 0
			return a
		}},
		{"reverse geometry", "Take the reverse plateau where it is flat, well beyond the cutoff.", func(a Apparatus) Apparatus {
			a.Reverse.Geometry = nil
			return a
		}},
		{"stray light by wavelength", "Stop the beam down until no colour reaches the collector.", func(a Apparatus) Apparatus {
			a.Collector.StrayExponent = 0
			return a
		}},
		{"neighbour line", "Put a coloured glass behind the interference filter, so that the faster electrons of a shorter line do not spoil the cutoff.", func(a Apparatus) Apparatus {
			return eachLight(a, withoutNeighbours)
		}},
		{"nominal wavelength", "Plot against the mean wavelength of what arrives, not against the number on the filter's rim.", func(a Apparatus) Apparatus {
			return eachLight(a, func(l Light) Light {
				l.Nominal = l.Effective()
				return l
			})
		}},
		{"ambient light", "Darken the room, and take a dark curve.", func(a Apparatus) Apparatus {
			a.Ambient = Light{}
			return a
		}},
		{"thermionic emission", "Cool the cell, and take a dark curve.", func(a Apparatus) Apparatus {
			a.Emitter.Area, a.Collector.Area = 0, 0
			return a
		}},
		{"reflection at the collector", "A blackened collector turns fewer electrons back.", func(a Apparatus) Apparatus {
			a.Collector.Reflection = physics.Reflection{}
			return a
		}},
		{"magnetic field", "Turn the cell so that its axis lies along the field, or shield it.", func(a Apparatus) Apparatus {
			if _, ok := a.Geometry.(physics.MagneticPlanes); ok {
				a.Geometry = physics.Spheres{RadiusRatio: 1}
			}
			return a
		}},
		{"emission beyond the threshold form", "Nothing at the bench; see how much the fits lean on their law.", func(a Apparatus) Apparatus {
			a.Emitter.FermiEnergy = 0
			return a
		}},
		{"leakage", "Clean and dry the glass and the socket, guard the lead, and take a dark curve.", func(a Apparatus) Apparatus {
			a.Leakage = Leakage{}
			return a
		}},
		{"meter noise", "Average longer, or use a larger feedback resistor.", func(a Apparatus) Apparatus {
			// The resistor stays, as it may be the burden.
			a.Meter.Temperature = 0
			return a
		}},
		{"meter offset", "Zero the meter with the shutter closed before each curve.", func(a Apparatus) Apparatus {
			a.Meter.Offset, a.Meter.OffsetSteps = 0, 0
			return a
		}},
		{"resolution", "Use a more sensitive range, or more light.", func(a Apparatus) Apparatus {
			a.Meter.Stepless = a.Meter.Steps > 0 || a.Meter.Resolution > 0 || a.Meter.Needle.Present()
			return a
		}},
		{"meter gain", "Nothing to do for the cutoff: all currents are scaled alike.", func(a Apparatus) Apparatus {
			a.Meter.Gain = 0
			return a
		}},
		{"meter drift", "Let the meter warm up, and zero it often.", func(a Apparatus) Apparatus {
			a.Meter.Drift, a.Meter.Flicker = 0, 0
			return a
		}},
		{"slow response", "Wait some time constants after each step.", func(a Apparatus) Apparatus {
			a.Meter.Response = 0
			return a
		}},
		{"burden", "Use a meter with a virtual earth, or less light.", func(a Apparatus) Apparatus {
			a.Meter.Burden, a.Meter.Shunt = 0, false
			return a
		}},
		{"full scale", "Use a less sensitive range, or less light.", func(a Apparatus) Apparatus {
			// A meter without full scales is endless already.
			a.Meter.Endless = a.Meter.Endless || len(a.Meter.FullScales) > 0
			return a
		}},
		{"parallax", "Read the needle over its own image in the mirror.", func(a Apparatus) Apparatus {
			a.Meter.Needle.Parallax = 0
			return a
		}},
		{"displacement current", "Wait after each step until the dial's own current has gone.", func(a Apparatus) Apparatus {
			// What the insulation absorbs is stated relative to the
			// capacitance, and goes with it.
			a.Leads = Leads{}
			return a
		}},
		{"dielectric absorption", "Wait longer after a large step, and sweep in one direction.", func(a Apparatus) Apparatus {
			a.Leads.Absorption = 0
			return a
		}},
		{"voltmeter error", "Check the voltmeter against a better one; its gain error is an error of h/e.", func(a Apparatus) Apparatus {
			a.Voltmeter = Voltmeter{}
			return a
		}},
		{"supply error", "Believe the voltmeter and not the dial.", func(a Apparatus) Apparatus {
			a.Supply.Offset, a.Supply.Gain = 0, 0
			return a
		}},
		{"supply ripple", "Filter the supply, or use a battery.", func(a Apparatus) Apparatus {
			a.Supply.Ripple = 0
			return a
		}},
		{"mains hum", "Average over whole cycles of the mains, and screen the lead.", func(a Apparatus) Apparatus {
			a.Mains.Hum = 0
			return a
		}},
		{"lamp warm-up", "Let the lamp burn for a quarter of an hour before the first reading.", func(a Apparatus) Apparatus {
			a.Lamp.WarmUp = 0
			return a
		}},
		{"lamp drift", "Go up and down again, and take the mean.", func(a Apparatus) Apparatus {
			a.Lamp.Drift = 0
			return a
		}},
		{"lamp flicker", "Average longer, or repeat the readings.", func(a Apparatus) Apparatus {
			a.Lamp.Flicker = 0
			return a
		}},
		{"lamp ripple", "Average over whole cycles of the mains.", func(a Apparatus) Apparatus {
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

// monochromatic gives a setting all the power of its own lines at their
// effective wavelength. Neighbour lines stay.
func monochromatic(l Light) Light {
	own, neighbours := l.sorted()
	if len(own) < 2 {
		return l
	}
	return l.sending(append(neighbours, physics.SpectralLine{Wavelength: l.Effective(), Weight: power(own)}))
}

// withoutNeighbours leaves a setting the lines that it is meant to have.
func withoutNeighbours(l Light) Light {
	own, neighbours := l.sorted()
	if len(neighbours) == 0 {
		return l
	}
	return l.sending(own)
}

// power returns that of lines together in W.
func power(lines []physics.SpectralLine) float64 {
	var sum float64
	for _, line := range lines {
		sum += line.Weight
	}
	return sum
}
