package physics

import "math"

// A band of light is given as lines with the weights of Gauss's rule, so that
// smooth functions of the wavelength have the right mean.

// Diode returns the band of a light-emitting diode with its peak at a wavelength
// in nm and a full width at half maximum in nm. The skew, above -1 and below 1,
// is the width on the long-wavelength side less that on the short one, over the
// whole width; on each side the band is Gaussian. Real diodes have a skew above
// zero in wavelength (common practice, no source).
func Diode(peak, width, skew float64) []SpectralLine {
	long, short := width/2*(1+skew), width/2*(1-skew)
	// At three half-widths from the peak 1/512 of it is left.
	var lines []SpectralLine
	for _, half := range []float64{-short, long} {
		for panel := range 3 {
			for i, x := range gauss8.x {
				z := float64(panel) + x
				lines = append(lines, SpectralLine{
					Wavelength: peak + half*z,
					Weight:     gauss8.weight[i] * math.Abs(half) * math.Exp(-math.Ln2*z*z),
				})
			}
		}
	}
	return lines
}

// Slit returns the band that a monochromator with equal slits passes of a lamp
// with a smooth spectrum: a triangle of a full width at half maximum in nm about
// a wavelength in nm.
func Slit(centre, width float64) []SpectralLine {
	var lines []SpectralLine
	for _, side := range []float64{-1, 1} {
		for i, x := range gauss16.x {
			lines = append(lines, SpectralLine{
				Wavelength: centre + side*width*x,
				Weight:     gauss16.weight[i] * (1 - x),
			})
		}
	}
	return lines
}
