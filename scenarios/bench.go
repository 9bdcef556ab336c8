package scenarios

import (
	"math"

	"stopvolt/instrument"
	"stopvolt/physics"
)

type lampTable struct {
	Brightest  float64 `toml:"brightest_A"`
	WarmUp     float64 `toml:"warm_up"`
	WarmUpTime float64 `toml:"warm_up_s"`
	Colour     float64 `toml:"warm_up_colour"`
	Lead       float64 `toml:"lit_before_s"`
	Drift      float64 `toml:"drift_per_s"`
	Flicker    float64 `toml:"flicker"`
	Ripple     float64 `toml:"ripple"`
}

type supplyTable struct {
	Offset float64 `toml:"offset_V"`
	Gain   float64 `toml:"gain_error"`
	Ripple float64 `toml:"ripple_V"`
}

type leadsTable struct {
	Capacitance    float64 `toml:"capacitance_F"`
	Absorption     float64 `toml:"absorption"`
	AbsorptionTime float64 `toml:"absorption_s"`
}

type mainsTable struct {
	Frequency float64 `toml:"frequency_Hz"`
	Hum       float64 `toml:"hum_A"`
}

type voltmeterTable struct {
	Offset     float64 `toml:"offset_V"`
	Gain       float64 `toml:"gain_error"`
	Resolution float64 `toml:"resolution_V"`
}

func (c *checker) lamp(t lampTable) instrument.Lamp {
	l := instrument.Lamp{
		WarmUp:  c.optional("lamp.warm_up", t.WarmUp, 0, within(0, 1, "of the power")),
		Colour:  c.optional("lamp.warm_up_colour", t.Colour, 0, within(-10, 10, "(a power of the wavelength)")),
		Lead:    c.optional("lamp.lit_before_s", t.Lead, 0, within(0, 1e6, "s")),
		Drift:   c.optional("lamp.drift_per_s", t.Drift, 0, within(0, 0.01, "of the power in a second")),
		Flicker: c.optional("lamp.flicker", t.Flicker, 0, within(0, 0.2, "of the power")),
		Ripple:  c.optional("lamp.ripple", t.Ripple, 0, fractions),
	}
	if l.WarmUp > 0 {
		l.WarmUpTime = c.required("lamp.warm_up_s", t.WarmUpTime, above(0, 1e5, "s"))
	}
	return l
}

func (c *checker) supply(t supplyTable) instrument.Supply {
	return instrument.Supply{
		Offset: c.optional("supply.offset_V", t.Offset, 0, within(0, 1, "V")),
		Gain:   c.optional("supply.gain_error", t.Gain, 0, within(0, 0.5, "of the setting")),
		Ripple: c.optional("supply.ripple_V", t.Ripple, 0, within(0, 0.1, "V")),
	}
}

func (c *checker) leads(t leadsTable) instrument.Leads {
	if !c.given("leads") {
		return instrument.Leads{}
	}
	l := instrument.Leads{
		Capacitance: c.required("leads.capacitance_F", t.Capacitance, within(0, 1e-6, "F")),
		Absorption:  c.optional("leads.absorption", t.Absorption, 0, fractions),
	}
	if l.Absorption > 0 {
		l.AbsorptionTime = c.required("leads.absorption_s", t.AbsorptionTime, above(0, 1e5, "s"))
	}
	return l
}

func (c *checker) mains(t mainsTable) instrument.Mains {
	if !c.given("mains") {
		return instrument.Mains{}
	}
	return instrument.Mains{
		Frequency: c.required("mains.frequency_Hz", t.Frequency, within(1, 1000, "Hz")),
		Hum:       c.optional("mains.hum_A", t.Hum, 0, within(0, 1e-3, "A")),
	}
}

func (c *checker) voltmeter(t voltmeterTable) instrument.Voltmeter {
	return instrument.Voltmeter{
		Offset:     c.optional("voltmeter.offset_V", t.Offset, 0, within(0, 1, "V")),
		Gain:       c.optional("voltmeter.gain_error", t.Gain, 0, within(0, 0.5, "of the reading")),
		Resolution: c.optional("voltmeter.resolution_V", t.Resolution, 0, within(0, 1, "V")),
	}
}

// frees refuses a bench at which no light frees electrons from the emitter, and
// yields that no light can have: the sweeps would take minutes to show nothing.
func (c *checker) frees(a *instrument.Apparatus) {
	if c.err != nil {
		return
	}
	most := 0.0
	for _, l := range a.Lights {
		lines := l.Spectrum()
		strongest := 0.0
		for _, line := range lines {
			strongest = max(strongest, line.Weight)
		}
		for _, line := range lines {
			// The wing of a filter's curve lets through what nobody would see.
			if line.Weight > 1e-6*strongest {
				most = max(most, physics.PhotonEnergy(a.World.HOverE, line.Wavelength))
			}
		}
	}
	thermal := physics.ThermalEnergy(a.Emitter.Temperature)
	threshold, reached := math.Inf(1), math.Inf(1)
	for _, piece := range a.Emitter.Pieces() {
		threshold = min(threshold, piece.Threshold(piece.WorkFunction))
		reached = min(reached, piece.Threshold(piece.WorkFunction)-reach(piece.Surface, thermal))
	}
	if most <= reached {
		what := "work function is"
		if threshold > a.Emitter.WorkFunction {
			what = "work function and the depth of its film's edge are"
		}
		c.fail("emitter.work_function_eV", "no light of this bench frees electrons: its photons have at most %.3g eV, and the emitter's %s %.3g eV", most, what, threshold)
	}
	for i, piece := range a.Emitter.Pieces() {
		table := "emitter"
		if i > 0 || a.Emitter.Second.Share == 1 {
			table = "emitter.second"
		}
		c.yields(table, a.World, piece.Surface, thermal)
	}
	if a.Collector.StrayLight > 0 {
		c.yields("collector", a.World, a.Collector.Surface, physics.ThermalEnergy(a.Collector.Temperature))
	}
}

// yields refuses a yield at a wavelength that frees no electrons.
func (c *checker) yields(table string, w instrument.World, s instrument.Surface, thermal float64) {
	photon := physics.PhotonEnergy(w.HOverE, s.YieldWavelength)
	if threshold := s.Threshold(s.WorkFunction); photon <= threshold-reach(s, thermal) {
		c.fail(table+".yield", "light of %g nm (%.3g eV) frees no electrons from a work function of %.3g eV, so that it cannot have a yield of %g",
			s.YieldWavelength, photon, threshold, s.Yield)
	}
}

// reach returns how far in eV below the work function warmth and patches let a
// photon still free electrons: a part in 10^9 of what is freed above.
func reach(s instrument.Surface, thermal float64) float64 {
	return 20*s.Smearing(thermal) + 6*s.PatchSpread
}

// readings bounds what one run holds.
func (c *checker) readings(a *instrument.Apparatus) {
	if c.err != nil {
		return
	}
	curves := len(a.Lights)
	if a.Plan.DarkCurves {
		curves += 2
	}
	each := int((a.Plan.Stop-a.Plan.Start)/a.Plan.Step) + 1
	if a.Plan.FineWidth > 0 {
		each += int(a.Plan.FineWidth / a.Plan.FineStep)
	}
	if a.Plan.Order == instrument.ThereAndBack {
		each *= 2
	}
	if n := curves * each * a.Plan.Repeats; n > mostOfRun {
		c.fail("plan.step_V", "the plan has %d readings in all; at most %d are allowed, so widen the step", n, mostOfRun)
	}
}

// mostOfRun bounds the readings of a run.
const mostOfRun = 200_000

// spectrum checks the spectral lines of all lights together: each has its way
// across the gap, which is worked out once and kept.
func (c *checker) spectrum(a *instrument.Apparatus) {
	lines := make(map[float64]bool)
	for _, l := range a.Lights {
		for _, line := range l.Lines {
			lines[line.Wavelength] = true
		}
	}
	if len(lines) > mostSpectrum {
		c.fail("light", "the lights have %d spectral lines in all; at most %d are allowed", len(lines), mostSpectrum)
	}
}

// mostSpectrum bounds the spectral lines of all lights, each counted once.
const mostSpectrum = 5000

// together checks what only several tables can get wrong.
func (c *checker) together(a instrument.Apparatus) {
	if a.Lamp.Ripple > 0 && a.Mains.Frequency == 0 {
		c.fail("lamp.ripple", "lamp.ripple needs the mains that it comes from; add [mains] with frequency_Hz, such as 50.0")
	}
	c.frees(&a)
	c.readings(&a)
	c.spectrum(&a)
	if c.err != nil {
		return
	}
	ranges := a.Meter.Ranges()
	if widest, dark := ranges[len(ranges)-1].Highest, math.Abs(a.Leakage.Dark); widest <= dark {
		key := "meter.full_scales_A"
		if c.given("meter.range_A") {
			key = "meter.range_A"
		}
		c.fail(key, "the range of %g A is below the dark current of %g A; it must be above that", widest, dark)
	}
}
