package instrument

import "stopvolt/physics"

// The effects of the way across the gap, and of where it ends.
const (
	AngularSpread    EffectID = "angular spread"
	MagneticField    EffectID = "magnetic field"
	ContactPotential EffectID = "contact potential"
	Patches          EffectID = "patches"
	EmitterMetal     EffectID = "emitter metal on the collector"
	Reflection       EffectID = "reflection at the collector"
)

func angularSpread() Effect {
	return Effect{
		ID:    AngularSpread,
		Place: RoundsKnee,
		Keys:  []string{"geometry.kind", "geometry.radius_ratio", "geometry.ring_height", "geometry.glass_radius"},
		Off: func(a Apparatus) Apparatus {
			a.Geometry = physics.Spheres{}
			return a
		},
	}
}

func magneticField() Effect {
	return Effect{
		ID:    MagneticField,
		Place: RoundsKnee + 10,
		Keys:  []string{"geometry.magnetic_field_uT", "geometry.gap_mm"},
		Off: func(a Apparatus) Apparatus {
			if g, ok := a.Geometry.(physics.Magnetic); ok {
				a.Geometry = g.WithoutField()
			}
			return a
		},
		Numbers: func(a Apparatus, _ Light) map[string]float64 {
			return a.Geometry.Describe().Numbers
		},
	}
}

func contactPotential() Effect {
	return Effect{
		ID:    ContactPotential,
		Place: MovesCorner,
		Keys:  []string{"collector.work_function_eV", "collector.element", "collector.least_stopping_V"},
		Off: func(a Apparatus) Apparatus {
			a.Collector.WorkFunction = a.Emitter.WorkFunction
			return a
		},
		Numbers: func(a Apparatus, _ Light) map[string]float64 {
			return map[string]float64{
				"collector": a.Collector.WorkFunction, "emitter": a.Emitter.WorkFunction,
				"contact": a.Collector.WorkFunction - a.Emitter.WorkFunction,
			}
		},
	}
}

func patches() Effect {
	return Effect{
		ID:    Patches,
		Place: RoundsKnee + 60,
		Keys:  []string{"emitter.patch_spread_eV", "collector.patch_spread_eV"},
		Off: func(a Apparatus) Apparatus {
			a.Emitter.PatchSpread, a.Collector.PatchSpread = 0, 0
			return a
		},
		Numbers: func(a Apparatus, _ Light) map[string]float64 {
			return map[string]float64{"emitter": a.Emitter.PatchSpread, "collector": a.Collector.PatchSpread}
		},
	}
}

func emitterMetal() Effect {
	return Effect{
		ID:    EmitterMetal,
		Place: RoundsKnee + 80,
		Keys:  []string{"collector.emitter_coating"},
		Off: func(a Apparatus) Apparatus {
			a.Collector.EmitterCoating = 0
			return a
		},
		Numbers: func(a Apparatus, _ Light) map[string]float64 {
			return map[string]float64{"coating": a.Collector.EmitterCoating, "contact": a.Collector.WorkFunction - a.Emitter.WorkFunction}
		},
	}
}

func reflection() Effect {
	return Effect{
		ID:    Reflection,
		Place: RoundsKnee + 70,
		Keys:  []string{"collector.reflection", "collector.reflection_energy_eV"},
		Off: func(a Apparatus) Apparatus {
			a.Collector.Reflection = physics.Reflection{}
			return a
		},
		Numbers: func(a Apparatus, _ Light) map[string]float64 {
			return map[string]float64{"share": a.Collector.Reflection.Share}
		},
	}
}
