package instrument

// The effects of the lamp.
const (
	LampWarmUp  EffectID = "lamp warm-up"
	LampDrift   EffectID = "lamp drift"
	LampFlicker EffectID = "lamp flicker"
	LampRipple  EffectID = "lamp ripple"
)

func lampWarmUp() Effect {
	return Effect{
		ID:    LampWarmUp,
		Place: ActsOnReadings,
		Keys:  []string{"lamp.warm_up", "lamp.warm_up_s", "lamp.warm_up_colour", "lamp.lit_before_s"},
		Off: func(a Apparatus) Apparatus {
			a.Lamp.WarmUp = 0
			return a
		},
	}
}

func lampDrift() Effect {
	return Effect{
		ID:    LampDrift,
		Place: ActsOnReadings,
		Keys:  []string{"lamp.drift_per_s"},
		Off: func(a Apparatus) Apparatus {
			a.Lamp.Drift = 0
			return a
		},
	}
}

func lampFlicker() Effect {
	return Effect{
		ID:    LampFlicker,
		Place: ActsOnReadings,
		Keys:  []string{"lamp.flicker"},
		Off: func(a Apparatus) Apparatus {
			a.Lamp.Flicker = 0
			return a
		},
	}
}

func lampRipple() Effect {
	return Effect{
		ID:    LampRipple,
		Place: ActsOnReadings,
		Keys:  []string{"lamp.ripple", "mains.frequency_Hz"},
		Off: func(a Apparatus) Apparatus {
			a.Lamp.Ripple = 0
			return a
		},
	}
}
