package physics

import "math"

// Richardson is the current density of thermionic emission in A/cm^2 over the
// Total in eV^2 of the emission without light,
//
//	4 pi m (e/h)^3,
//
// which is Richardson's constant over k^2. Light of no photon energy is heat:
// with an Excess of minus the work function, E F(E) is the supply of the
// electrons that leave by themselves, and its integral, (kT)^2 f(-phi/kT), turns
// into (kT)^2 exp(-phi/kT) (O. W. Richardson; S. Dushman, Rev. Mod. Phys. 2, 381
// (1930)).
const Richardson = 1e-4 * 4 * math.Pi * electronMass / (HOverE * HOverE * HOverE)

// electronMass is in kg (CODATA 2018).
const electronMass = 9.1093837015e-31

// Thermionic returns in A/cm^2 the current density that leaves a metal of a work
// function in eV at a temperature in K.
func Thermionic(workFunction, temperature float64) float64 {
	return Richardson * Emission{Excess: -workFunction, Thermal: ThermalEnergy(temperature)}.Total()
}
