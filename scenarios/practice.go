package scenarios

import (
	"math"
	"reflect"
	"slices"
	"strings"

	"stopvolt/instrument"
	"stopvolt/instrument/population"
)

// Practice is the name of the embedded scenario from which practice sets are
// made where none is named.
const Practice = "hollowbeck"

// practiceTable says within what limits the benches of practice sets differ, a
// table for each level, and how answers are marked.
type practiceTable struct {
	Clean    levelTable `toml:"clean"`
	Ordinary levelTable `toml:"ordinary"`
	Awkward  levelTable `toml:"awkward"`

	// What follows is the mark scheme, whose names those who mark know.
	Points     map[string]float64 `toml:"points"`
	Tolerances map[string]float64 `toml:"tolerances"`
	Costs      map[string]float64 `toml:"costs"`
	Intercept  string             `toml:"intercept"`
}

// A MarkScheme says what a scenario wants answers to a practice set to be marked by.
// What it does not give is empty. Its names are checked by those who mark.
type MarkScheme struct {
	Points, Tolerances, Costs map[string]float64
	Intercept                 string
	places                    places
}

// Given reports whether the scenario gives any of it.
func (m MarkScheme) Given() bool {
	return len(m.Points)+len(m.Tolerances)+len(m.Costs) > 0 || m.Intercept != ""
}

// Fault returns an error at the place of one of its keys, such as "points.line".
func (m MarkScheme) Fault(key, problem string) error {
	return m.places.find(join("practice", key)).errorf("%s", problem)
}

// scheme returns the mark scheme of a scenario.
func (t practiceTable) scheme(found places) MarkScheme {
	return MarkScheme{t.Points, t.Tolerances, t.Costs, t.Intercept, found}
}

// levelTable has ranges as pairs of numbers, or laws.
type levelTable struct {
	Lights              []string `toml:"lights"`
	HOverE              any      `toml:"h_over_e_factor"`
	EmitterWorkFunction any      `toml:"emitter_work_function_eV"`
	ContactPotential    any      `toml:"contact_potential_V"`
	StrayLight          any      `toml:"stray_light"`
	EmitterCoating      any      `toml:"emitter_coating"`
	LeakageResistance   any      `toml:"leakage_resistance_ohm"`
	DarkCurrent         any      `toml:"dark_current_A"`
	Intensity           any      `toml:"intensity_factor"`
}

// practice turns the tables of levels into populations about an apparatus, in
// the order of rising difficulty. The base identifies the scenario.
func (c *checker) practice(base string, t practiceTable, a instrument.Apparatus) []population.Variation {
	return []population.Variation{
		c.level(base, "clean", t.Clean, a, 0.25, 1),
		c.level(base, "ordinary", t.Ordinary, a, 1, 1.5),
		c.level(base, "awkward", t.Awkward, a, 2, 3),
	}
}

// level returns the population of a level. Where its table leaves a range out,
// the collector gets about a multiple of the scenario's stray light, and the
// lights differ by up to a factor.
func (c *checker) level(base, name string, t levelTable, a instrument.Apparatus, stray, factor float64) population.Variation {
	table := "practice." + name
	v := population.Variation{Name: name}
	for _, l := range a.Lights {
		v.Lights = append(v.Lights, l.Name)
	}
	if c.given(table + ".lights") {
		v.Lights = c.chosen(table+".lights", t.Lights, v.Lights)
	}
	// Benches of one kind differ by some hundredths of a volt in their work
	// functions (common practice, no source).
	const spread = 0.05
	about := func(x float64) population.Uniform { return population.Uniform{Low: x - spread, High: x + spread} }
	var variables []population.Variable
	add := func(key, inTable string, value any, usual population.Law, logarithmic bool, l limit) {
		law := c.rangeOf(table+"."+inTable, value, usual, logarithmic, l)
		variables = append(variables, population.Variable{Key: key, Law: law, Low: l.low, High: l.high, Unit: l.unit})
	}
	add(population.Factor, "h_over_e_factor", t.HOverE, population.Uniform{Low: 0.8, High: 1.2}, false, within(0.5, 2, ""))
	add("emitter work function", "emitter_work_function_eV", t.EmitterWorkFunction, about(a.Emitter.WorkFunction), false, workFunctions)
	add("contact potential", "contact_potential_V", t.ContactPotential, about(a.Collector.WorkFunction-a.Emitter.WorkFunction), false, within(-5, 5, "V"))
	usual := stray * a.Collector.StrayLight
	add("stray light", "stray_light", t.StrayLight, population.Uniform{Low: 0.7 * usual, High: min(1.3*usual, 1)}, false, fractions)
	add("emitter coating", "emitter_coating", t.EmitterCoating, population.Constant(a.Collector.EmitterCoating), false, fractions)
	add("dark current", "dark_current_A", t.DarkCurrent, population.Constant(a.Leakage.Dark), false, within(-1e-3, 1e-3, "A"))
	add("leakage", "leakage_resistance_ohm", t.LeakageResistance, population.Constant(1/a.Leakage.Conductance), true, within(1e3, 1e20, "ohm"))
	for _, light := range v.Lights {
		add("intensity of "+light, "intensity_factor", t.Intensity, population.LogUniform{Low: 1 / factor, High: factor}, true, within(1e-3, 1e3, ""))
	}
	if c.err != nil {
		return v
	}
	var err error
	if v.Benches, err = population.New(base+"\n"+table, variables, nil, student(a, v.Lights)); err != nil {
		c.fail(table, "the level %s has no bench: %v", name, err)
	}
	return v
}

// student makes the bench of a student about an apparatus, from the numbers in
// the order of level.
func student(about instrument.Apparatus, lights []string) population.Build {
	return func(values []float64) (instrument.Apparatus, error) {
		a := about
		scale := values[0]
		// The stated contact potential is a number of hundredths of a volt, as
		// an instructor would state it, and the true one is that number.
		contact := math.Round(100*scale*values[2]) / 100
		a.World.HOverE *= scale
		a.Emitter = a.Emitter.Scaled(scale)
		a.Emitter.WorkFunction = scale * values[1]
		a.Emitter.PatchSpread *= scale
		a.Collector.WorkFunction = a.Emitter.WorkFunction + contact
		a.Collector.PatchSpread *= scale
		a.Collector.StrayLight, a.Collector.EmitterCoating = values[3], values[4]
		// A perfect insulator has an infinite resistance.
		a.Leakage = instrument.Leakage{Dark: values[5], Conductance: 1 / values[6]}
		a.Lights = nil
		for _, l := range about.Lights {
			if i := slices.Index(lights, l.Name); i >= 0 {
				l.Flux *= values[7+i]
				a.Lights = append(a.Lights, l)
			}
		}
		return a, nil
	}
}

// rangeOf reads a range or a law where the scenario gives one.
func (c *checker) rangeOf(key string, value any, usual population.Law, logarithmic bool, l limit) population.Law {
	if !c.given(key) {
		return usual
	}
	if t, ok := value.(tree); ok {
		b := binder{c: c}
		law := b.readLaw(key, key, reflect.Float64, t, nil)
		if law == nil {
			return usual
		}
		read := &lawful{Variable: population.Variable{Key: key, Law: law}}
		c.learn(read, 0, l)
		return read.Law
	}
	ends, err := numbersOf(value, 2, "a range such as [0.1, 0.2], or a law")
	if err != nil {
		c.fail(key, "%s: %v", key, err)
		return usual
	}
	for _, x := range ends {
		if !l.holds(x) {
			c.fail(key, "%s holds %g; each end must be %v", key, x, l)
			return usual
		}
	}
	if ends[0] > ends[1] {
		c.fail(key, "%s is from %g to %g; the lower end comes first", key, ends[0], ends[1])
		return usual
	}
	switch {
	case ends[0] == ends[1]:
		return population.Constant(ends[0])
	case logarithmic:
		return population.LogUniform{Low: ends[0], High: ends[1]}
	}
	return population.Uniform{Low: ends[0], High: ends[1]}
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
