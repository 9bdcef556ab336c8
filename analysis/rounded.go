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
	const far = 5
	full := 1 / (sigma * sigma)
	switch {
	case low > far:
		return model + low*sigma, full
	case high < -far:
		return model + high*sigma, full
	}
	// An edge so far away that the noise does not carry a reading there takes
	// no part; most steps of a coarse last digit have one.
	const beyond = 7
	p := 1.0
	var a, b float64
	if low > -beyond {
		p -= math.Erfc(-low/math.Sqrt2) / 2
		a = density(low)
	}
	if high < beyond {
		p -= math.Erfc(high/math.Sqrt2) / 2
		b = density(high)
	}
	slope := (a - b) / p
	bend := slope*slope + (b*high-a*low)/p
	// Where the step holds the model by far, the likelihood is flat.
	const least = 1e-3
	bend = max(bend, least)
	return model + slope/bend*sigma, bend * full
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
