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

// fowlerKnots are the values of the Fowler function at -k/tableDensity, each
// with its slope along k.
var fowlerKnots = makeFowlerKnots()

func makeFowlerKnots() (knots [tableReach*tableDensity + 1]struct{ value, slope float64 }) {
	for k := range knots {
		mu := -float64(k) / tableDensity
		knots[k].value = physics.Fowler(mu)
		knots[k].slope = -physics.FowlerSlope(mu) / tableDensity
	}
	return knots
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
	a, b := &fowlerKnots[k], &fowlerKnots[k+1]
	rise := b.value - a.value
	c2 := 3*rise - 2*a.slope - b.slope
	c3 := a.slope + b.slope - 2*rise
	f = a.value + t*(a.slope+t*(c2+t*c3))
	slope = -tableDensity * (a.slope + t*(2*c2+t*3*c3))
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
	a, b := &fowlerKnots[k], &fowlerKnots[k+1]
	rise := b.value - a.value
	return a.value + t*(a.slope+t*(3*rise-2*a.slope-b.slope+t*(a.slope+b.slope-2*rise)))
}
