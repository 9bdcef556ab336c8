package physics

// RefractiveIndex returns that of standard air (15 C, 101325 Pa, dry, 450 ppm
// of carbon dioxide) for a wavelength in vacuum in nm, from 300 to 1690 nm:
//
//	10^8 (n - 1) = 5792105/(238.0185 - s^2) + 167917/(57.362 - s^2)
//
// with s the wavenumber in vacuum in 1/um (P. E. Ciddor, Appl. Opt. 35, 1566
// (1996), equation 1).
func RefractiveIndex(vacuumWavelength float64) float64 {
	s := 1e3 / vacuumWavelength
	s2 := s * s
	return 1 + 1e-8*(5792105/(238.0185-s2)+167917/(57.362-s2))
}

// VacuumWavelength returns the wavelength in vacuum in nm of light that has the
// given wavelength in nm in standard air.
func VacuumWavelength(airWavelength float64) float64 {
	vacuum := airWavelength
	// The index changes by less than 1e-7 for a nanometre, so each turn gains
	// more than six digits.
	for range 4 {
		vacuum = airWavelength * RefractiveIndex(vacuum)
	}
	return vacuum
}

// Frequency returns in Hz the frequency of light of a wavelength in nm in
// standard air.
func Frequency(airWavelength float64) float64 {
	return SpeedOfLight / (VacuumWavelength(airWavelength) * 1e-9)
}

// PhotonEnergy returns hv in eV of light of a wavelength in nm in standard air,
// in a world whose h/e is given in V s.
func PhotonEnergy(hOverE, airWavelength float64) float64 {
	return hOverE * Frequency(airWavelength)
}

// AirWavelength returns in nm the wavelength in standard air of light of a
// frequency in Hz.
func AirWavelength(frequency float64) float64 {
	vacuum := SpeedOfLight / frequency * 1e9
	return vacuum / RefractiveIndex(vacuum)
}
