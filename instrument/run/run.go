// Package run holds what comes off the bench: readings of current against
// retarding voltage, one curve for each setting of the light, with the facts
// that whoever analyses them has. It never holds the truth behind a synthetic
// run, so that a method can be trusted not to have seen it. It writes runs;
// the folder reader beneath it reads them, from any laboratory's files.
package run

import (
	"fmt"
	"math"
)

// A Run is a set of curves taken with one apparatus in one session.
type Run struct {
	// Curves are in the order in which they were taken or read.
	Curves []Curve
	// Facts are what the analyst knows of the apparatus.
	Facts Facts
}

// A Curve is the current against the retarding voltage at one setting of the
// light.
type Curve struct {
	// Setting names the state of the light, such as "violet".
	Setting string
	// Wavelength is the nominal wavelength in standard air in nm; 0 for a dark
	// curve.
	Wavelength float64
	// Dark says that the light was off: the curve shows leakage and offset
	// alone and has no stopping voltage.
	Dark bool
	// Readings are in the order in which they were taken.
	Readings []Reading
}

// A Reading is one value of the current with the voltage at which it was taken.
type Reading struct {
	// Retarding is the retarding voltage in V as the voltmeter showed it; it
	// is positive when the collector is negative against the emitter.
	Retarding float64
	// Current is in A, positive for electrons going from emitter to collector.
	Current float64
	// Uncertainty is the standard uncertainty of Current in A from the
	// instrument's specification; 0 says that it is not known.
	Uncertainty float64
	// Time is the time of the reading in s since the session began.
	Time float64
	// Flags say what the meter reported beside the value.
	Flags Flags
}

// Facts are what an analyst knows about the apparatus beside its readings.
type Facts struct {
	// Temperature of the emitter in K; 0 says that it is not known.
	Temperature float64
	// Resolution is one step of the ammeter's last digit in A; 0 says that it
	// is not known.
	Resolution float64
}

// Check returns an error for facts that cannot be.
func (f Facts) Check() error {
	if math.IsNaN(f.Temperature) || math.IsInf(f.Temperature, 0) || f.Temperature < 0 {
		return fmt.Errorf("an emitter temperature of %v K is impossible; a finite one above 0 K is needed", f.Temperature)
	}
	if math.IsNaN(f.Resolution) || math.IsInf(f.Resolution, 0) || f.Resolution < 0 {
		return fmt.Errorf("a resolution of %v A is impossible; a finite current above 0 A is needed", f.Resolution)
	}
	return nil
}

// RoomTemperature is the temperature in K that methods assume where none is
// given (common practice, no source).
const RoomTemperature = 293.15

// Flags is the set of remarks that a meter attaches to a reading.
type Flags uint8

// Overload says that the current was beyond the range; the value is the
// range's end, not a measurement.
const Overload Flags = 1 << 0

// RangeChanged says that the meter took another range for this reading than for
// the one before.
const RangeChanged Flags = 1 << 1

// ShortestWavelength and LongestWavelength are limits in nm. Wavelengths
// outside are slips of a unit or of a keyboard: air is opaque below, and no
// photocathode answers above.
const (
	ShortestWavelength = 100.0
	LongestWavelength  = 2000.0
)

// PlausibleWavelength says whether a wavelength in nm can be one of light on a
// photocell.
func PlausibleWavelength(nm float64) bool {
	return nm >= ShortestWavelength && nm <= LongestWavelength
}

// Bounds on what a run holds. Nothing on a bench comes near them, and no sum of
// squares overflows within them.
const (
	// Largest is the most of a voltage in V or a current in A.
	Largest = 1e6
	// LongestTime is in s.
	LongestTime = 1e15
	// LongestName is that of a setting, in characters.
	LongestName = 200
)
