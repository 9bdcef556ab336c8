package instrument

import "stopvolt/physics"

// The effects of how electrons leave the emitter.
const (
	ThermalSmearing         EffectID = "thermal smearing"
	ThermionicEmission      EffectID = "thermionic emission"
	EmissionBeyondThreshold EffectID = "emission beyond the threshold form"
	FilmEmission            EffectID = "emission of a film"
	InelasticLoss           EffectID = "inelastic loss"
	TwoEmitters             EffectID = "two emitters"
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
		Keys: []string{"emitter.film_exponent", "emitter.film_edge_eV",
			"emitter.second.film_exponent", "emitter.second.film_edge_eV"},
		Off: func(a Apparatus) Apparatus {
			e := &a.Emitter
			e.Film, e.FilmEdge = physics.Film{}, 0
			e.Second.Film, e.Second.FilmEdge = physics.Film{}, 0
			return a
		},
		Numbers: func(a Apparatus, _ Light) map[string]float64 {
			film, edge := a.Emitter.Film, a.Emitter.FilmEdge
			if film == (physics.Film{}) {
				film, edge = a.Emitter.Second.Film, a.Emitter.Second.FilmEdge
			}
			return map[string]float64{"exponent": film.Exponent, "edge": edge}
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

func twoEmitters() Effect {
	return Effect{
		ID:    TwoEmitters,
		Place: RoundsKnee + 62,
		Keys:  []string{"emitter.second.share", "emitter.second.work_function_eV", "emitter.second.yield"},
		Off: func(a Apparatus) Apparatus {
			a.Emitter.Second = Part{}
			return a
		},
		Numbers: func(a Apparatus, _ Light) map[string]float64 {
			e := a.Emitter
			return map[string]float64{"share": e.Second.Share, "first": e.WorkFunction, "second": e.Second.WorkFunction}
		},
	}
}
