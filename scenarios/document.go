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
	Reverse   reverseTable   `toml:"reverse"`
	Leakage   leakageTable   `toml:"leakage"`
	Light     []lightTable   `toml:"light"`
	Ambient   ambientTable   `toml:"ambient"`
	Lamp      lampTable      `toml:"lamp"`
	Supply    supplyTable    `toml:"supply"`
	Leads     leadsTable     `toml:"leads"`
	Mains     mainsTable     `toml:"mains"`
	Meter     meterTable     `toml:"meter"`
	Voltmeter voltmeterTable `toml:"voltmeter"`
	Plan      planTable      `toml:"plan"`
	Practice  practiceTable  `toml:"practice"`

	// Shared has numbers that others are relative to, and Joint rows of numbers
	// that occur together.
	Shared map[string]float64 `toml:"shared"`
	Joint  []jointTable       `toml:"joint"`
}

// jointTable has columns, rows and the weights of the rows. An entry of a row is
// a number or a word.
type jointTable struct {
	Keys    []string  `toml:"keys"`
	Rows    []any     `toml:"rows"`
	Weights []float64 `toml:"weights"`
}

type worldTable struct {
	HOverE float64 `toml:"h_over_e_Vs"`
}

type surfaceTable struct {
	Element         string  `toml:"element"`
	WorkFunction    float64 `toml:"work_function_eV"`
	Temperature     float64 `toml:"temperature_K"`
	PatchSpread     float64 `toml:"patch_spread_eV"`
	Yield           float64 `toml:"yield"`
	YieldWavelength float64 `toml:"yield_wavelength_nm"`
	Area            float64 `toml:"area_cm2"`
}

type emitterTable struct {
	surfaceTable
	FermiEnergy  float64 `toml:"fermi_energy_eV"`
	FilmExponent float64 `toml:"film_exponent"`
	FilmEdge     float64 `toml:"film_edge_eV"`
	Loss         float64 `toml:"loss"`
	LossEnergy   float64 `toml:"loss_energy_eV"`

	Second partTable `toml:"second"`
}

type partTable struct {
	Share        float64 `toml:"share"`
	WorkFunction float64 `toml:"work_function_eV"`
	Yield        float64 `toml:"yield"`
	FilmExponent float64 `toml:"film_exponent"`
	FilmEdge     float64 `toml:"film_edge_eV"`
}

type collectorTable struct {
	surfaceTable
	LeastStopping    float64 `toml:"least_stopping_V"`
	StrayLight       float64 `toml:"stray_light"`
	ReverseRatio     float64 `toml:"reverse_ratio"`
	StrayExponent    float64 `toml:"stray_exponent"`
	StrayWavelength  float64 `toml:"stray_wavelength_nm"`
	EmitterCoating   float64 `toml:"emitter_coating"`
	Reflection       float64 `toml:"reflection"`
	ReflectionEnergy float64 `toml:"reflection_energy_eV"`
}

type geometryTable struct {
	Kind          string  `toml:"kind"`
	RadiusRatio   float64 `toml:"radius_ratio"`
	Gap           float64 `toml:"gap_mm"`
	MagneticField float64 `toml:"magnetic_field_uT"`
	RingHeight    float64 `toml:"ring_height"`
	GlassRadius   float64 `toml:"glass_radius"`
}

type reverseTable struct {
	geometryTable
	Threshold float64 `toml:"threshold_eV"`
}

type leakageTable struct {
	Resistance  float64 `toml:"resistance_ohm"`
	DarkCurrent float64 `toml:"dark_current_A"`
	MostOver    float64 `toml:"most_over_brightest"`
}

type lightTable struct {
	Name    string      `toml:"name"`
	Nominal float64     `toml:"nominal_nm"`
	Source  sourceTable `toml:"source"`
	Flux    float64     `toml:"flux_W"`
	Filter  filterTable `toml:"filter"`
	Neutral float64     `toml:"neutral"`
	Shift   float64     `toml:"shift_V"`
}

type ambientTable struct {
	Source sourceTable `toml:"source"`
	Flux   float64     `toml:"flux_W"`
}

// sourceTable describes a lamp. Where a file gives a name instead of a table,
// that is the Name.
type sourceTable struct {
	Name string

	Lines   []float64 `toml:"lines_nm"`
	Weights []float64 `toml:"weights"`
	Diode   float64   `toml:"diode_nm"`
	Slit    float64   `toml:"slit_nm"`
	Width   float64   `toml:"width_nm"`
	Skew    float64   `toml:"skew"`
}

type filterTable struct {
	Centre   float64 `toml:"centre_nm"`
	Width    float64 `toml:"width_nm"`
	Peak     float64 `toml:"peak"`
	Blocking float64 `toml:"blocking"`
}
