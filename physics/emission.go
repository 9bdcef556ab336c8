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
	// Film is one whose distribution ends in another way than that of a metal.
	// It has neither a Thermal energy nor a Band.
	Film Film
	// Loss is that of the electrons on their way to the surface; there is none
	// where there is a Band.
	Loss Loss
}

// plain says that the emission is that of a metal without losses, with or without
// a Band.
func (e Emission) plain() bool { return e.Film == (Film{}) && e.Loss.Share == 0 }

// past returns what Beyond returns at a = Excess - y, by its order 0, or the
// derivative of an order by y, of an emission that is not plain. The second
// derivative is n(E)/E.
func (e Emission) past(y float64, order int) float64 {
	var whole, lossy float64
	if film := e.Film; film != (Film{}) {
		whole = film.beyond(y, order)
		if e.Loss.Share > 0 {
			coefficient, power := film.power(order)
			lossy = coefficient * e.Loss.lossyPower(y, power)
		}
	} else {
		metal := smoothed{thermal: e.Thermal, order: order}
		whole = metal.sharp(y)
		if e.Loss.Share > 0 {
			lossy = e.Loss.lossyMetal(e.Thermal, y, order)
		}
	}
	return (1-e.Loss.Share)*whole + e.Loss.Share*lossy
}

// Density returns n(E) in eV at a kinetic energy in eV.
func (e Emission) Density(energy float64) float64 {
	if energy <= 0 {
		return 0
	}
	if !e.plain() {
		return energy * e.past(e.Excess-energy, 2)
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
// with f the Fowler function. It leaves the Band out of account. Of a Film or with
// losses it is that integral with n(E)/E in place of F.
func (e Emission) Beyond(a float64) float64 {
	rest := e.Excess - a
	if !e.plain() {
		return e.past(rest, 0)
	}
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
	if !e.plain() {
		return -e.past(rest, 1)
	}
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
