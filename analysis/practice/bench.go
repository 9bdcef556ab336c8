package practice

import (
	"math"

	"stopvolt/instrument"
	"stopvolt/instrument/population"
	"stopvolt/instrument/run"
	"stopvolt/physics"
	"stopvolt/sim"
)

// Truth is what the instructor knows about a student's bench. It stands in the key
// as numbers, so that a set can be marked by a later version that would draw
// others.
type Truth struct {
	// HOverE is that of the student's world in V s.
	HOverE float64 `json:"h_over_e_Vs"`
	// The work functions are in eV, and ContactPotential, their difference, is
	// in V.
	CollectorWorkFunction float64 `json:"collector_work_function_eV"`
	EmitterWorkFunction   float64 `json:"emitter_work_function_eV"`
	ContactPotential      float64 `json:"contact_potential_V"`
	// Settings are those of the light.
	Settings []SettingTruth `json:"settings"`
	// Attainable is the standard uncertainty of h/e, relative to it, that the
	// noise of these readings leaves to a fit of the whole curve.
	Attainable float64 `json:"attainable"`
	// Fault is the name of the planted flaw, empty in a set that has none, and
	// FaultSetting the setting that it spoils, if it is one setting.
	Fault        string `json:"fault,omitempty"`
	FaultSetting string `json:"fault_setting,omitempty"`
}

// SettingTruth is what the instructor knows of one setting.
type SettingTruth struct {
	// Name and Wavelength (nm, standard air) are those of the run.
	Name       string  `json:"name"`
	Wavelength float64 `json:"wavelength_nm"`
	// Stopping is the true stopping voltage in V.
	Stopping float64 `json:"stopping_V"`
	// Frees says that the light frees electrons from the emitter. A setting
	// that does not has no place on the line.
	Frees bool `json:"frees_electrons"`
}

// a maker draws the benches of a set.
type maker struct {
	recipe  Recipe
	benches population.Population
	session sim.Session
	run     run.Run
	gauge   gauge
	// middle is the attainable uncertainty of the bench whose numbers are the
	// medians.
	middle float64
}

// bench draws the bench of one trial, without what is planted. The error says
// that these numbers make none.
func (m *maker) bench(d draw) (instrument.Apparatus, Truth, error) {
	a, err := m.benches.Draw(d.uniform)
	return a, truthOf(a), err
}

// truthOf returns the truth about a bench without a planted fault. Its contact
// potential is a number of hundredths of a volt.
func truthOf(a instrument.Apparatus) Truth {
	contact := math.Round(100*(a.Collector.WorkFunction-a.Emitter.WorkFunction)) / 100
	ideal := sim.TruthOf(a)
	t := Truth{
		HOverE:                ideal.HOverE,
		CollectorWorkFunction: ideal.CollectorWorkFunction,
		EmitterWorkFunction:   a.Emitter.WorkFunction,
		ContactPotential:      contact,
	}
	for i, l := range a.Lights {
		t.Settings = append(t.Settings, SettingTruth{
			Name: l.Name, Wavelength: l.Nominal, Stopping: ideal.Stopping[i],
			Frees: physics.PhotonEnergy(a.World.HOverE, l.Nominal) > a.Emitter.WorkFunction,
		})
	}
	return t
}

// acquire takes the run of a bench, with dark curves before and after.
func (m *maker) acquire(a instrument.Apparatus, seed uint64) error {
	a.Plan.DarkCurves = true
	b, err := sim.NewBenchForOneRun(a, physics.Quadrature{})
	if err != nil {
		return err
	}
	m.session.Open(b, seed, 0)
	m.session.Acquire(&m.run)
	// A method that is on the brink of an answer says the same of the student's file
	// as of the key.
	for _, c := range m.run.Curves {
		for i := range c.Readings {
			c.Readings[i].Uncertainty = run.RoundUncertainty(c.Readings[i].Uncertainty)
		}
	}
	return nil
}
