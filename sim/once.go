package sim

import (
	"reflect"

	"stopvolt/physics"
)

// once is the transport by quadrature that integrates each emission once,
// however many settings of the light let its line through.
type once struct {
	physics.Quadrature
	done map[crossing]physics.Collection
}

// crossing is an emission in a geometry.
type crossing struct {
	emission physics.Emission
	geometry physics.Geometry
}

// OnlyOnce returns a transport that remembers, if it is one that takes time. It
// is not safe for several goroutines.
func OnlyOnce(t physics.Transport) physics.Transport {
	if q, ok := t.(physics.Quadrature); ok {
		return once{q, make(map[crossing]physics.Collection)}
	}
	return t
}

// Patchwork returns the patchy electrodes, which remember the photon energies
// that they have been made ready for.
func (o once) Patchwork(thermal float64, p physics.Patches, g physics.Geometry) (physics.Patchy, bool) {
	work, ok := o.Quadrature.Patchwork(thermal, p, g)
	if !ok {
		return nil, false
	}
	return rememberedPatchy{work, make(map[float64]physics.Collection)}, true
}

// rememberedPatchy makes the collection of a mean excess once.
type rememberedPatchy struct {
	physics.Patchy
	done map[float64]physics.Collection
}

// Collection returns what it returned for the same excess before.
func (r rememberedPatchy) Collection(excess float64) physics.Collection {
	c, ok := r.done[excess]
	if !ok {
		c = r.Patchy.Collection(excess)
		r.done[excess] = c
	}
	return c
}

// Prepare returns what it returned for the same arguments before.
func (o once) Prepare(e physics.Emission, g physics.Geometry) (physics.Collection, error) {
	if !reflect.TypeOf(g).Comparable() {
		return o.Quadrature.Prepare(e, g)
	}
	key := crossing{e, g}
	if c, ok := o.done[key]; ok {
		return c, nil
	}
	c, err := o.Quadrature.Prepare(e, g)
	if err == nil {
		o.done[key] = c
	}
	return c, err
}
