package instrument

import "math"

// Rippled is the mean current of a cell whose voltage swings as a sine. Where
// the curve of the current is bent, its mean is not that at the mean voltage.
type Rippled struct {
	Mean *MeanCurrent
	// Amplitude is in V, not negative.
	Amplitude float64
}

// rippleNodes is the number of voltages that stand for a swing: by
// Gauss-Chebyshev quadrature, good to 1e-8 up to four kT/e.
const rippleNodes = 8

// At returns the mean currents over a swing about a voltage in V.
func (r Rippled) At(retarding float64) Currents {
	if r.Amplitude == 0 {
		return r.Mean.At(retarding)
	}
	var sum Currents
	for i := range rippleNodes {
		c := r.Mean.At(retarding + r.Amplitude*math.Cos(math.Pi*(float64(i)+0.5)/rippleNodes))
		sum.Forward += c.Forward / rippleNodes
		sum.Reverse += c.Reverse / rippleNodes
	}
	// The leakage is a straight line, which a swing leaves alone.
	sum.Leakage = r.Mean.leakage.Current(retarding)
	return sum
}

// leak returns the leakage in A at a voltage in V.
func (r Rippled) leak(retarding float64) float64 { return r.Mean.leakage.Current(retarding) }
