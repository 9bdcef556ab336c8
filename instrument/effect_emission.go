package instrument

import "stopvolt/physics"

// The effects of how electrons leave the emitter.
const (
	ThermalSmearing         EffectID = "thermal smearing"
	ThermionicEmission      EffectID = "thermionic emission"
	EmissionBeyondThreshold EffectID = "emission beyond the threshold form"
	FilmEmission            EffectID = "emission of a film"
	InelasticLoss           EffectID = "inelastic loss"
)

func thermalSmearing() Effect {
	return Effect{
		ID:    ThermalSmearing,
		Place: RoundsKnee + 20,
		Keys:  []string{"emitter.temperature_K", "collector.temperature_K"},
		Off: func(a Apparatus) Apparatus {
			a.Emitter.Temperature, a.Collector.Temperature = 0, 0
			return a
		},
		Numbers: func(a Apparatus, _ Light) map[string]float64 {
			return map[string]float64{"temperature": a.Emitter.Temperature, "kT": physics.ThermalEnergy(a.Emitter.Temperature)}
		},
	}
}

func thermionicEmission() Effect {
	return Effect{
		ID:    ThermionicEmission,
		Place: AddsCurrent + 50,
		Keys:  []string{"emitter.area_cm2", "collector.area_cm2", "emitter.temperature_K", "collector.temperature_K"},
		Off: func(a Apparatus) Apparatus {
			a.Emitter.Area, a.Collector.Area = 0, 0
			return a
		},
		Numbers: func(a Apparatus, _ Light) map[string]float64 {
			return map[string]float64{"temperature": a.Emitter.Temperature}
		},
	}
}

func emissionBeyondThreshold() Effect {
	return Effect{
		ID:    EmissionBeyondThreshold,
		Place: RoundsKnee + 90,
		Keys:  []string{"emitter.fermi_energy_eV"},
		Off: func(a Apparatus) Apparatus {
			a.Emitter.FermiEnergy = 0
			return a
		},
		Numbers: func(a Apparatus, _ Light) map[string]float64 {
			return map[string]float64{"fermi": a.Emitter.FermiEnergy}
		},
	}
}

func filmEmission() Effect {
	return Effect{
		ID: FilmEmission,
		// Before the heat, which does nothing to a film.
		Place: RoundsKnee + 15,
		Keys:  []string{"emitter.film_exponent", "emitter.film_edge_eV"},
		Off: func(a Apparatus) Apparatus {
			a.Emitter.Film, a.Emitter.FilmEdge = physics.Film{}, 0
			return a
		},
		Numbers: func(a Apparatus, _ Light) map[string]float64 {
			return map[string]float64{"exponent": a.Emitter.Film.Exponent, "edge": a.Emitter.FilmEdge}
		},
	}
}

func inelasticLoss() Effect {
	return Effect{
		ID:    InelasticLoss,
		Place: RoundsKnee + 25,
		Keys:  []string{"emitter.loss", "emitter.loss_energy_eV"},
		Off: func(a Apparatus) Apparatus {
			a.Emitter.Loss = physics.Loss{}
			return a
		},
		Numbers: func(a Apparatus, _ Light) map[string]float64 {
			return map[string]float64{"share": a.Emitter.Loss.Share, "energy": a.Emitter.Loss.Energy}
		},
	}
}
