package physics

// The wavelengths are in standard air, from the Handbook of Basic Atomic
// Spectroscopic Data (J. E. Sansonetti and W. C. Martin, J. Phys. Chem. Ref. Data
// 34, 1559 (2005)), from memory. The weights are rounded from that handbook's
// relative intensities; those of a lamp depend on its make and pressure.

// MercuryArc returns the lines of a mercury arc of medium pressure behind glass,
// the lamp that most teaching benches have. The weights are radiant powers in W
// of an arc of 450 W as tables of photochemistry give them (365 nm 25.6, 405 nm
// 11.0, 436 nm 20.2, 546 nm 24.5, 578 nm 20.0), from memory; within a multiplet
// they are divided as in Mercury. The continuum is left out.
func MercuryArc() []SpectralLine {
	return []SpectralLine{
		{365.0153, 21.0},
		{365.4836, 2.2},
		{366.2878, 0.6},
		{366.3279, 1.8},
		{404.6563, 10.2},
		{407.7831, 0.8},
		{435.8328, 20.2},
		{546.0735, 24.5},
		{576.9598, 9.2},
		{579.0663, 10.8},
	}
}

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
