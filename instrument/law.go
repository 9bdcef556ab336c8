package instrument

import "stopvolt/physics"

// Law says how electrons leave a surface. The zero Law is that of a metal near its
// threshold.
type Law struct {
	// FermiEnergy in eV is the depth of the metal's band below the Fermi
	// level, which carries the emission beyond the form near the threshold (see
	// physics.Band); 0 keeps that form. It goes with neither Film nor Loss.
	FermiEnergy float64
	// Film is a semiconducting film in place of the metal, and FilmEdge in eV, not
	// negative, the depth of its band's edge below the Fermi level. The contact
	// potential is a matter of Fermi levels, the fastest electrons come from the
	// edge: the current ends FilmEdge/e before the ideal stopping voltage, on every
	// line (E. U. Condon, Phys. Rev. 54, 1089 (1938), from its abstract and memory).
	// The band is taken as full, which it is where the depth is some kT or more.
	Film     physics.Film
	FilmEdge float64
	// Loss is that of electrons on their way to the surface.
	Loss physics.Loss
}

// Threshold returns the least photon energy in eV that frees cold electrons from a
// work function in eV.
func (l Law) Threshold(workFunction float64) float64 {
	if l.Film == (physics.Film{}) {
		return workFunction
	}
	return workFunction + l.FilmEdge
}

// Smearing returns the kT in eV by which the emission of a surface of a thermal
// energy in eV is smeared: the edge of a film's band is sharp.
func (l Law) Smearing(thermal float64) float64 {
	if l.Film != (physics.Film{}) {
		return 0
	}
	return thermal
}

// metal returns the law of what heat alone drives out.
func (l Law) metal() Law { return Law{FermiEnergy: l.FermiEnergy} }

// plain says that a surface emits as a metal near its threshold.
func (l Law) plain() bool {
	return l.FermiEnergy == 0 && l.Film == (physics.Film{}) && l.Loss.Share == 0
}

// Metallic says that the emitter is of metals from which electrons come out without
// losses.
func (e Emitter) Metallic() bool {
	for _, piece := range e.Pieces() {
		if piece.Film != (physics.Film{}) || piece.Loss.Share > 0 {
			return false
		}
	}
	return true
}

// ordinary says that all pieces of the emitter are plain.
func (e Emitter) ordinary() bool {
	for _, piece := range e.Pieces() {
		if !piece.plain() {
			return false
		}
	}
	return true
}

// Emission returns that of a piece of the surface with a work function in eV under
// photons of an energy in eV, at a thermal energy in eV.
func (l Law) Emission(photon, workFunction, thermal float64) physics.Emission {
	e := physics.Emission{Excess: photon - l.Threshold(workFunction), Thermal: l.Smearing(thermal), Film: l.Film, Loss: l.Loss}
	if l.FermiEnergy > 0 {
		e.Band = physics.Band{Fermi: l.FermiEnergy, Depth: l.FermiEnergy + workFunction}
	}
	return e
}
