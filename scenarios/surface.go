package scenarios

import (
	"strings"

	"stopvolt/instrument"
	"stopvolt/physics"
)

// surface checks the keys that both electrodes share. A surface without light
// needs no yield.
func (c *checker) surface(table string, s surfaceTable, lit bool) (instrument.Surface, float64) {
	number := c.required
	if !lit {
		number = func(key string, value float64, l limit) float64 { return c.optional(key, value, 0, l) }
	}
	return instrument.Surface{
		WorkFunction:    c.workFunction(table, s),
		PatchSpread:     c.optional(table+".patch_spread_eV", s.PatchSpread, 0, within(0, 0.3, "eV")),
		Yield:           number(table+".yield", s.Yield, above(0, 1, "electrons for each photon")),
		YieldWavelength: number(table+".yield_wavelength_nm", s.YieldWavelength, wavelengths),
		Area:            c.optional(table+".area_cm2", s.Area, 0, within(0, 1e4, "cm^2")),
	}, c.required(table+".temperature_K", s.Temperature, temperatures)
}

// workFunction returns that of a surface in eV, which is given as a number or
// by the symbol of an element.
func (c *checker) workFunction(table string, s surfaceTable) float64 {
	number, element := table+".work_function_eV", table+".element"
	if table == "collector" && c.given("collector.least_stopping_V") {
		// It follows from the lights.
		return 0
	}
	if !c.given(element) {
		return c.required(number, s.WorkFunction, workFunctions)
	}
	if c.given(number) {
		c.fail(element, "%s gives a work function, and so does %s; leave one out", element, number)
	}
	phi, ok := physics.WorkFunction(s.Element)
	if !ok {
		c.fail(element, "%s is %q; it must be the symbol of one of %s", element, s.Element, strings.Join(physics.Elements(), ", "))
	}
	return phi
}

func (c *checker) emitter(t emitterTable) instrument.Emitter {
	surface, temperature := c.surface("emitter", t.surfaceTable, true)
	surface.Law = c.law(t)
	return instrument.Emitter{Surface: surface, Temperature: temperature, Second: c.second(t.Second)}
}

// second returns the second surface of the emitter. It has the wavelength of the
// first one's yield.
func (c *checker) second(t partTable) instrument.Part {
	const table = "emitter.second"
	if !c.given(table) {
		return instrument.Part{}
	}
	p := instrument.Part{
		Share:        c.required(table+".share", t.Share, fractions),
		WorkFunction: c.required(table+".work_function_eV", t.WorkFunction, workFunctions),
		Yield:        c.required(table+".yield", t.Yield, above(0, 1, "electrons for each photon")),
	}
	p.Film, p.FilmEdge = c.film(table, t.FilmExponent, t.FilmEdge)
	if p.Share == 0 {
		return instrument.Part{}
	}
	return p
}

// film returns a film in place of a metal, and the depth of its edge in eV. What is
// none has no edge.
func (c *checker) film(table string, exponent, edge float64) (f physics.Film, depth float64) {
	if c.given(table+".film_exponent") || c.given(table+".film_edge_eV") {
		f.Exponent = c.required(table+".film_exponent", exponent, filmExponents)
		depth = c.optional(table+".film_edge_eV", edge, 0, within(0, 3, "eV"))
	}
	if f.Exponent == 0 {
		depth = 0
	}
	return f, depth
}

// The powers with which the distribution of a film may end; 0 is a metal.
var filmExponents = zeroOr(0.25, 5, "")

// law returns how electrons leave the emitter.
func (c *checker) law(t emitterTable) instrument.Law {
	const fermi, loss, lost = "emitter.fermi_energy_eV", "emitter.loss", "emitter.loss_energy_eV"
	l := instrument.Law{FermiEnergy: c.optional(fermi, t.FermiEnergy, 0, above(0, 100, "eV"))}
	l.Film, l.FilmEdge = c.film("emitter", t.FilmExponent, t.FilmEdge)
	if c.given(loss) || c.given(lost) {
		l.Loss = physics.Loss{
			Share:  c.required(loss, t.Loss, fractions),
			Energy: c.required(lost, t.LossEnergy, within(0.001, 10, "eV")),
		}
	}
	if l.Loss.Share == 0 {
		l.Loss.Energy = 0
	}
	for _, key := range []string{"emitter.film_exponent", "emitter.second.film_exponent", loss} {
		if c.given(fermi) && c.given(key) && c.all == nil {
			c.fail(key, "%s is of a metal's band, and %s of what has none or is not worked out with it; leave one out", fermi, key)
		}
	}
	return l
}

func (c *checker) collector(t collectorTable) instrument.Collector {
	stray := c.optional("collector.stray_light", t.StrayLight, 0, fractions)
	lit := stray > 0 || c.given("collector.reverse_ratio") && t.ReverseRatio > 0
	surface, temperature := c.surface("collector", t.surfaceTable, lit)
	collector := instrument.Collector{
		Surface:        surface,
		Temperature:    temperature,
		StrayLight:     stray,
		EmitterCoating: c.optional("collector.emitter_coating", t.EmitterCoating, 0, fractions),
	}
	if c.given("collector.stray_exponent") || c.given("collector.stray_wavelength_nm") {
		collector.StrayExponent = c.required("collector.stray_exponent", t.StrayExponent, within(-10, 10, ""))
		collector.StrayWavelength = c.required("collector.stray_wavelength_nm", t.StrayWavelength, wavelengths)
	}
	if c.given("collector.reflection") || c.given("collector.reflection_energy_eV") {
		collector.Reflection = physics.Reflection{
			Share:  c.required("collector.reflection", t.Reflection, fractions),
			Energy: c.required("collector.reflection_energy_eV", t.ReflectionEnergy, within(0.001, 100, "eV")),
		}
	}
	return collector
}
