package scenarios

import (
	"math"
	"slices"

	"stopvolt/instrument"
)

type meterTable struct {
	Class            string    `toml:"class"`
	Feedback         float64   `toml:"feedback_ohm"`
	FullScaleVoltage float64   `toml:"full_scale_V"`
	Temperature      float64   `toml:"temperature_K"`
	Shunt            bool      `toml:"shunt"`
	Burden           float64   `toml:"burden_ohm"`
	Offset           float64   `toml:"offset_A"`
	OffsetSteps      float64   `toml:"offset_steps"`
	Gain             float64   `toml:"gain_error"`
	Drift            float64   `toml:"drift_A_per_s"`
	Flicker          float64   `toml:"flicker_A"`
	Response         float64   `toml:"response_s"`
	FullScales       []float64 `toml:"full_scales_A"`
	Range            float64   `toml:"range_A"`
	Steps            float64   `toml:"steps"`
	Resolution       float64   `toml:"resolution_A"`
	DigitOver        float64   `toml:"digit_over_brightest"`
	FullScaleOver    float64   `toml:"full_scale_over_largest"`
	Divisions        float64   `toml:"divisions"`
	ReadTo           float64   `toml:"read_to"`
	Parallax         float64   `toml:"parallax"`
	CentreZero       bool      `toml:"centre_zero"`
}

// leastCurrent in A is below what any meter resolves: an electron in a day.
const leastCurrent = 1e-24

// meter builds the ammeter: one of a class, of which single keys are changed, or
// one described key by key.
func (c *checker) meter(t meterTable) instrument.Meter {
	if !c.given("meter") {
		return instrument.Meter{}
	}
	var m instrument.Meter
	needed := c.required
	if c.given("meter.class") {
		classes := instrument.Classes()
		var names []string
		for _, class := range classes {
			names = append(names, class.Name)
		}
		m = classes[c.choice("meter.class", t.Class, names...)].Meter
		needed = func(key string, value float64, l limit) float64 { return c.optional(key, value, 0, l) }
	}
	c.ranges(&m, t)
	c.input(&m, t, needed)
	c.display(&m, t, needed)
	currents := zeroOr(leastCurrent, 1e-3, "A")
	if !m.Needle.Present() {
		m.Offset = c.changed(needed, "meter.offset_A", t.Offset, m.Offset, currents)
	}
	m.OffsetSteps = c.optional("meter.offset_steps", t.OffsetSteps, m.OffsetSteps, within(0, 1e6, "steps of the display"))
	m.Gain = c.optional("meter.gain_error", t.Gain, m.Gain, within(0, 0.5, "of the reading"))
	m.Drift = c.optional("meter.drift_A_per_s", t.Drift, m.Drift, within(0, 1e-6, "A/s"))
	m.Flicker = c.optional("meter.flicker_A", t.Flicker, m.Flicker, currents)
	return m
}

// changed returns a number that replaces the one of a class; needed is required
// where there is no class.
func (c *checker) changed(needed func(string, float64, limit) float64, key string, value, before float64, l limit) float64 {
	if got := needed(key, value, l); c.given(key) {
		return got
	}
	return before
}

// ranges sets the full scales.
func (c *checker) ranges(m *instrument.Meter, t meterTable) {
	if c.given("meter.full_scales_A") {
		m.FullScales = c.numbers("meter.full_scales_A", t.FullScales, above(0, 1, "A"))
		if !slices.IsSorted(m.FullScales) || len(slices.Compact(slices.Clone(m.FullScales))) < len(m.FullScales) {
			c.fail("meter.full_scales_A", "meter.full_scales_A is %v; the full scales must rise, the most sensitive range first", m.FullScales)
		}
	}
	if c.given("meter.range_A") {
		m.Fixed = c.optional("meter.range_A", t.Range, 0, above(0, 1, "A"))
		if !slices.Contains(m.FullScales, t.Range) {
			c.fail("meter.range_A", "meter.range_A is %g; it must be one of the full scales %v A, or left out for a meter that finds its range", t.Range, m.FullScales)
		}
	}
}

// input sets what the current meets.
func (c *checker) input(m *instrument.Meter, t meterTable, needed func(string, float64, limit) float64) {
	if c.given("meter.full_scale_V") {
		m.FullScaleVoltage = c.optional("meter.full_scale_V", t.FullScaleVoltage, 0, above(0, 100, "V"))
		if len(m.FullScales) == 0 && !c.given("meter.full_scale_over_largest") {
			c.fail("meter.full_scale_V", "meter.full_scale_V needs meter.full_scales_A, such as [1e-9, 1e-8]; give those, or feedback_ohm instead")
		}
	} else if m.FullScaleVoltage == 0 || c.given("meter.feedback_ohm") {
		m.Feedback = c.changed(needed, "meter.feedback_ohm", t.Feedback, m.Feedback, within(1, 1e15, "ohm"))
		m.FullScaleVoltage = 0
	}
	m.Temperature = c.changed(needed, "meter.temperature_K", t.Temperature, m.Temperature, temperatures)
	if c.given("meter.shunt") {
		m.Shunt = t.Shunt
	}
	m.Burden = c.optional("meter.burden_ohm", t.Burden, m.Burden, within(0, 1e12, "ohm"))
	m.Response = c.optional("meter.response_s", t.Response, m.Response, within(0, 1e3, "s"))
}

// display sets how the current is shown.
func (c *checker) display(m *instrument.Meter, t meterTable, needed func(string, float64, limit) float64) {
	if c.given("meter.divisions") {
		m.Needle.Divisions = c.optional("meter.divisions", t.Divisions, 0, zeroOr(1, 1000, "divisions to full scale"))
	}
	if m.Needle.Present() && c.given("meter.divisions") {
		m.Needle.Fraction = 1
		needed = func(key string, value float64, l limit) float64 { return c.optional(key, value, 0, l) }
	}
	m.Needle.Fraction = c.optional("meter.read_to", t.ReadTo, m.Needle.Fraction, above(0, 1, "of a division"))
	m.Needle.Parallax = c.optional("meter.parallax", t.Parallax, m.Needle.Parallax, within(0, 10, "divisions"))
	if c.given("meter.centre_zero") {
		m.Needle.CentreZero = t.CentreZero
	}
	for _, key := range []string{"meter.read_to", "meter.parallax", "meter.centre_zero"} {
		if c.given(key) && !m.Needle.Present() && c.varied["meter.divisions"] == nil {
			c.fail(key, "%s is for a needle; give meter.divisions too, or leave it out", key)
		}
	}
	if m.Needle.Present() {
		if ranges := m.Ranges(); !c.given("meter.full_scale_over_largest") && (len(ranges) != 1 || math.IsInf(ranges[0].Highest, 1)) {
			c.fail("meter.divisions", "a needle stands on one scale; give meter.full_scales_A one full scale, or set meter.range_A")
		}
		return
	}
	if c.given("meter.steps") {
		m.Steps = c.optional("meter.steps", t.Steps, 0, within(10, 1e9, "steps to full scale"))
		if len(m.FullScales) == 0 && !c.given("meter.full_scale_over_largest") {
			c.fail("meter.steps", "meter.steps needs meter.full_scales_A, such as [1e-9, 1e-8]; give those, or resolution_A instead")
		}
	} else if !c.given("meter.digit_over_brightest") && (m.Steps == 0 || c.given("meter.resolution_A")) {
		m.Resolution = c.changed(needed, "meter.resolution_A", t.Resolution, m.Resolution, zeroOr(leastCurrent, 1e-3, "A"))
		m.Steps = 0
	}
}
