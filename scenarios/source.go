package scenarios

import (
	"math"
	"slices"
	"strings"

	"stopvolt/instrument"
	"stopvolt/physics"
)

// The lamps that have a name.
var (
	lampNames = []string{"mercury", "cadmium", "sodium", "helium"}
	lamps     = map[string]func() []physics.SpectralLine{
		"mercury": physics.Mercury,
		"cadmium": physics.Cadmium,
		"sodium":  physics.Sodium,
		"helium":  physics.Helium,
	}
)

// sourceKeys are the tables that describe a source: each begins with the key
// that tells it from the others.
var sourceKeys = [][]string{
	{"lines_nm", "weights"},
	{"diode_nm", "width_nm", "skew"},
	{"slit_nm", "width_nm"},
}

// source returns the lines of a source, which is a name or a table.
func (c *checker) source(key string, value any) []physics.SpectralLine {
	switch source := value.(type) {
	case string:
		return lamps[lampNames[c.choice(key, source, lampNames...)]]()
	case map[string]any:
		for _, keys := range sourceKeys {
			if _, ok := source[keys[0]]; ok {
				return c.described(key, keys, source)
			}
		}
		c.fail(key, "a source has one of lines_nm, diode_nm and slit_nm")
		return nil
	}
	c.fail(key, "a light needs a source: \"mercury\", or a table such as { lines_nm = [435.833], weights = [1.0] }")
	return nil
}

// described returns the lines of a source that a table with the given keys
// describes.
func (c *checker) described(key string, keys []string, source map[string]any) []physics.SpectralLine {
	for name := range source {
		if !slices.Contains(keys, name) {
			c.fail(key+"."+name, "%q is not a key of a source with %s; it has %s", name, keys[0], strings.Join(keys, ", "))
		}
	}
	number := func(name string, l limit) float64 { return c.number(key+"."+name, source[name], l) }
	switch keys[0] {
	case "diode_nm":
		skew := 0.0
		if _, ok := source["skew"]; ok {
			skew = number("skew", within(-0.9, 0.9, ""))
		}
		return physics.Diode(number("diode_nm", bandCentres), number("width_nm", bandWidths), skew)
	case "slit_nm":
		return physics.Slit(number("slit_nm", bandCentres), number("width_nm", bandWidths))
	}
	lines := c.numbers(key+".lines_nm", source["lines_nm"], wavelengths)
	weights := c.numbers(key+".weights", source["weights"], above(0, math.MaxFloat32, ""))
	if len(lines) != len(weights) {
		c.fail(key+".weights", "there are %d weights for %d lines; give each line its weight", len(weights), len(lines))
		return nil
	}
	var spectrum []physics.SpectralLine
	for i := range lines {
		spectrum = append(spectrum, physics.SpectralLine{Wavelength: lines[i], Weight: weights[i]})
	}
	return spectrum
}

// A band must stay where wavelengths are.
var bandCentres, bandWidths = within(300, 1100, "nm"), within(0.01, 50, "nm")

// number checks a number within a table that the decoder leaves as it is.
func (c *checker) number(key string, value any, l limit) float64 {
	x, ok := value.(float64)
	if whole, isWhole := value.(int64); isWhole {
		x, ok = float64(whole), true
	}
	if value == nil {
		c.fail(key, "%s is missing; it must be %v", key, l)
	} else if !ok || !l.holds(x) {
		c.fail(key, "%s is %v; it must be %v", key, value, l)
	}
	return x
}

// ambient returns the light of the room.
func (c *checker) ambient(t ambientTable) instrument.Light {
	if !c.given("ambient") {
		return instrument.Light{}
	}
	return instrument.Light{
		Name:    "ambient",
		Lines:   c.source("ambient.source", t.Source),
		Flux:    c.required("ambient.flux_W", t.Flux, within(0, 10, "W")),
		Neutral: 1,
	}
}
