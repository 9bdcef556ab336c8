package scenarios

import (
	"slices"
	"strings"

	"stopvolt/instrument"
)

// Practice is the name of the embedded scenario from which practice sets are
// made where none is named.
const Practice = "hollowbeck"

// practiceTable says within what limits the benches of practice sets differ, a
// table for each level.
type practiceTable struct {
	Clean    levelTable `toml:"clean"`
	Ordinary levelTable `toml:"ordinary"`
	Awkward  levelTable `toml:"awkward"`
}

// levelTable has ranges as pairs of numbers.
type levelTable struct {
	Lights              []string  `toml:"lights"`
	HOverE              []float64 `toml:"h_over_e_factor"`
	EmitterWorkFunction []float64 `toml:"emitter_work_function_eV"`
	ContactPotential    []float64 `toml:"contact_potential_V"`
	StrayLight          []float64 `toml:"stray_light"`
	EmitterCoating      []float64 `toml:"emitter_coating"`
	LeakageResistance   []float64 `toml:"leakage_resistance_ohm"`
	DarkCurrent         []float64 `toml:"dark_current_A"`
	Intensity           []float64 `toml:"intensity_factor"`
}

// practice turns the tables of levels into variations of an apparatus, in the
// order of rising difficulty.
func (c *checker) practice(t practiceTable, a instrument.Apparatus) []instrument.Variation {
	return []instrument.Variation{
		c.level("practice.clean", t.Clean, usual(a, "clean", 0.25, 1)),
		c.level("practice.ordinary", t.Ordinary, usual(a, "ordinary", 1, 1.5)),
		c.level("practice.awkward", t.Awkward, usual(a, "awkward", 2, 3)),
	}
}

// usual returns the variation of a level whose table leaves everything out. The
// collector gets a multiple of the scenario's stray light, and the lights
// differ by up to a factor.
func usual(a instrument.Apparatus, name string, stray, factor float64) instrument.Variation {
	about := func(x, half float64) instrument.Span { return instrument.Span{Low: x - half, High: x + half} }
	// Benches of one kind differ by some hundredths of a volt in their work
	// functions (common practice, no source).
	const spread = 0.05
	v := instrument.Variation{
		Name:                name,
		HOverE:              instrument.Span{Low: 0.8, High: 1.2},
		EmitterWorkFunction: about(a.Emitter.WorkFunction, spread),
		ContactPotential:    about(a.Collector.WorkFunction-a.Emitter.WorkFunction, spread),
		StrayLight:          instrument.Span{Low: 0.7 * stray * a.Collector.StrayLight, High: min(1.3*stray*a.Collector.StrayLight, 1)},
		EmitterCoating:      about(a.Collector.EmitterCoating, 0),
		DarkCurrent:         about(a.Leakage.Dark, 0),
		Intensity:           instrument.Span{Low: 1 / factor, High: factor},
	}
	if g := a.Leakage.Conductance; g > 0 {
		v.LeakageResistance = about(1/g, 0)
	}
	for _, l := range a.Lights {
		v.Lights = append(v.Lights, l.Name)
	}
	return v
}

// level checks the table of a level. What it leaves out is as usual.
func (c *checker) level(table string, t levelTable, v instrument.Variation) instrument.Variation {
	span := func(name string, values []float64, s *instrument.Span, l limit) {
		c.span(table+"."+name, values, s, l)
	}
	span("h_over_e_factor", t.HOverE, &v.HOverE, within(0.5, 2, ""))
	span("emitter_work_function_eV", t.EmitterWorkFunction, &v.EmitterWorkFunction, workFunctions)
	span("contact_potential_V", t.ContactPotential, &v.ContactPotential, within(-5, 5, "V"))
	span("stray_light", t.StrayLight, &v.StrayLight, fractions)
	span("emitter_coating", t.EmitterCoating, &v.EmitterCoating, fractions)
	span("leakage_resistance_ohm", t.LeakageResistance, &v.LeakageResistance, within(1e3, 1e20, "ohm"))
	span("dark_current_A", t.DarkCurrent, &v.DarkCurrent, within(-1e-3, 1e-3, "A"))
	span("intensity_factor", t.Intensity, &v.Intensity, within(1e-3, 1e3, ""))
	if c.given(table + ".lights") {
		v.Lights = c.chosen(table+".lights", t.Lights, v.Lights)
	}
	return v
}

// span reads a range where the scenario gives one.
func (c *checker) span(key string, values []float64, s *instrument.Span, l limit) {
	if !c.given(key) {
		return
	}
	if len(values) != 2 {
		c.fail(key, "%s has %d numbers; it must be a range such as [0.1, 0.2]", key, len(values))
		return
	}
	for _, x := range values {
		if !l.holds(x) {
			c.fail(key, "%s holds %g; each end must be %v", key, x, l)
		}
	}
	if values[0] > values[1] {
		c.fail(key, "%s is from %g to %g; the lower end comes first", key, values[0], values[1])
	}
	s.Low, s.High = values[0], values[1]
}

// chosen returns those of all names that a list holds, in the order of all.
func (c *checker) chosen(key string, list, all []string) []string {
	for _, name := range list {
		if !slices.Contains(all, name) {
			c.fail(key, "%s holds %q; the lights are %s", key, name, strings.Join(all, ", "))
		}
	}
	var kept []string
	for _, name := range all {
		if slices.Contains(list, name) {
			kept = append(kept, name)
		}
	}
	// A line needs three points to show how well it fits.
	if len(kept) < 3 {
		c.fail(key, "%s holds %d lights; a line needs at least 3", key, len(kept))
	}
	return kept
}
