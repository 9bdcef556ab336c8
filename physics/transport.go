package physics

import (
	"errors"
	"fmt"
)

// A Transport carries the electrons of an emission across the gap. All
// transports keep one contract, so that everything after them is shared.
type Transport interface {
	// Prepare returns the collected share of the electrons of e in the
	// geometry g at any barrier, or an error if the transport does not know
	// the geometry.
	Prepare(e Emission, g Geometry) (Collection, error)
}

// A Collection is the outcome of a transport for one emission.
type Collection interface {
	// Share returns the share of the electrons that cross a barrier in eV, and
	// the standard error of that share; an exact transport has none.
	Share(barrier float64) (share, standardError float64)
}

// Closed is the transport by closed forms. It is exact.
type Closed struct{}

// Prepare returns the closed form of the geometry; the error says which
// geometry has none.
func (Closed) Prepare(e Emission, g Geometry) (Collection, error) {
	form, ok := g.(ClosedForm)
	switch {
	case !ok:
		return nil, fmt.Errorf("the geometry %T has no closed form; the transports auto and electrons take it", g)
	case e.Band != (Band{}):
		return nil, errors.New("an emission with its band has no closed form; the transports auto and electrons take it")
	}
	return closedCollection{e, form}, nil
}

// closedCollection is a closed form bound to its emission.
type closedCollection struct {
	emission Emission
	form     ClosedForm
}

// Share returns the closed form's share, which has no error.
func (c closedCollection) Share(barrier float64) (share, standardError float64) {
	return c.form.Share(c.emission, barrier), 0
}
