package scenarios

import (
	"fmt"
	"strconv"

	"stopvolt/instrument"
	"stopvolt/physics"
)

// leastFlux in W is a photon in a minute.
const leastFlux = 1e-21

// The allowed ranges. They are wide: a scenario may describe what nobody would
// build, but not what cannot be.
var (
	workFunctions = above(0, 12, "eV")
	temperatures  = within(0, 1500, "K")
	fractions     = within(0, 1, "")
	wavelengths   = within(200, 1200, "nm")
	voltages      = within(-1000, 1000, "V")
)

// build turns a document into an apparatus.
func (c *checker) build(d document) instrument.Apparatus {
	a := instrument.Apparatus{
		World:   instrument.World{HOverE: c.optional("world.h_over_e_Vs", d.World.HOverE, physics.HOverE, within(1e-16, 1e-13, "V s"))},
		Emitter: c.emitter(d.Emitter),
	}
	a.Collector = c.collector(d.Collector)
	a.Geometry = c.geometry("geometry", d.Geometry)
	a.Reverse = c.reverse(d.Reverse)
	a.Leakage = c.leakage(d.Leakage)
	a.Lights = c.lights(d.Light)
	c.leastStopping(d.Collector, &a)
	a.Ambient = c.ambient(d.Ambient)
	a.Lamp = c.lamp(d.Lamp)
	a.Supply = c.supply(d.Supply)
	a.Leads = c.leads(d.Leads)
	a.Mains = c.mains(d.Mains)
	a.Meter = c.meter(d.Meter)
	a.Voltmeter = c.voltmeter(d.Voltmeter)
	a.Plan = c.plan(d.Plan, &a)
	c.derive(d, &a)
	c.together(a)
	return a
}

func (c *checker) leakage(t leakageTable) instrument.Leakage {
	if !c.given("leakage") {
		return instrument.Leakage{}
	}
	l := instrument.Leakage{Dark: c.optional("leakage.dark_current_A", t.DarkCurrent, 0, within(-1e-3, 1e-3, "A"))}
	if c.given("leakage.resistance_ohm") {
		l.Conductance = 1 / c.required("leakage.resistance_ohm", t.Resistance, within(1e3, 1e20, "ohm"))
	}
	return l
}

func (c *checker) lights(tables []lightTable) []instrument.Light {
	if len(tables) == 0 {
		c.fail("light", "there is no [[light]]; at least one setting of the light is needed")
	}
	lights := make([]instrument.Light, len(tables))
	for i, t := range tables {
		lights[i] = c.light("light."+strconv.Itoa(i), t)
	}
	return lights
}

func (c *checker) light(key string, t lightTable) instrument.Light {
	l := instrument.Light{
		Name:    t.Name,
		Nominal: c.required(key+".nominal_nm", t.Nominal, wavelengths),
		Lines:   c.source(key+".source", t.Source),
		Flux:    c.required(key+".flux_W", t.Flux, within(leastFlux, 10, "W")),
		Shift:   c.optional(key+".shift_V", t.Shift, 0, within(-1, 1, "V")),
		Neutral: c.optional(key+".neutral", t.Neutral, 1, within(1e-9, 1, "")),
	}
	if c.given(key + ".filter") {
		l.Filter = instrument.Filter{
			Centre: c.required(key+".filter.centre_nm", t.Filter.Centre, wavelengths),
			Width:  c.required(key+".filter.width_nm", t.Filter.Width, within(0.01, 500, "nm")),
			Peak:   c.required(key+".filter.peak", t.Filter.Peak, within(1e-9, 1, "")),
		}
		l.Filter.Blocking = c.optional(key+".filter.blocking", t.Filter.Blocking, 0, within(0, l.Filter.Peak, "(the peak)"))
	}
	if c.err == nil && len(l.Spectrum()) == 0 {
		c.fail(key, "no light of %q passes its filter; the filter should be centred on a line of the source", t.Name)
	}
	return l
}

// numbers checks a list of numbers, which must not be empty.
func (c *checker) numbers(key string, list []float64, l limit) []float64 {
	if len(list) == 0 {
		c.fail(key, "%s must be a list of numbers, such as [1.0]", key)
	}
	c.note(key, l)
	for i, number := range list {
		if c.learning {
			if law := c.varied[fmt.Sprintf("%s.%d", key, i)]; law != nil {
				number = c.learn(law, number, l)
			}
		}
		if !l.holds(number) {
			c.fail(key, "%s holds %v; each number must be %v", key, number, l)
		}
	}
	return list
}
