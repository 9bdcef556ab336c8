package instrument

import (
	"math"

	"stopvolt/physics"
)

// Meter is an ammeter. The zero Meter is an ideal one: it counts electrons and
// adds nothing.
type Meter struct {
	// Feedback is the resistance in ohm across which the current is turned
	// into a voltage, not negative; 0 is a meter without Johnson noise.
	Feedback float64
	// FullScaleVoltage is the voltage in V across that resistance at full
	// scale, not negative. Where it is above zero, each range has the
	// resistance that gives it, and Feedback is not used.
	FullScaleVoltage float64
	// Temperature of that resistor is in K, not negative.
	Temperature float64
	// Shunt says that the resistance lies in the way of the current instead of
	// in an amplifier's feedback, and so adds to Burden.
	Shunt bool
	// Burden is the resistance in ohm between the terminals, not negative. The
	// current I takes I Burden away from the cell.
	Burden float64

	// Offset in A, OffsetSteps in steps of the display and Gain, relative to
	// the reading, are the half-widths of the ranges in which the errors of a
	// session may lie, not negative.
	Offset, OffsetSteps, Gain float64
	// Drift is the half-width in A/s of the range in which the rate of a
	// session's steady wandering of the zero may lie, not negative.
	Drift float64
	// Flicker is the Allan deviation in A of the zero's wandering with a
	// spectrum of 1/f, not negative.
	Flicker float64
	// Response is the time constant in s of a first-order response, not
	// negative.
	Response float64

	// FullScales are those of the ranges in A, rising; a meter without any has
	// one range without end.
	FullScales []float64
	// Fixed is the full scale in A to which the meter is set; 0 is a meter that
	// finds its range itself.
	Fixed float64
	// Steps is the number of steps of the display from zero to the full scale;
	// where it is 0 the step is Resolution, in A, and 0 shows every digit.
	Steps, Resolution float64
	// Needle is the scale of a meter without digits.
	Needle Needle
	// Stepless says that the display shows every digit whatever its steps are,
	// and Endless that it shows currents beyond the full scale.
	Stepless, Endless bool
}

// Ranges returns the ranges that the meter can be on, at least one, from the
// most sensitive to the least.
func (m Meter) Ranges() []Range {
	if len(m.FullScales) == 0 {
		return []Range{m.on(math.Inf(1))}
	}
	var ranges []Range
	for _, full := range m.FullScales {
		if m.Fixed == 0 || m.Fixed == full {
			ranges = append(ranges, m.on(full))
		}
	}
	return ranges
}

// on returns the range with a full scale in A.
func (m Meter) on(full float64) Range {
	r := Range{
		Lowest: -full, Highest: full,
		Resolution: m.Resolution, Offset: m.Offset,
		Feedback: m.Feedback, Burden: m.Burden, Flicker: m.Flicker,
	}
	if m.Steps > 0 {
		r.Resolution = full / m.Steps
	}
	if m.FullScaleVoltage > 0 {
		r.Feedback = m.FullScaleVoltage / full
	}
	if r.Feedback > 0 {
		r.JohnsonDensity = 2 * physics.Boltzmann * m.Temperature / r.Feedback
	}
	if m.Shunt {
		r.Burden += r.Feedback
	}
	r.Offset += m.OffsetSteps * r.Resolution
	if m.Needle.Present() {
		r.Resolution = full * m.Needle.Fraction / m.Needle.Divisions
		r.Parallax = full * m.Needle.Parallax / m.Needle.Divisions
		if !m.Needle.CentreZero {
			r.Lowest = 0
		}
	}
	if m.Stepless {
		r.Resolution = 0
	}
	if m.Endless {
		r.Lowest, r.Highest = math.Inf(-1), math.Inf(1)
	}
	return r
}
