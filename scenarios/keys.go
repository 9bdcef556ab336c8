package scenarios

import (
	"reflect"
	"slices"
	"strings"

	"stopvolt/instrument"
)

// A Key is one that a scenario may have.
type Key struct {
	// Name is that of an assignment. Those of a light are named by light.NAME.
	Name string
	// Kind says what stands there: "number", "whole number", "word", "yes or
	// no", "list of numbers" and so on.
	Kind string
	// Limit is the range that is allowed and its unit, or the words that are;
	// empty where there is none.
	Limit string
	// Lawful says that a law may stand there instead.
	Lawful bool
}

// Keys returns the names of all keys that a scenario may have, in the order of a
// file.
func Keys() []string {
	var names []string
	for _, k := range KeyTable() {
		names = append(names, k.Name)
	}
	return names
}

// KeyTable returns all keys that a scenario may have, in the order of a file. The
// limits are those that the checks apply.
func KeyTable() []Key {
	keys := keysOf("", reflect.TypeFor[document]())
	limits := noted()
	for i := range keys {
		if l, ok := limits[strings.Replace(keys[i].Name, "light.NAME", "light.0", 1)]; ok {
			keys[i].Limit = l
		}
	}
	return keys
}

// kinds says in words what a field holds.
var kinds = map[reflect.Type]string{
	reflect.TypeFor[float64]():            "number",
	reflect.TypeFor[int]():                "whole number",
	reflect.TypeFor[string]():             "word",
	reflect.TypeFor[bool]():               "yes or no",
	reflect.TypeFor[[]float64]():          "list of numbers",
	reflect.TypeFor[[]string]():           "list of words",
	reflect.TypeFor[[]any]():              "list of lists",
	reflect.TypeFor[any]():                "pair of numbers",
	sourceType:                            "name of a lamp, or a table",
	reflect.TypeFor[map[string]float64](): "number",
}

// keysOf returns the keys of a table below a prefix.
func keysOf(prefix string, table reflect.Type) []Key {
	var keys []Key
	for i := range table.NumField() {
		field := table.Field(i)
		tag := field.Tag.Get("toml")
		if tag == "" && !field.Anonymous {
			continue
		}
		name, kind := join(prefix, tag), field.Type
		if kind.Kind() == reflect.Slice && kind.Elem().Kind() == reflect.Struct {
			kind, name = kind.Elem(), join(name, "NAME")
		}
		if kind.Kind() == reflect.Map {
			name = join(name, "NAME")
		}
		words, single := kinds[kind]
		if single {
			lawful := !slices.Contains([]string{"title", "notes"}, name) && !strings.HasPrefix(name, "joint.") && (kind.Kind() != reflect.Map || strings.HasPrefix(name, shared)) && name != "practice.intercept" &&
				!strings.HasSuffix(name, ".name") && kind != reflect.TypeFor[[]string]()
			keys = append(keys, Key{Name: name, Kind: words, Lawful: lawful})
		}
		if kind.Kind() == reflect.Struct {
			keys = append(keys, keysOf(name, kind)...)
		}
	}
	// A table that two others embed is listed once for each.
	return slices.CompactFunc(keys, func(a, b Key) bool { return a.Name == b.Name })
}

// noted returns the limits of all keys. It lets the checks ask for them, with a
// document that gives every key that can stand beside the others.
func noted() map[string]string {
	limits := make(map[string]string)
	// Some keys are asked for only where others are not given.
	for _, without := range [][]string{
		{},
		{"meter.steps", "meter.full_scale_V", "meter.digit_over_brightest", "collector.least_stopping_V", "plan.stop_beyond_V", "collector.element", "emitter.element"},
	} {
		for _, kind := range geometryKinds {
			for _, source := range sourceKeys {
				note(limits, kind, append(slices.Clip(without), otherSources(source[0])...))
			}
		}
	}
	return limits
}

// otherSources returns the first keys of all sources but one.
func otherSources(one string) []string {
	var others []string
	for _, keys := range sourceKeys {
		if keys[0] != one {
			others = append(others, keys[0])
		}
	}
	return others
}

// note collects the limits that one document's checks ask for.
func note(limits map[string]string, kind string, without []string) {
	c := &checker{places: places{"": {}}, notes: limits}
	c.all = func(key string) bool {
		return !slices.ContainsFunc(without, func(other string) bool { return key == other || strings.HasSuffix(key, "."+other) })
	}
	var d document
	d.Geometry.Kind, d.Reverse.Kind = kind, kind
	d.Lamp.WarmUp, d.Leads.Absorption, d.Geometry.MagneticField = 0.1, 0.1, 1
	d.Meter.Divisions = 1
	d.Plan = planTable{Stop: 1000, Step: 100}
	d.Light = []lightTable{{Filter: filterTable{Peak: 1}}}
	c.build(d)
	d.Meter.Divisions = 0
	c.build(d)
	c.practice("", d.Practice, instrument.Apparatus{})
}
