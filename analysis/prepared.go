package analysis

import (
	"stopvolt/instrument/run"
)

// Prepared is a curve made ready for the methods: readings at one voltage
// merged, the voltage rising, the noise known or estimated. A Prepared can be
// used again for another curve without allocating.
type Prepared struct {
	// Setting and Wavelength (nm, standard air) are those of the curve.
	Setting    string
	Wavelength float64
	// V are the distinct retarding voltages in V, rising; I the mean currents
	// in A; U their standard uncertainties in A, all above zero.
	V, I, U []float64
	// NoiseKnown says that U comes from the instrument; if not, U is estimated
	// from the readings' own scatter.
	NoiseKnown bool
	// Temperature is the emitter's in K, run.RoomTemperature where not known.
	Temperature float64
	// Resolution is one step of the meter's last digit in A; where it is not
	// known it is guessed from the digits of the readings.
	Resolution float64
}

// Prepare fills p from a curve. Readings flagged as overloaded are left out.
// It returns an error for a curve with fewer than two distinct voltages, or
// with a value that is not finite.
func (p *Prepared) Prepare(c run.Curve, f run.Facts) error {
	panic("helper A writes this")
}
