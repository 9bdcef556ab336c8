package instrument

// A Class is a kind of ammeter, with what is usual for its kind. It is no
// product: the numbers are round ones of the order that instruments of the kind
// state (common practice, no source).
type Class struct {
	// Name is a word of the trade, and Summary a line about the class.
	Name, Summary string
	Meter         Meter
}

// Classes returns the ready ammeters, the plainest first.
func Classes() []Class {
	return []Class{
		{
			Name:    "multimeter",
			Summary: "a hand-held multimeter on its millivolt range, whose input of 10 megohm is the shunt",
			Meter: Meter{
				FullScaleVoltage: 0.2, Shunt: true, Temperature: 295,
				FullScales: []float64{2e-8}, Steps: 2000,
				OffsetSteps: 2, Gain: 0.01, Response: 0.3,
				Drift: 5e-15, Flicker: 3e-12,
			},
		},
		{
			Name:    "picoammeter",
			Summary: "a bench picoammeter, an amplifier with feedback of a volt at full scale",
			Meter: Meter{
				FullScaleVoltage: 1, Burden: 1e4, Temperature: 300,
				FullScales: []float64{1e-9, 1e-8, 1e-7, 1e-6, 1e-5}, Steps: 20_000,
				Offset: 2e-13, OffsetSteps: 4, Gain: 0.004, Response: 0.03,
				Drift: 5e-17, Flicker: 5e-14,
			},
		},
		{
			Name:    "electrometer",
			Summary: "a laboratory electrometer, whose feedback reaches a hundred gigohm",
			Meter: Meter{
				FullScaleVoltage: 1, Burden: 1e4, Temperature: 300,
				FullScales: []float64{1e-11, 1e-10, 1e-9, 1e-8, 1e-7}, Steps: 100_000,
				Offset: 3e-15, OffsetSteps: 5, Gain: 0.01, Response: 0.25,
				Drift: 2e-18, Flicker: 5e-16,
			},
		},
		{
			Name:    "galvanometer",
			Summary: "a needle galvanometer with its zero in the middle, read by eye",
			Meter: Meter{
				Feedback: 2e3, Shunt: true, Temperature: 295,
				FullScales: []float64{1e-7},
				Needle:     Needle{Divisions: 50, Fraction: 0.2, Parallax: 0.2, CentreZero: true},
				Gain:       0.015, Response: 0.6, Flicker: 1e-10,
			},
		},
	}
}
