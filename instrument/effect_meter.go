package instrument

// The effects of the ammeter and of the voltmeter.
const (
	MeterNoise     EffectID = "meter noise"
	MeterOffset    EffectID = "meter offset"
	Resolution     EffectID = "resolution"
	MeterGain      EffectID = "meter gain"
	MeterDrift     EffectID = "meter drift"
	SlowResponse   EffectID = "slow response"
	Burden         EffectID = "burden"
	FullScale      EffectID = "full scale"
	Parallax       EffectID = "parallax"
	VoltmeterError EffectID = "voltmeter error"
)

func meterNoise() Effect {
	return Effect{
		ID:    MeterNoise,
		Place: ActsOnReadings,
		Keys:  []string{"meter.temperature_K", "meter.feedback_ohm", "meter.full_scale_V", "plan.dwell_s"},
		Off: func(a Apparatus) Apparatus {
			// The resistor stays, as it may be the burden.
			a.Meter.Temperature = 0
			return a
		},
	}
}

func meterOffset() Effect {
	return Effect{
		ID:    MeterOffset,
		Place: ActsOnReadings,
		Keys:  []string{"meter.offset_A", "meter.offset_steps"},
		Off: func(a Apparatus) Apparatus {
			a.Meter.Offset, a.Meter.OffsetSteps = 0, 0
			return a
		},
	}
}

func resolution() Effect {
	return Effect{
		ID:    Resolution,
		Place: ActsOnReadings,
		Keys:  []string{"meter.steps", "meter.resolution_A", "meter.digit_over_brightest", "meter.divisions", "meter.read_to", "meter.centre_zero"},
		Off: func(a Apparatus) Apparatus {
			a.Meter.Stepless = a.Meter.Steps > 0 || a.Meter.Resolution > 0 || a.Meter.Needle.Present()
			return a
		},
	}
}

func meterGain() Effect {
	return Effect{
		ID:    MeterGain,
		Place: ActsOnReadings,
		Keys:  []string{"meter.gain_error"},
		Off: func(a Apparatus) Apparatus {
			a.Meter.Gain = 0
			return a
		},
	}
}

func meterDrift() Effect {
	return Effect{
		ID:    MeterDrift,
		Place: ActsOnReadings,
		Keys:  []string{"meter.drift_A_per_s", "meter.flicker_A"},
		Off: func(a Apparatus) Apparatus {
			a.Meter.Drift, a.Meter.Flicker = 0, 0
			return a
		},
	}
}

func slowResponse() Effect {
	return Effect{
		ID:    SlowResponse,
		Place: ActsOnReadings,
		Keys:  []string{"meter.response_s", "plan.settle_s"},
		Off: func(a Apparatus) Apparatus {
			a.Meter.Response = 0
			return a
		},
	}
}

func burden() Effect {
	return Effect{
		ID:    Burden,
		Place: ActsOnReadings,
		Keys:  []string{"meter.burden_ohm", "meter.shunt"},
		Off: func(a Apparatus) Apparatus {
			a.Meter.Burden, a.Meter.Shunt = 0, false
			return a
		},
	}
}

func fullScale() Effect {
	return Effect{
		ID:    FullScale,
		Place: ActsOnReadings,
		Keys:  []string{"meter.full_scales_A", "meter.full_scale_over_largest", "meter.range_A"},
		Off: func(a Apparatus) Apparatus {
			// A meter without full scales is endless already.
			a.Meter.Endless = a.Meter.Endless || len(a.Meter.FullScales) > 0
			return a
		},
	}
}

func parallax() Effect {
	return Effect{
		ID:    Parallax,
		Place: ActsOnReadings,
		Keys:  []string{"meter.parallax"},
		Off: func(a Apparatus) Apparatus {
			a.Meter.Needle.Parallax = 0
			return a
		},
	}
}

func voltmeterError() Effect {
	return Effect{
		ID:    VoltmeterError,
		Place: ActsOnReadings,
		Keys:  []string{"voltmeter.offset_V", "voltmeter.gain_error", "voltmeter.resolution_V"},
		Off: func(a Apparatus) Apparatus {
			a.Voltmeter = Voltmeter{}
			return a
		},
	}
}
