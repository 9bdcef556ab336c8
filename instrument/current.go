package instrument

import (
	"fmt"

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

// beam is the electrons that light of one line ejects from one patch towards
// one patch.
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
	m := &MeanCurrent{leakage: a.Leakage}
	emitter, err := a.Emitter.response(a.World, a.Emitter.Temperature)
	if err != nil {
		return nil, fmt.Errorf("emitter: %w", err)
	}
	// The part of the collector that emitter metal covers has the emitter's
	// surface.
	bare, coated := 1-a.Collector.EmitterCoating, a.Collector.EmitterCoating
	out := cast{a.World, 1 - a.Collector.StrayLight, a.Geometry, t}
	m.forward, err = out.add(m.forward, l, emitter, a.Emitter.Surface, 1, []face{{a.Collector.Surface, bare}, {a.Emitter.Surface, coated}})
	if err != nil {
		return nil, err
	}
	if a.Collector.StrayLight == 0 {
		return m, nil
	}
	back := cast{a.World, a.Collector.StrayLight, a.Geometry.Reversed(), t}
	ends := []face{{a.Emitter.Surface, 1}}
	if bare > 0 {
		collector, err := a.Collector.response(a.World, a.Collector.Temperature)
		if err != nil {
			return nil, fmt.Errorf("collector: %w", err)
		}
		if m.reverse, err = back.add(m.reverse, l, collector, a.Collector.Surface, bare, ends); err != nil {
			return nil, err
		}
	}
	if coated > 0 {
		coating := response{physics.ThermalEnergy(a.Collector.Temperature), emitter.scale}
		if m.reverse, err = back.add(m.reverse, l, coating, a.Emitter.Surface, coated, ends); err != nil {
			return nil, err
		}
	}
	return m, nil
}

// face is a part of the electrode that electrons arrive at.
type face struct {
	surface Surface
	share   float64
}

// cast is one direction across the gap.
type cast struct {
	world     World
	lit       float64 // fraction of the light that falls on the near electrode
	geometry  physics.Geometry
	transport physics.Transport
}

// add appends to beams those of the light on a share of the near surface
// towards the faces of the far electrode. The currents of patches are added,
// not their collected shares: near the threshold a patch with a low work
// function emits more.
func (c cast) add(beams []beam, l Light, r response, near Surface, share float64, far []face) ([]beam, error) {
	for _, line := range l.Spectrum() {
		photon := physics.PhotonEnergy(c.world.HOverE, line.Wavelength)
		// A watt of photons of hv in eV is 1/hv amperes of photons.
		photons := c.lit * line.Weight / photon
		for _, from := range near.patches() {
			emission, yield := r.at(photon, from)
			collection, err := c.transport.Prepare(emission, c.geometry)
			if err != nil {
				return nil, err
			}
			for _, f := range far {
				if f.share == 0 {
					continue
				}
				for _, to := range f.surface.patches() {
					beams = append(beams, beam{
						emitted:    photons * yield * share * from.share * f.share * to.share,
						contact:    to.workFunction - from.workFunction,
						collection: collection,
					})
				}
			}
		}
	}
	return beams, nil
}

// At returns the mean currents at a voltage across the cell in V, positive
// when it retards.
func (m *MeanCurrent) At(retarding float64) Currents {
	c := Currents{Leakage: m.leakage.Current(retarding)}
	for _, b := range m.forward {
		share, _ := b.collection.Share(retarding + b.contact)
		c.Forward += b.emitted * share
	}
	for _, b := range m.reverse {
		share, _ := b.collection.Share(b.contact - retarding)
		c.Reverse += b.emitted * share
	}
	return c
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

// leak returns the leakage in A at a voltage across the cell in V.
func (m *MeanCurrent) leak(retarding float64) float64 { return m.leakage.Current(retarding) }
