package instrument

// The effects of the supply, the leads and the mains.
const (
	DisplacementCurrent  EffectID = "displacement current"
	DielectricAbsorption EffectID = "dielectric absorption"
	SupplyError          EffectID = "supply error"
	SupplyRipple         EffectID = "supply ripple"
	MainsHum             EffectID = "mains hum"
)

func displacementCurrent() Effect {
	return Effect{
		ID:    DisplacementCurrent,
		Place: ActsOnReadings,
		Keys:  []string{"leads.capacitance_F", "plan.turn_s", "plan.settle_s"},
		Off: func(a Apparatus) Apparatus {
			// What the insulation absorbs is stated relative to the
			// capacitance, and goes with it.
			a.Leads = Leads{}
			return a
		},
	}
}

func dielectricAbsorption() Effect {
	return Effect{
		ID:    DielectricAbsorption,
		Place: ActsOnReadings,
		Keys:  []string{"leads.absorption", "leads.absorption_s"},
		Off: func(a Apparatus) Apparatus {
			a.Leads.Absorption = 0
			return a
		},
	}
}

func supplyError() Effect {
	return Effect{
		ID:    SupplyError,
		Place: ActsOnReadings,
		Keys:  []string{"supply.offset_V", "supply.gain_error"},
		Off: func(a Apparatus) Apparatus {
			a.Supply.Offset, a.Supply.Gain = 0, 0
			return a
		},
	}
}

func supplyRipple() Effect {
	return Effect{
		ID:    SupplyRipple,
		Place: ActsOnReadings,
		Keys:  []string{"supply.ripple_V"},
		Off: func(a Apparatus) Apparatus {
			a.Supply.Ripple = 0
			return a
		},
	}
}

func mainsHum() Effect {
	return Effect{
		ID:    MainsHum,
		Place: ActsOnReadings,
		Keys:  []string{"mains.hum_A", "mains.frequency_Hz"},
		Off: func(a Apparatus) Apparatus {
			a.Mains.Hum = 0
			return a
		},
	}
}
