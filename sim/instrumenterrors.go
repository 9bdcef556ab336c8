package sim

import "stopvolt/instrument"

// instrumentErrors are the errors that a session's instruments have from its
// beginning to its end.
type instrumentErrors struct {
	// gain is the ammeter's, relative to the reading; offset and parallax are
	// parts, from -1 to 1, of the half-widths that a range states; driftRate is
	// in A/s.
	gain, offset, parallax, driftRate float64
	// Offsets are in V, and gains relative to the voltage.
	voltmeterOffset, voltmeterGain float64
	supplyOffset, supplyGain       float64
	// lampDrift is in 1/s.
	lampDrift float64
}

// draw draws the errors of a session. Each has a stream of its own, so that
// taking one away leaves the others.
func (e *instrumentErrors) draw(a *instrument.Apparatus, name StreamName) {
	of := func(purpose string, half float64) float64 {
		if half == 0 {
			return 0
		}
		var src Stream
		src.Start(name.For(purpose))
		return uniform(half, &src)
	}
	whether := func(present bool) float64 {
		if present {
			return 1
		}
		return 0
	}
	*e = instrumentErrors{
		gain:            of("meter gain", a.Meter.Gain),
		offset:          of("meter offset", whether(a.Meter.Offset > 0 || a.Meter.OffsetSteps > 0)),
		parallax:        of("parallax", whether(a.Meter.Needle.Parallax > 0)),
		driftRate:       of("meter drift", a.Meter.Drift),
		voltmeterOffset: of("voltmeter offset", a.Voltmeter.Offset),
		voltmeterGain:   of("voltmeter gain", a.Voltmeter.Gain),
		supplyOffset:    of("supply offset", a.Supply.Offset),
		supplyGain:      of("supply gain", a.Supply.Gain),
		lampDrift:       of("lamp drift", a.Lamp.Drift),
	}
}

// zero returns the error in A of the meter's zero on a range at a time in s,
// but for what wanders.
func (e *instrumentErrors) zero(r *instrument.Range, time float64) float64 {
	return e.offset*r.Offset + e.parallax*r.Parallax + e.driftRate*time
}

// showVoltage returns what the voltmeter shows of a voltage in V.
func (e *instrumentErrors) showVoltage(m instrument.Voltmeter, voltage float64) float64 {
	return m.Show(voltage*(1+e.voltmeterGain) + e.voltmeterOffset)
}
