package instrument

import (
	"fmt"
	"slices"

	"stopvolt/physics"
)

// Currents are the parts of the mean current at one voltage, in A.
type Currents struct {
	// Forward is carried by electrons from the emitter to the collector and
	// Reverse by electrons the other way; neither is negative.
	Forward, Reverse float64
	// Leakage is not carried by free electrons and has its sign.
	Leakage float64
}

// Net returns the current that a meter sees.
func (c Currents) Net() float64 { return c.Forward - c.Reverse + c.Leakage }

// MeanCurrent is the mean current of an apparatus at one setting of the light,
// without meter.
type MeanCurrent struct {
	forward, reverse []beam
	leakage          Leakage
}

// beam is the electrons of one photon energy that go from one patch towards one
// patch, or from a patchy electrode to another.
type beam struct {
	// emitted is the current in A that leaves the patch towards the other.
	emitted float64
	// contact is the contact potential in V that adds to the retarding
	// voltage: the far work function less the near one.
	contact    float64
	collection physics.Collection
}

// NewMeanCurrent prepares the mean current of an apparatus at a setting of the
// light. The transport carries the electrons; the error is the transport's, or
// says that a yield cannot be.
func NewMeanCurrent(a Apparatus, l Light, t physics.Transport) (*MeanCurrent, error) {
	c, err := NewCrossings(a, t)
	if err != nil {
		return nil, err
	}
	return c.MeanCurrent(l)
}

// Crossings are the ways of the electrons in an apparatus, which serve any
// setting of the light.
type Crossings struct {
	apparatus         Apparatus
	outward, backward []*cast
}

// NewCrossings prepares what all settings of the light share. The error is the
// transport's, or says that a yield cannot be.
func NewCrossings(a Apparatus, t physics.Transport) (*Crossings, error) {
	out, err := a.outward(t)
	if err != nil {
		return nil, fmt.Errorf("emitter: %w", err)
	}
	back, err := a.backward(t)
	if err != nil {
		return nil, fmt.Errorf("collector: %w", err)
	}
	return &Crossings{a, out, back}, nil
}

// MeanCurrent prepares that at a setting of the light.
func (c *Crossings) MeanCurrent(l Light) (m *MeanCurrent, err error) {
	a := c.apparatus
	m = &MeanCurrent{leakage: a.Leakage}
	for _, way := range c.outward {
		if m.forward, err = way.beams(m.forward, a, l, a.onEmitter); err != nil {
			return nil, err
		}
	}
	for _, way := range c.backward {
		if m.reverse, err = way.beams(m.reverse, a, l, a.Collector.Stray); err != nil {
			return nil, err
		}
	}
	if rough, ok := c.outward[0].transport.(interface{ Negligible() float64 }); ok {
		m.forward = audible(m.forward, rough.Negligible())
		m.reverse = audible(m.reverse, rough.Negligible())
	}
	// What retards the electrons of the emitter accelerates those of the
	// collector.
	shift(m.forward, l.Shift)
	shift(m.reverse, -l.Shift)
	return m, nil
}

// shift adds a voltage in V to the contact potentials of beams.
func shift(beams []beam, voltage float64) {
	if voltage == 0 {
		return
	}
	for i := range beams {
		beams[i].contact += voltage
	}
}

// audible returns the beams without those whose current is less than a share of
// the largest.
func audible(beams []beam, share float64) []beam {
	var largest float64
	for _, b := range beams {
		largest = max(largest, b.emitted)
	}
	return slices.DeleteFunc(beams, func(b beam) bool { return b.emitted < share*largest })
}

// onEmitter returns the fraction of the light of a wavelength in nm that falls
// on the emitter.
func (a Apparatus) onEmitter(wavelength float64) float64 { return 1 - a.Collector.Stray(wavelength) }

// outward returns the ways of the electrons from the pieces of the emitter. The part
// of the collector that emitter metal covers has the emitter's first surface.
func (a Apparatus) outward(t physics.Transport) ([]*cast, error) {
	var casts []*cast
	for _, piece := range a.Emitter.Pieces() {
		c := &cast{
			transport:  t,
			geometry:   a.Geometry,
			reflection: a.Collector.Reflection,
			near:       piece.Surface,
			thermal:    physics.ThermalEnergy(a.Emitter.Temperature),
			share:      piece.Share,
		}
		c.face(a.Collector.Surface, 1-a.Collector.EmitterCoating)
		c.face(a.Emitter.Surface, a.Collector.EmitterCoating)
		if err := c.calibrate(a.World); err != nil {
			return nil, err
		}
		casts = append(casts, c)
	}
	return casts, nil
}

// backward returns the ways of the electrons from the collector's bare and
// coated parts, if it emits any.
func (a Apparatus) backward(t physics.Transport) ([]*cast, error) {
	if a.Collector.StrayLight == 0 && a.Collector.Area == 0 {
		return nil, nil
	}
	geometry := a.Geometry.Reversed()
	switch {
	case a.Reverse.Geometry != nil:
		geometry = a.Reverse.Geometry
	case a.Geometry == physics.Geometry(physics.Spheres{}):
		// Without angular spread there is none either way; the point that the
		// emitter is then would catch nothing.
		geometry = a.Geometry
	}
	thermal := physics.ThermalEnergy(a.Collector.Temperature)
	bare := a.Collector.Surface
	if a.Reverse.Threshold > 0 {
		bare.WorkFunction = a.Reverse.Threshold
	}
	coating := a.Emitter.Surface
	coating.Area = a.Collector.Area
	var casts []*cast
	for _, part := range []*cast{
		{transport: t, geometry: geometry, near: bare, thermal: thermal, share: 1 - a.Collector.EmitterCoating},
		{transport: t, geometry: geometry, near: coating, thermal: thermal, share: a.Collector.EmitterCoating},
	} {
		if part.share == 0 {
			continue
		}
		for _, piece := range a.Emitter.Pieces() {
			part.face(piece.Surface, piece.Share)
		}
		if a.Collector.StrayLight > 0 {
			if err := part.calibrate(a.World); err != nil {
				return nil, err
			}
		}
		casts = append(casts, part)
	}
	return casts, nil
}

// cast is one way across the gap, from one surface.
type cast struct {
	transport  physics.Transport
	geometry   physics.Geometry
	reflection physics.Reflection
	// near is the surface that emits, over a share of its electrode; thermal
	// is its kT in eV.
	near    Surface
	thermal float64
	share   float64
	// scale is the number of electrons for each photon over the emission's
	// Total.
	scale float64
	faces []face
}

// face is a part of the electrode that electrons arrive at.
type face struct {
	surface Surface
	share   float64
	// work takes both patchy surfaces as a whole; it is nil where the
	// transport does not.
	work physics.Patchy
}

// face adds a share of the far electrode, unless it is none.
func (c *cast) face(s Surface, share float64) {
	if share == 0 {
		return
	}
	f := face{surface: s, share: share}
	spread := physics.Patches{Emitter: c.near.PatchSpread, Collector: s.PatchSpread}
	if whole, ok := c.transport.(physics.PatchTransport); ok && c.near.plain() {
		f.work, _ = whole.Patchwork(c.thermal, spread, c.geometry)
	} else if whole, ok := c.transport.(physics.LawPatchTransport); ok && !c.near.plain() {
		f.work, _ = whole.LawPatchwork(c.near.Emission(0, 0, c.thermal), spread, c.geometry)
	}
	c.faces = append(c.faces, f)
}

// calibrate scales the emission to the stated yield. The error says that the
// yield cannot be.
func (c *cast) calibrate(w World) (err error) {
	c.scale, err = c.near.response(w, c.thermal, c.faces[0].work)
	return err
}

// beams appends those of a setting of the light and of the ambient light, of
// which the given fraction falls on the surface, and of the heat.
func (c *cast) beams(beams []beam, a Apparatus, l Light, lit func(wavelength float64) float64) ([]beam, error) {
	var err error
	for _, line := range append(l.Spectrum(), a.Ambient.Spectrum()...) {
		photon := physics.PhotonEnergy(a.World.HOverE, line.Wavelength)
		// A watt of photons of hv in eV is 1/hv amperes of photons.
		photons := lit(line.Wavelength) * line.Weight / photon
		if photons == 0 {
			continue
		}
		if beams, err = c.add(beams, photon, photons*c.scale); err != nil {
			return nil, err
		}
	}
	if c.near.Area > 0 && c.thermal > 0 {
		// Heat is light without photons.
		return c.warm().add(beams, 0, c.near.Area*physics.Richardson)
	}
	return beams, nil
}

// warm returns the way of the electrons that heat alone drives out, which are those
// of a metal.
func (c *cast) warm() *cast {
	if c.near.Law == c.near.metal() {
		return c
	}
	w := *c
	w.near.Law, w.faces = c.near.metal(), nil
	for _, f := range c.faces {
		w.face(f.surface, f.share)
	}
	return &w
}

// add appends to beams those under photons of an energy in eV, of which rate in
// A/eV^2 is the current over the emission's Total. The currents of patches are
// added, not their collected shares: near the threshold a patch with a low work
// function emits more.
func (c *cast) add(beams []beam, photon, rate float64) ([]beam, error) {
	for _, f := range c.faces {
		if f.work == nil {
			continue
		}
		excess := photon - c.near.Threshold(c.near.WorkFunction)
		spread := c.near.PatchSpread + f.surface.PatchSpread
		beams = append(beams, beam{
			emitted:    rate * f.work.Total(excess) * c.share * f.share,
			contact:    f.surface.WorkFunction - c.near.WorkFunction,
			collection: c.reflected(f.work.Collection(excess), excess, spread),
		})
	}
	if !slices.ContainsFunc(c.faces, func(f face) bool { return f.work == nil }) {
		return beams, nil
	}
	smearing := c.near.Smearing(c.thermal)
	for _, from := range c.near.patches(smearing) {
		var collection physics.Collection
		emission := c.near.Emission(photon, from.workFunction, c.thermal)
		for _, f := range c.faces {
			if f.work != nil {
				continue
			}
			if collection == nil {
				crossing, err := c.transport.Prepare(emission, c.geometry)
				if err != nil {
					return nil, err
				}
				collection = c.reflected(crossing, emission.Excess, 0)
			}
			for _, to := range f.surface.patches(smearing) {
				beams = append(beams, beam{
					emitted:    rate * emission.Total() * c.share * from.share * f.share * to.share,
					contact:    to.workFunction - from.workFunction,
					collection: collection,
				})
			}
		}
	}
	return beams, nil
}

// reflected returns a collection with what the collector throws back taken
// off, for a mean excess and a spread of the barriers in eV.
func (c *cast) reflected(crossing physics.Collection, excess, spread float64) physics.Collection {
	if c.reflection.Share == 0 {
		return crossing
	}
	thermal := c.near.Smearing(c.thermal)
	return c.reflection.Of(crossing, thermal, physics.Emission{Excess: excess, Thermal: thermal}.Top()+9*spread)
}

// At returns the mean currents at a voltage across the cell in V, positive
// when it retards.
func (m *MeanCurrent) At(retarding float64) Currents {
	return Currents{
		Forward: arriving(m.forward, retarding),
		// The same voltage accelerates the electrons of the collector.
		Reverse: arriving(m.reverse, -retarding),
		Leakage: m.leak(retarding),
	}
}

// leak returns the leakage in A at a voltage across the cell in V.
func (m *MeanCurrent) leak(retarding float64) float64 { return m.leakage.Current(retarding) }

// arriving returns the current in A of beams that a voltage in V retards.
func arriving(beams []beam, retarding float64) float64 {
	var current float64
	for _, b := range beams {
		share, _ := b.collection.Share(retarding + b.contact)
		current += b.emitted * share
	}
	return current
}

// Emitted returns the currents in A that leave the emitter and the collector,
// whether they arrive or not.
func (m *MeanCurrent) Emitted() (forward, reverse float64) {
	for _, b := range m.forward {
		forward += b.emitted
	}
	for _, b := range m.reverse {
		reverse += b.emitted
	}
	return forward, reverse
}
