package scenarios

import (
	"slices"
	"strings"

	"stopvolt/instrument"
	"stopvolt/physics"
)

// sourceFields are the keys of a source's table.
var sourceFields = fieldsOf(sourceType)

// The lamps that have a name.
var (
	lampNames = []string{"mercury", "mercury-arc", "cadmium", "sodium", "helium"}
	lamps     = map[string]func() []physics.SpectralLine{
		"mercury":     physics.Mercury,
		"mercury-arc": physics.MercuryArc,
		"cadmium":     physics.Cadmium,
		"sodium":      physics.Sodium,
		"helium":      physics.Helium,
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
func (c *checker) source(key string, t sourceTable) []physics.SpectralLine {
	if t.Name != "" {
		return lamps[lampNames[c.choice(key, t.Name, lampNames...)]]()
	}
	for _, keys := range sourceKeys {
		if c.given(key + "." + keys[0]) {
			return c.described(key, keys, t)
		}
	}
	if c.given(key) {
		c.fail(key, "a source is the name of a lamp, or a table with one of lines_nm, diode_nm and slit_nm")
	} else {
		c.fail(key, "a light needs a source: \"mercury\", or a table such as { lines_nm = [435.833], weights = [1.0] }")
	}
	return nil
}

// mostLines bounds the lines of a source: a continuum of a nanometre a line has
// less.
const mostLines = 1000

// described returns the lines of a source that a table with the given keys
// describes.
func (c *checker) described(key string, keys []string, t sourceTable) []physics.SpectralLine {
	for name := range sourceFields {
		if c.given(key+"."+name) && !slices.Contains(keys, name) {
			c.fail(key+"."+name, "%q is not a key of a source with %s; it has %s", name, keys[0], strings.Join(keys, ", "))
		}
	}
	number := func(name string, value float64, l limit) float64 { return c.required(key+"."+name, value, l) }
	switch keys[0] {
	case "diode_nm":
		skew := c.optional(key+".skew", t.Skew, 0, within(-0.9, 0.9, ""))
		centre, width := number("diode_nm", t.Diode, bandCentres), number("width_nm", t.Width, bandWidths)
		if c.err != nil {
			return nil
		}
		return physics.Diode(centre, width, skew)
	case "slit_nm":
		centre, width := number("slit_nm", t.Slit, bandCentres), number("width_nm", t.Width, bandWidths)
		if c.err != nil {
			return nil
		}
		return physics.Slit(centre, width)
	}
	lines := c.numbers(key+".lines_nm", t.Lines, wavelengths)
	weights := c.numbers(key+".weights", t.Weights, within(1e-12, 1e12, ""))
	switch {
	case len(lines) != len(weights):
		c.fail(key+".weights", "there are %d weights for %d lines; give each line its weight", len(weights), len(lines))
		return nil
	case len(lines) > mostLines:
		c.fail(key+".lines_nm", "the source has %d lines; at most %d are allowed", len(lines), mostLines)
		return nil
	}
	spectrum := make([]physics.SpectralLine, len(lines))
	for i := range lines {
		spectrum[i] = physics.SpectralLine{Wavelength: lines[i], Weight: weights[i]}
	}
	return spectrum
}

// A band must stay where wavelengths are.
var bandCentres, bandWidths = within(300, 1100, "nm"), within(0.01, 50, "nm")

// ambient returns the light of the room.
func (c *checker) ambient(t ambientTable) instrument.Light {
	if !c.given("ambient") {
		return instrument.Light{}
	}
	return instrument.Light{
		Name:    "ambient",
		Lines:   c.source("ambient.source", t.Source),
		Flux:    c.required("ambient.flux_W", t.Flux, zeroOr(leastFlux, 10, "W")),
		Neutral: 1,
	}
}
