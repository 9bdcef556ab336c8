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
