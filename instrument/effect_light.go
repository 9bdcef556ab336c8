package instrument

import (
	"math"

	"stopvolt/physics"
)

// The effects of what light arrives at the cell.
const (
	BandAndMultiplet  EffectID = "band and multiplet"
	NeighbourLine     EffectID = "neighbour line"
	ShiftOfLine       EffectID = "shift of a line"
	NominalWavelength EffectID = "nominal wavelength"
	AmbientLight      EffectID = "ambient light"
)

func bandAndMultiplet() Effect {
	return Effect{
		ID:    BandAndMultiplet,
		Place: RoundsKnee + 30,
		Keys:  []string{"light.NAME.source", "light.NAME.filter.width_nm", "light.NAME.filter.peak"},
		Off: func(a Apparatus) Apparatus {
			return eachLight(a, monochromatic)
		},
		Numbers: func(a Apparatus, l Light) map[string]float64 {
			low, high := photonSpan(a.World, l)
			return map[string]float64{"span": high - low}
		},
	}
}

func neighbourLine() Effect {
	return Effect{
		ID:    NeighbourLine,
		Place: RoundsKnee + 50,
		Keys:  []string{"light.NAME.source", "light.NAME.filter.blocking", "light.NAME.filter.width_nm"},
		Off: func(a Apparatus) Apparatus {
			return eachLight(a, withoutNeighbours)
		},
		Numbers: func(_ Apparatus, l Light) map[string]float64 {
			return map[string]float64{"blocking": l.Filter.Blocking}
		},
	}
}

func nominalWavelength() Effect {
	return Effect{
		ID:    NominalWavelength,
		Place: RoundsKnee + 40,
		Keys:  []string{"light.NAME.nominal_nm", "light.NAME.source", "light.NAME.filter.centre_nm"},
		Off: func(a Apparatus) Apparatus {
			return eachLight(a, func(l Light) Light {
				l.Nominal = l.Effective()
				return l
			})
		},
		Numbers: func(a Apparatus, l Light) map[string]float64 {
			h, effective := a.World.HOverE, l.Effective()
			return map[string]float64{
				"nominal": l.Nominal, "effective": effective,
				"off": physics.PhotonEnergy(h, effective) - physics.PhotonEnergy(h, l.Nominal),
			}
		},
	}
}

func shiftOfLine() Effect {
	return Effect{
		ID:    ShiftOfLine,
		Place: RoundsKnee + 65,
		Keys:  []string{"light.NAME.shift_V"},
		Off: func(a Apparatus) Apparatus {
			return eachLight(a, func(l Light) Light {
				l.Shift = 0
				return l
			})
		},
		Numbers: func(_ Apparatus, l Light) map[string]float64 {
			return map[string]float64{"shift": l.Shift}
		},
	}
}

func ambientLight() Effect {
	return Effect{
		ID:    AmbientLight,
		Place: AddsCurrent + 40,
		Keys:  []string{"ambient.source", "ambient.flux_W"},
		Off: func(a Apparatus) Apparatus {
			a.Ambient = Light{}
			return a
		},
		Numbers: func(a Apparatus, _ Light) map[string]float64 {
			return map[string]float64{"power": power(a.Ambient.Spectrum())}
		},
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

// photonSpan returns the least and the greatest photon energy in eV of the lines
// that carry a thousandth of a light's power or more.
func photonSpan(w World, l Light) (low, high float64) {
	spectrum := l.Spectrum()
	least := power(spectrum) / 1000
	low, high = math.Inf(1), math.Inf(-1)
	for _, line := range spectrum {
		if line.Weight >= least {
			e := physics.PhotonEnergy(w.HOverE, line.Wavelength)
			low, high = min(low, e), max(high, e)
		}
	}
	return low, high
}
