package physics

import "math"

// Fowler returns the Fowler function
//
//	f(mu) = integral from 0 to infinity of ln(1 + exp(mu - x)) dx = -Li2(-exp(mu)),
//
// which is a complete Fermi-Dirac integral of order one (R. H. Fowler, Phys.
// Rev. 38, 45 (1931)). It is exact to a few units in the last place for every
// mu, and overflows for none that has a finite square.
//
// For mu <= 0 it is the Debye series of the dilogarithm in u = ln(1 + exp(mu)),
//
//	f = u + u^2/4 + sum over k >= 1 of B(2k) u^(2k+1)/(2k+1)!,
//
// with B the Bernoulli numbers (L. Lewin, Polylogarithms and Associated
// Functions, 1981, section 1.3); u is at most ln 2, so each term is less than
// a hundredth of the one before. Above zero the inversion formula
// f(mu) = pi^2/6 + mu^2/2 - f(-mu) holds.
func Fowler(mu float64) float64 {
	if mu > 0 {
		return math.Pi*math.Pi/6 + mu*mu/2 - Fowler(-mu)
	}
	u := math.Log1p(math.Exp(mu))
	return u * (1 + u*(0.25+u*fowlerTail(u*u)))
}

// fowlerTail is the sum of B(2k) w^(k-1)/(2k+1)! over k from 1 to 8.
func fowlerTail(w float64) float64 {
	return 1./36 + w*(-1./3600+w*(1./211680+w*(-1./10886400+
		w*(1./526901760+w*(-691./16999766784000+w*(1./1120863744000+
			w*(-3617./181400588328960000)))))))
}

// FowlerSlope returns the derivative of the Fowler function, ln(1 + exp(mu)).
func FowlerSlope(mu float64) float64 {
	if mu > 0 {
		return mu + math.Log1p(math.Exp(-mu))
	}
	return math.Log1p(math.Exp(mu))
}

// logFowler returns the logarithm of the Fowler function, also where the
// function itself is too small for a float64.
func logFowler(mu float64) float64 {
	if mu < -40 {
		// The next term of the series, -exp(mu)/4, is below half a unit in
		// the last place of one.
		return mu
	}
	return math.Log(Fowler(mu))
}
