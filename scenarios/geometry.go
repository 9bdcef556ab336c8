package scenarios

import (
	"stopvolt/instrument"
	"stopvolt/physics"
)

// The kinds of geometry, and which keys each of them has.
var (
	geometryKinds = []string{"plane", "spheres", "cylinders", "ring-over-disk"}
	geometryKeys  = map[string][]string{
		"plane":          {"gap_mm", "magnetic_field_uT"},
		"spheres":        {"radius_ratio"},
		"cylinders":      {"radius_ratio"},
		"ring-over-disk": {"ring_height", "glass_radius"},
	}
)

// geometry returns the geometry of a table.
func (c *checker) geometry(table string, t geometryTable) physics.Geometry {
	kind := geometryKinds[c.choice(table+".kind", t.Kind, geometryKinds...)]
	for _, other := range geometryKinds {
		for _, key := range geometryKeys[other] {
			c.belongs(table, kind, key)
		}
	}
	ratio := func(l limit) float64 { return c.required(table+".radius_ratio", t.RadiusRatio, l) }
	switch kind {
	case "spheres":
		return physics.Spheres{RadiusRatio: ratio(zeroOr(0.001, 1000, "(emitter over collector)"))}
	case "cylinders":
		return physics.Cylinders{RadiusRatio: ratio(within(0.001, 1000, "(emitter over collector)"))}
	case "ring-over-disk":
		// In units of the emitter's radius, which is also the ring's; the wire
		// needs room on all sides.
		return c.ringOverDisk(
			c.required(table+".ring_height", t.RingHeight, within(0.3, 3, "(over the emitter's radius)")),
			c.required(table+".glass_radius", t.GlassRadius, within(1.2, 5, "(over the emitter's radius)")))
	}
	return c.plane(table, t)
}

// ringOverDisk returns the one made before, if it is the same: its field takes
// seconds to solve.
func (c *checker) ringOverDisk(height, glass float64) physics.Geometry {
	if c.ring != nil && c.ring.Height == height && c.ring.Glass == glass {
		return c.ring
	}
	return physics.NewRingOverDisk(height, glass)
}

// belongs refuses a key that a kind of geometry does not have. An assignment of
// the kind takes such keys of the file away, since it cannot leave them out.
func (c *checker) belongs(table, kind, key string) {
	if !c.given(table+"."+key) || c.varied[table+".kind"] != nil || c.places.assigned(table+".kind") && !c.places.assigned(table+"."+key) {
		return
	}
	var owners []string
	for _, other := range geometryKinds {
		for _, own := range geometryKeys[other] {
			if own != key {
				continue
			}
			if other == kind {
				return
			}
			owners = append(owners, other)
		}
	}
	c.fail(table+"."+key, "geometry of kind %q has no %s; leave it out, or set kind to %q", kind, key, owners[0])
}

// plane returns the plane pair. A magnetic field needs the gap, which matters
// for nothing else.
func (c *checker) plane(table string, t geometryTable) physics.Geometry {
	plane := physics.Spheres{RadiusRatio: 1}
	if !c.given(table + ".magnetic_field_uT") {
		return plane
	}
	field := c.required(table+".magnetic_field_uT", t.MagneticField, within(0, 1000, "microtesla"))
	gap := c.required(table+".gap_mm", t.Gap, within(0.1, 1000, "mm"))
	if field == 0 {
		return plane
	}
	return physics.MagneticPlanes{Gap: gap, Field: field}
}

// reverse returns where the emission of the collector is different.
func (c *checker) reverse(t reverseTable) instrument.Reverse {
	r := instrument.Reverse{Threshold: c.optional("reverse.threshold_eV", t.Threshold, 0, workFunctions)}
	if c.given("reverse.kind") {
		// Here the lit spot of the collector is what emits.
		r.Geometry = c.geometry("reverse", t.geometryTable)
	}
	return r
}
