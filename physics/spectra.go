package physics

// The wavelengths are in standard air, from the Handbook of Basic Atomic
// Spectroscopic Data (J. E. Sansonetti and W. C. Martin, J. Phys. Chem. Ref. Data
// 34, 1559 (2005)), from memory. The weights are rounded from that handbook's
// relative intensities; those of a lamp depend on its make and pressure.

// Cadmium returns the lines of a cadmium lamp behind glass.
func Cadmium() []SpectralLine {
	return []SpectralLine{
		{346.6200, 100},
		{361.0508, 100},
		{467.8149, 20},
		{479.9912, 30},
		{508.5822, 100},
		{643.8470, 200},
	}
}

// Sodium returns the lines of a sodium lamp, nearly all of whose light is the
// pair of D lines.
func Sodium() []SpectralLine {
	return []SpectralLine{
		{498.2813, 2},
		{568.8205, 6},
		{588.9950, 800},
		{589.5924, 400},
		{615.4225, 3},
	}
}

// Helium returns the lines of a helium discharge tube behind glass.
func Helium() []SpectralLine {
	return []SpectralLine{
		{388.8646, 500},
		{447.1480, 200},
		{471.3146, 30},
		{492.1931, 20},
		{501.5678, 100},
		{587.5621, 500},
		{667.8151, 100},
		{706.5190, 200},
	}
}
