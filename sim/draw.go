package sim

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"stopvolt/physics"
)

// normal draws from a normal distribution about zero; without a spread nothing
// is drawn.
func normal(sigma float64, src *Stream) float64 {
	if !(sigma > 0) {
		return 0
	}
	return distuv.Normal{Sigma: sigma, Src: src}.Rand()
}

// uniform draws from the range of a half-width about zero.
func uniform(half float64, src *Stream) float64 {
	if !(half > 0) {
		return 0
	}
	return distuv.Uniform{Min: -half, Max: half, Src: src}.Rand()
}

// wave draws the cosine of an angle of which all values are equally likely, from
// a point in the unit circle (J. von Neumann, National Bureau of Standards
// Applied Mathematics Series 12, 36 (1951)).
func wave(src *Stream) float64 {
	for {
		bits := src.Uint64()
		x, y := half(bits), half(bits>>32)
		x, y = x*x, y*y
		if r := x + y; r <= 1 {
			// The angle of the point is doubled.
			return (x - y) / r
		}
	}
}

// largestCount is the mean up to which electrons are counted one by one. Beyond
// it their number is normal: the skewness left out is below 1e-3, which would
// take millions of readings to see.
const largestCount = 1e6

// shot draws the noise of electrons that arrive at a mean current in A over a
// dwell in s: the charge in C by which what arrives differs from its mean, or,
// where they are many, the variance in C^2 of that charge, to be drawn with
// other normal noise. Electrons that leave independently and are collected
// independently arrive as a Poisson process. A current that is not a positive
// finite number carries none.
func shot(current, dwell float64, src *Stream) (excess, variance float64) {
	const e = physics.ElementaryCharge
	mean := current * dwell / e
	// distuv.Poisson does not return for a mean that is not a number, and takes
	// a negative one for zero.
	switch {
	case !(mean > 0), math.IsInf(mean, 0):
		return 0, 0
	case mean > largestCount:
		return 0, mean * (e * e)
	}
	return (distuv.Poisson{Lambda: mean, Src: src}.Rand() - mean) * e, 0
}
