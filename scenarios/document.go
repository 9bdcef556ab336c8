package scenarios

// document is a scenario file as it stands, before any check. The keys are the
// names that users see.
type document struct {
	Title string `toml:"title"`
	Notes string `toml:"notes"`

	World     worldTable     `toml:"world"`
	Emitter   emitterTable   `toml:"emitter"`
	Collector collectorTable `toml:"collector"`
	Geometry  geometryTable  `toml:"geometry"`
	Leakage   leakageTable   `toml:"leakage"`
	Light     []lightTable   `toml:"light"`
	Meter     meterTable     `toml:"meter"`
	Plan      planTable      `toml:"plan"`
	Practice  practiceTable  `toml:"practice"`
}

type worldTable struct {
	HOverE float64 `toml:"h_over_e_Vs"`
}

type surfaceTable struct {
	WorkFunction    float64 `toml:"work_function_eV"`
	Temperature     float64 `toml:"temperature_K"`
	PatchSpread     float64 `toml:"patch_spread_eV"`
	Yield           float64 `toml:"yield"`
	YieldWavelength float64 `toml:"yield_wavelength_nm"`
}

type emitterTable struct {
	surfaceTable
}

type collectorTable struct {
	surfaceTable
	StrayLight     float64 `toml:"stray_light"`
	EmitterCoating float64 `toml:"emitter_coating"`
}

type geometryTable struct {
	Kind        string  `toml:"kind"`
	RadiusRatio float64 `toml:"radius_ratio"`
}

type leakageTable struct {
	Resistance  float64 `toml:"resistance_ohm"`
	DarkCurrent float64 `toml:"dark_current_A"`
}

type lightTable struct {
	Name    string      `toml:"name"`
	Nominal float64     `toml:"nominal_nm"`
	Source  any         `toml:"source"`
	Flux    float64     `toml:"flux_W"`
	Filter  filterTable `toml:"filter"`
	Neutral float64     `toml:"neutral"`
}

type filterTable struct {
	Centre   float64 `toml:"centre_nm"`
	Width    float64 `toml:"width_nm"`
	Peak     float64 `toml:"peak"`
	Blocking float64 `toml:"blocking"`
}

type meterTable struct {
	Feedback    float64 `toml:"feedback_ohm"`
	Temperature float64 `toml:"temperature_K"`
	Offset      float64 `toml:"offset_A"`
	Resolution  float64 `toml:"resolution_A"`
}

type planTable struct {
	Start   float64 `toml:"start_V"`
	Stop    float64 `toml:"stop_V"`
	Step    float64 `toml:"step_V"`
	Dwell   float64 `toml:"dwell_s"`
	Settle  float64 `toml:"settle_s"`
	Repeats int     `toml:"repeats"`
	Order   string  `toml:"order"`
}
