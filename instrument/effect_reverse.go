package instrument

// The effects of electrons that leave the collector, and of what leaks past.
const (
	ReverseEmission   EffectID = "reverse emission"
	ReverseThreshold  EffectID = "reverse threshold"
	ReverseGeometry   EffectID = "reverse geometry"
	StrayByWavelength EffectID = "stray light by wavelength"
	LeakageCurrent    EffectID = "leakage"
)

func reverseEmission() Effect {
	return Effect{
		ID:    ReverseEmission,
		Place: AddsCurrent,
		Keys:  []string{"collector.stray_light", "collector.reverse_ratio", "collector.yield", "collector.yield_wavelength_nm"},
		Off: func(a Apparatus) Apparatus {
			a.Collector.StrayLight = 0
			return a
		},
		Numbers: func(a Apparatus, _ Light) map[string]float64 {
			return map[string]float64{"stray": a.Collector.StrayLight}
		},
	}
}

func reverseThreshold() Effect {
	return Effect{
		ID:    ReverseThreshold,
		Place: AddsCurrent + 10,
		Keys:  []string{"reverse.threshold_eV"},
		Off: func(a Apparatus) Apparatus {
			a.Reverse.Threshold = 0
			return a
		},
		Numbers: func(a Apparatus, _ Light) map[string]float64 {
			return map[string]float64{"threshold": a.Reverse.Threshold, "collector": a.Collector.WorkFunction}
		},
	}
}

func reverseGeometry() Effect {
	return Effect{
		ID:    ReverseGeometry,
		Place: AddsCurrent + 20,
		Keys: []string{"reverse.kind", "reverse.radius_ratio", "reverse.gap_mm", "reverse.magnetic_field_uT",
			"reverse.ring_height", "reverse.glass_radius"},
		Off: func(a Apparatus) Apparatus {
			a.Reverse.Geometry = nil
			return a
		},
	}
}

func strayByWavelength() Effect {
	return Effect{
		ID:    StrayByWavelength,
		Place: AddsCurrent + 30,
		Keys:  []string{"collector.stray_exponent", "collector.stray_wavelength_nm"},
		Off: func(a Apparatus) Apparatus {
			a.Collector.StrayExponent = 0
			return a
		},
		Numbers: func(a Apparatus, l Light) map[string]float64 {
			c := a.Collector
			return map[string]float64{"here": c.Stray(l.Nominal), "wavelength": c.StrayWavelength, "there": c.StrayLight}
		},
	}
}

func leakage() Effect {
	return Effect{
		ID:    LeakageCurrent,
		Place: AddsCurrent + 90,
		Keys:  []string{"leakage.resistance_ohm", "leakage.dark_current_A"},
		Off: func(a Apparatus) Apparatus {
			a.Leakage = Leakage{}
			return a
		},
		Numbers: func(a Apparatus, _ Light) map[string]float64 {
			return map[string]float64{"conductance": a.Leakage.Conductance, "dark": a.Leakage.Dark}
		},
	}
}
