package analysis

import (
	"math"

	"stopvolt/physics"
)

// The Fowler function is tabulated for arguments from -tableReach to 0, at
// tableDensity knots for each unit.
const (
	tableReach   = 40
	tableDensity = 32
)

// A cubic is a polynomial in the distance from a knot, with the knots a unit
// apart.
type cubic struct{ c0, c1, c2, c3 float64 }

// hermite returns the cubic with the values a and b and the slopes da and db at
// two knots.
func hermite(a, da, b, db float64) cubic {
	return cubic{c0: a, c1: da, c2: 3*(b-a) - 2*da - db, c3: da + db - 2*(b-a)}
}

// fowlerCubics are the Fowler function from -k/tableDensity to the next knot
// down, by its values and slopes at both.
var fowlerCubics = makeFowlerCubics()

func makeFowlerCubics() (cubics [tableReach * tableDensity]cubic) {
	knot := func(k int) (value, slope float64) {
		mu := -float64(k) / tableDensity
		return physics.Fowler(mu), -physics.FowlerSlope(mu) / tableDensity
	}
	for k := range cubics {
		a, da := knot(k)
		b, db := knot(k + 1)
		cubics[k] = hermite(a, da, b, db)
	}
	return cubics
}

// fowler returns the Fowler function of physics.Fowler to 1e-9, and its slope
// to 1e-6, by cubic Hermite interpolation: the error of the value is at most
// h^4/384 of the fourth derivative, 2.5e-9 of the function itself where that is
// small. Below -tableReach it is taken as zero. A fit needs it a hundred times
// for each reading.
func fowler(mu float64) (f, slope float64) {
	if mu <= 0 {
		return fowlerTail(-mu)
	}
	f, slope = fowlerTail(mu)
	return math.Pi*math.Pi/6 + mu*mu/2 - f, mu + slope
}

// fowlerTail returns the Fowler function and its slope at -x, for x not below
// zero.
func fowlerTail(x float64) (f, slope float64) {
	x *= tableDensity
	if !(x < tableReach*tableDensity) {
		return 0, 0
	}
	k := int(x)
	t := x - float64(k)
	c := &fowlerCubics[k]
	f = c.c0 + t*(c.c1+t*(c.c2+t*c.c3))
	slope = -tableDensity * (c.c1 + t*(2*c.c2+t*3*c.c3))
	return f, slope
}

// fowlerBelow returns the value of fowlerTail alone.
func fowlerBelow(x float64) float64 {
	x *= tableDensity
	if !(x < tableReach*tableDensity) {
		return 0
	}
	k := int(x)
	t := x - float64(k)
	c := &fowlerCubics[k]
	return c.c0 + t*(c.c1+t*(c.c2+t*c.c3))
}
