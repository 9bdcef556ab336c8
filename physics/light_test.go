package physics_test

import (
	"testing"

	"gonum.org/v1/gonum/floats/scalar"

	"stopvolt/physics"
)

// Vacuum wavelengths from the NIST Atomic Spectra Database, from memory.
func TestLinesInVacuum(t *testing.T) {
	for _, line := range []struct{ air, vacuum float64 }{
		{643.84696, 644.02491}, // cadmium red, long the primary standard
		{588.99510, 589.15833}, // sodium D2
		{589.59242, 589.75581}, // sodium D1
	} {
		if got := physics.VacuumWavelength(line.air); !scalar.EqualWithinAbs(got, line.vacuum, 1e-4) {
			t.Errorf("%g nm in air is %.5f nm in vacuum, want %g", line.air, got, line.vacuum)
		}
	}
}

// moments returns the mean of a band in nm and the power between two
// wavelengths over all of it.
func moments(lines []physics.SpectralLine, from, to float64) (mean, share float64) {
	var sum float64
	for _, line := range lines {
		sum += line.Weight
		mean += line.Weight * line.Wavelength
		if line.Wavelength >= from && line.Wavelength <= to {
			share += line.Weight
		}
	}
	return mean / sum, share / sum
}

// The mean of two half-Gaussians of half-widths a and b at half maximum lies
// (b-a)/sqrt(pi ln 2) beyond the peak; cut at three half-widths, the factor
// 1 - 1/512 belongs to the first moment and erf(3 sqrt(ln 2)) to the area.
func TestSkewedDiodeHasItsMeanBeyondThePeak(t *testing.T) {
	const peak, width, skew = 470, 24, 0.3
	mean, longer := moments(physics.Diode(peak, width, skew), peak, 1000)
	const cut = (1 - 1./512) / 0.99959
	if want := peak + width*skew*cut*0.67766; !scalar.EqualWithinAbs(mean, want, 1e-2) {
		t.Errorf("mean %.4f nm, want %.4f", mean, want)
	}
	if !scalar.EqualWithinAbs(longer, (1+skew)/2, 1e-6) {
		t.Errorf("%.4f of the power lies beyond the peak, want %.4f", longer, (1+skew)/2)
	}
}

func TestSlitIsATriangle(t *testing.T) {
	mean, middle := moments(physics.Slit(500, 4), 496, 504)
	if !scalar.EqualWithinAbs(mean, 500, 1e-9) || middle != 1 {
		t.Errorf("mean %g nm, %g of the power within twice the width", mean, middle)
	}
	var second, sum float64
	for _, line := range physics.Slit(500, 4) {
		second += line.Weight * (line.Wavelength - 500) * (line.Wavelength - 500)
		sum += line.Weight
	}
	// The variance of a triangle is width^2/6.
	if got := second / sum; !scalar.EqualWithinRel(got, 16./6, 1e-12) {
		t.Errorf("variance %g nm^2, want %g", got, 16./6)
	}
}
