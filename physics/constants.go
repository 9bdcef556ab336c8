package physics

import "gonum.org/v1/gonum/unit/constant"

// The constants are exact in the International System of Units since 2019.
const (
	// ElementaryCharge is e in C.
	ElementaryCharge = float64(constant.ElementaryCharge)
	// Boltzmann is the Boltzmann constant in J/K.
	Boltzmann = float64(constant.Boltzmann)
	// SpeedOfLight is that in vacuum in m/s.
	SpeedOfLight = float64(constant.LightSpeedInVacuum)
	// HOverE is h/e in V s, the number that the experiment is after.
	HOverE = float64(constant.Planck) / float64(constant.ElementaryCharge)
)

// ThermalEnergy returns kT in eV of a temperature in K.
func ThermalEnergy(temperature float64) float64 {
	return Boltzmann / ElementaryCharge * temperature
}
