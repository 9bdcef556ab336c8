package physics

import "math"

// Loss is the energy that electrons lose on the way to the surface. A share of the
// electrons that light has lifted loses before it escapes an energy s with the
// density exp(-s/Energy)/Energy, and the others none: light is absorbed at depths
// that have an exponential distribution, and on each nanometre of their way to the
// surface electrons lose about the same energy. With D(E) the density inside, E D(E)
// being that outside without losses, the density becomes
//
//	n(E) = E [(1 - Share) D(E) + Share integral over s > 0 of D(E + s) exp(-s/Energy)/Energy ds].
//
// The edge stays where it was, with fewer electrons near it, and slow ones are
// added: since D knows only the distance to the edge, the losses are those of photons
// that have s less.
//
// The zero Loss is none.
type Loss struct {
	// Share is that of the electrons inside, from 0 to 1.
	Share float64
	// Energy in eV is the mean energy that one of them loses, above zero.
	Energy float64
}

// lossyPower returns the mean over the energies lost of max(y - s, 0)^power,
//
//	y^power x integral from 0 to 1 of (1 - u)^power exp(-x u) du,  x = y/Energy.
func (l Loss) lossyPower(y, power float64) float64 {
	if y <= 0 {
		return 0
	}
	return math.Pow(y, power) * kept(y/l.Energy, power)
}

// longWay is the x from which kept is its asymptotic series: what is left out is of
// the order of exp(-x).
const longWay = 40

// kept returns x times the integral from 0 to 1 of (1 - u)^power exp(-x u).
// Up to longWay it is Kummer's function by its series of positive terms,
//
//	x exp(-x) times the sum over k of x^k/(k! (power + 1 + k)),
//
// and beyond the expansion of the integral up to infinity (NIST Digital Library of
// Mathematical Functions, 13.2.2, 13.2.39 and 13.7.1, from memory).
func kept(x, power float64) float64 {
	const small = 1e-17
	if x < longWay {
		term, sum := math.Exp(-x), 0.0
		for k := 0.0; k < x || term > small*sum; k++ {
			sum += term / (power + 1 + k)
			term *= x / (k + 1)
		}
		return x * sum
	}
	term, sum := 1.0, 0.0
	for k := 0.0; math.Abs(term) > small && k < x; k++ {
		sum += term
		term *= (k - power) / x
	}
	return sum
}

// lossyMetal returns the mean over the energies lost of (kT)^2 f((y - s)/kT) in
// eV^2, or the derivative of an order by y. Below zero each exponential of the
// series of the Fowler function keeps its form,
//
//	sum over k >= 1 of (-1)^(k+1) (kT/k)^(2-order) exp(k y/kT)/(1 + k Energy/kT);
//
// above, the inversion formula splits the function into powers and the mirrored
// series.
func (l Loss) lossyMetal(thermal, y float64, order int) float64 {
	if thermal == 0 {
		coefficient, power := Film{}.power(order)
		return coefficient * l.lossyPower(y, power)
	}
	if y <= 0 {
		return l.belowEdge(thermal, y, order)
	}
	coefficient, power := Film{}.power(order)
	left := math.Exp(-y / l.Energy)
	sum := coefficient*l.lossyPower(y, power) + left*l.belowEdge(thermal, 0, order)
	mirrored := l.mirrored(thermal, y, order)
	switch order {
	case 0:
		return sum - math.Pi*math.Pi/6*thermal*thermal*math.Expm1(-y/l.Energy) - mirrored
	case 1:
		return sum + mirrored
	}
	return sum - mirrored
}

// belowEdge is lossyMetal for a y of zero or below.
func (l Loss) belowEdge(thermal, y float64, order int) float64 {
	ratio := l.Energy / thermal
	fall := math.Exp(y / thermal)
	power, sum := 1.0, 0.0
	for i, weight := range &alternating {
		k := float64(i + 1)
		power *= fall
		sum += weight * power * timesOver(k, order) / (1 + k*ratio)
	}
	return sum * timesOver(1/thermal, order)
}

// mirrored is the mean over the energies lost, from 0 to y, of the series in
// exp(-k (y - s)/kT).
func (l Loss) mirrored(thermal, y float64, order int) float64 {
	left, fall := math.Exp(-y/l.Energy), math.Exp(-y/thermal)
	power, sum := 1.0, 0.0
	for i, weight := range &alternating {
		k := float64(i + 1)
		power *= fall
		// Where the two exponentials are nearly the same, their difference is
		// taken in one piece.
		apart := 1 - k*l.Energy/thermal
		mean := (power - left) / apart
		if z := apart * y / l.Energy; math.Abs(z) < 0.1 {
			mean = left * y / l.Energy
			if z != 0 {
				mean *= math.Expm1(z) / z
			}
		}
		sum += weight * mean * timesOver(k, order)
	}
	return sum * timesOver(1/thermal, order)
}

// timesOver returns x^(order-2).
func timesOver(x float64, order int) float64 {
	return [...]float64{1 / (x * x), 1 / x, 1}[order]
}

// alternating has the weights with which the first terms of an alternating series
// give its sum to one part in 10^16, if the terms are the moments of a positive
// density (H. Cohen, F. Rodriguez Villegas and D. Zagier, Experiment. Math. 9, 3
// (2000), algorithm 1).
var alternating = func() (weights [22]float64) {
	const n = float64(len(weights))
	d := math.Pow(3+math.Sqrt(8), n)
	d = (d + 1/d) / 2
	b, c := -1.0, -d
	for i := range weights {
		k := float64(i)
		c = b - c
		weights[i] = c / d
		b *= (k + n) * (k - n) / ((k + 0.5) * (k + 1))
	}
	return weights
}()
