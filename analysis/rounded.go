package analysis

import "math"

// sharpest is the noise, as a share of a step of the last digit, below which a
// fit does not take it: the likelihood of rounded readings would have corners.
const sharpest = 1. / 10

// refinements is the most often that a fit is repeated with weights for rounded
// readings.
const refinements = 25

// settled is the share of its uncertainty that a fit may still move by when it
// is not repeated once more.
const settled = 0.03

// unrounded returns the reading and the weight that stand, near a model current,
// for a reading that was rounded to a step. They have the slope and the curvature
// of the logarithm of the likelihood
//
//	L = Phi((y + step/2 - model)/sigma) - Phi((y - step/2 - model)/sigma),
//
// so that least squares with them are a step of Newton's method towards the
// greatest likelihood. A reading whose step holds the model hardly counts, one
// at the edge of a step counts as if it had the noise alone.
func unrounded(y, model, step, sigma float64) (reading, weight float64) {
	low, high := (y-step/2-model)/sigma, (y+step/2-model)/sigma
	// Far from its step only the nearer edge is seen.
	full := 1 / (sigma * sigma)
	switch {
	case low > hazardTo:
		return model + low*sigma, full
	case high < -hazardTo:
		return model + high*sigma, full
	}
	var slope, bend float64
	if low > -apart && high < apart {
		p := (math.Erfc(-high/math.Sqrt2) - math.Erfc(-low/math.Sqrt2)) / 2
		a, b := density(low), density(high)
		slope = (a - b) / p
		bend = slope*slope + (b*high-a*low)/p
	} else {
		// The noise hardly carries a reading over both edges, so that their
		// effects add up.
		a, b := hazard(low), hazard(-high)
		slope = a - b
		bend = slope*slope + b*high - a*low
	}
	// Where the step holds the model by far, the likelihood is flat.
	const least = 1e-3
	bend = max(bend, least)
	return model + slope/bend*sigma, bend * full
}

// apart is the distance of an edge in standard deviations that the noise crosses
// with a probability of 3e-7.
const apart = 5

// The hazard is tabulated at hazardDensity knots for each standard deviation,
// from where it vanishes to where an edge is far away.
const (
	hazardFrom    = -7
	hazardTo      = 5
	hazardDensity = 32
)

// hazardCubics are the hazard from each knot to the next.
var hazardCubics = makeHazardCubics()

func makeHazardCubics() (cubics [(hazardTo-hazardFrom)*hazardDensity + 1]cubic) {
	knot := func(k int) (value, slope float64) {
		z := hazardFrom + float64(k)/hazardDensity
		h := density(z) / (math.Erfc(z/math.Sqrt2) / 2)
		return h, h * (h - z) / hazardDensity
	}
	for k := range cubics {
		a, da := knot(k)
		b, db := knot(k + 1)
		cubics[k] = hermite(a, da, b, db)
	}
	return cubics
}

// hazard returns density(z)/Phi(-z) for z up to hazardTo, to 1e-8. It is how
// steeply the logarithm of a likelihood falls at an edge of a step, and its own
// slope is h (h - z).
func hazard(z float64) float64 {
	if !(z > hazardFrom) {
		return 0
	}
	x := (z - hazardFrom) * hazardDensity
	k := int(x)
	t := x - float64(k)
	c := &hazardCubics[k]
	return c.c0 + t*(c.c1+t*(c.c2+t*c.c3))
}

// density is that of the standard normal distribution.
func density(z float64) float64 {
	return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi)
}

// noiseWithin returns the noise of reading i without the rounding of its last
// digit.
func (p *Prepared) noiseWithin(i int) float64 {
	noise := p.U[i]*p.U[i] - p.Resolution*p.Resolution/12
	return math.Sqrt(max(noise, sharpest*sharpest*p.Resolution*p.Resolution))
}
