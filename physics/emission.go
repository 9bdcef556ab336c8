package physics

import "math"

// Emission is the law of the electrons that light of one photon energy ejects
// from a metal of one work function. The density of the emitted electrons in
// their total kinetic energy E outside the metal is
//
//	n(E) = E F(E),  F(E) = 1/(1 + exp((E - Em)/kT)),  E > 0,
//
// in units of eV, and their directions follow Lambert's cosine law, so that
// the square of the sine of the angle to the normal is uniform on [0, 1]
// (R. H. Fowler, Phys. Rev. 38, 45 (1931); L. A. DuBridge, Phys. Rev. 43, 727
// (1933)).
type Emission struct {
	// Excess is Em = hv - phi in eV, the largest kinetic energy of a cold
	// emitter; it is negative below the threshold.
	Excess float64
	// Thermal is kT in eV; it must not be negative, and 0 is the cold emitter.
	Thermal float64
	// Band is that of the metal; the zero Band is the form above.
	Band Band
}

// Density returns n(E) in eV at a kinetic energy in eV.
func (e Emission) Density(energy float64) float64 {
	if energy <= 0 {
		return 0
	}
	if e.Thermal == 0 {
		if energy > e.Excess {
			return 0
		}
		return energy * e.Band.factor(energy, e.Excess)
	}
	return energy * e.Band.factor(energy, e.Excess) / (1 + math.Exp((energy-e.Excess)/e.Thermal))
}

// Beyond returns in eV^2 the integral
//
//	G(a) = integral from a to infinity of (E - a) F(E) dE = (kT)^2 f((Em - a)/kT)
//
// with f the Fowler function. It leaves the Band out of account.
func (e Emission) Beyond(a float64) float64 {
	rest := e.Excess - a
	if e.Thermal == 0 {
		return math.Pow(max(rest, 0), 2) / 2
	}
	if rest > 0 {
		// The inversion formula, with (kT)^2 multiplied in before mu^2 can
		// overflow.
		square := e.Thermal * e.Thermal
		return square*(math.Pi*math.Pi/6-Fowler(-rest/e.Thermal)) + rest*rest/2
	}
	return e.Thermal * e.Thermal * Fowler(rest/e.Thermal)
}

// BeyondSlope returns the derivative dG/da in eV, which is never positive.
func (e Emission) BeyondSlope(a float64) float64 {
	rest := e.Excess - a
	if e.Thermal == 0 {
		return -max(rest, 0)
	}
	if rest > 0 {
		return -rest - e.Thermal*math.Log1p(math.Exp(-rest/e.Thermal))
	}
	return -e.Thermal * math.Log1p(math.Exp(rest/e.Thermal))
}

// Total returns in eV^2 the integral of the density, G(0) without a Band: the
// yield in units that all emissions of one metal share.
func (e Emission) Total() float64 {
	if e.Band == (Band{}) {
		return e.Beyond(0)
	}
	total := e.overEnergies(nil, func(float64) float64 { return 1 })
	if e.Excess < 0 && e.Thermal > 0 {
		total *= math.Exp(e.Excess / e.Thermal)
	}
	return total
}

// none says that no float64 can hold G(0), so that shares need their limit.
func (e Emission) none() bool { return e.Beyond(0) == 0 }

// relative returns G(a)/G(0) for a >= 0, also where both are too small for a
// float64: far below the threshold the escaping electrons are the tail of the
// Fermi distribution, which falls as exp(-a/kT) whatever Em is.
func (e Emission) relative(a float64) float64 {
	if !e.none() {
		return e.Beyond(a) / e.Beyond(0)
	}
	if e.Thermal == 0 {
		if a > 0 {
			return 0
		}
		return 1
	}
	if e.Excess < -reach*e.Thermal {
		return math.Exp(-a / e.Thermal)
	}
	return math.Exp(logFowler((e.Excess-a)/e.Thermal) - logFowler(e.Excess/e.Thermal))
}

// relativeSlope returns G'(a)/G(0) in 1/eV for a >= 0.
func (e Emission) relativeSlope(a float64) float64 {
	if !e.none() {
		return e.BeyondSlope(a) / e.Beyond(0)
	}
	if e.Thermal == 0 {
		return 0
	}
	// Where G(0) is too small for a float64, f and its slope agree.
	return -e.relative(a) / e.Thermal
}
