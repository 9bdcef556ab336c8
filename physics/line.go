package physics

// A SpectralLine is one line of a source.
type SpectralLine struct {
	// Wavelength is that in standard air in nm.
	Wavelength float64
	// Weight is the line's share of the power of its source before any filter;
	// the weights of a source need not add up to one.
	Weight float64
}

// Mercury returns the lines of a mercury lamp behind glass. The wavelengths are
// those of the Handbook of Basic Atomic Spectroscopic Data (J. E. Sansonetti
// and W. C. Martin, J. Phys. Chem. Ref. Data 34, 1559 (2005)). The weights are
// that handbook's relative intensities, from memory; lamps differ widely.
func Mercury() []SpectralLine {
	return []SpectralLine{
		{365.0153, 2800},
		{365.4836, 300},
		{366.2878, 80},
		{366.3279, 240},
		{404.6563, 1800},
		{407.7831, 150},
		{435.8328, 4000},
		{546.0735, 1100},
		{576.9598, 240},
		{579.0663, 280},
	}
}
