package instrument

import (
	"math"

	"stopvolt/physics"
)

// Lamp is how the power of the light strays from what the settings state. The
// zero Lamp is a steady one.
type Lamp struct {
	// WarmUp is the part of its power, from 0 to 1, that a lamp lacks when it
	// is lit, at lampWavelength; the lack dies away exponentially with
	// WarmUpTime in s, above zero where there is a WarmUp.
	WarmUp, WarmUpTime float64
	// Colour makes the lack of a line go as its wavelength to this power, so
	// that the ratios of the lines change while the lamp warms; 0 is a lamp
	// that lacks the same part of every line.
	Colour float64
	// Lead is the time in s, not negative, from lighting the lamp to the first
	// reading's beginning.
	Lead float64
	// Drift is the half-width in 1/s of the range in which the rate of a
	// session's steady change may lie, not negative.
	Drift float64
	// Flicker is the Allan deviation of the power, relative to it, of its
	// wandering with a spectrum of 1/f, not negative.
	Flicker float64
	// Ripple is the amplitude, relative to the power, at twice the mains
	// frequency, from 0 to 1.
	Ripple float64
}

// lampWavelength is that in nm for which WarmUp is stated.
const lampWavelength = 500

// Lack returns the part of the power at lighting that is still lacking, as a
// part of the whole lack, at a time in s since the session began.
func (l Lamp) Lack(time float64) float64 {
	if l.WarmUp == 0 {
		return 0
	}
	return math.Exp(-(time + l.Lead) / l.WarmUpTime)
}

// Cold returns a setting of the light as it is when the lamp has just been
// lit.
func (l Lamp) Cold(hot Light) Light {
	cold := hot
	cold.Lines = nil
	var before, after float64
	for _, line := range hot.Lines {
		before += line.Weight
		lack := l.WarmUp * math.Pow(line.Wavelength/lampWavelength, l.Colour)
		weight := line.Weight * (1 - min(lack, 1))
		after += weight
		cold.Lines = append(cold.Lines, physics.SpectralLine{Wavelength: line.Wavelength, Weight: weight})
	}
	cold.Flux = hot.Flux * after / before
	return cold
}
