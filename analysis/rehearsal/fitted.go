package rehearsal

import (
	"slices"

	"stopvolt/instrument"
)

// Fitted returns an apparatus with what a person at the bench needs and a sweep
// by a computer can leave ideal: a meter with ranges that takes its time and
// stands a little off zero, a voltmeter with a last digit, and a lamp that warms
// up. What the apparatus states stays. The numbers are of the order of teaching
// instruments (common practice, no source).
func Fitted(a instrument.Apparatus) instrument.Apparatus {
	m := &a.Meter
	if len(m.FullScales) == 0 {
		m.FullScales = []float64{1e-11, 1e-10, 1e-9, 1e-8, 1e-7, 1e-6, 1e-5}
		m.Steps, m.Resolution = 2000, 0
	}
	m.FullScales = slices.Clone(m.FullScales)
	if len(m.FullScales) == 1 && m.Fixed == 0 {
		// The one range that a sweep needs is the most sensitive one of a meter
		// that has others too.
		only := m.FullScales[0]
		if m.Steps == 0 && m.Resolution > 0 {
			m.Steps, m.Resolution = only/m.Resolution, 0
		}
		m.FullScales = append(m.FullScales, 10*only, 100*only)
	}
	if m.Response == 0 {
		m.Response = 0.4
	}
	if m.Offset == 0 && m.OffsetSteps == 0 {
		m.OffsetSteps = 4
	}
	if a.Voltmeter.Resolution == 0 {
		a.Voltmeter.Resolution = 1e-3
	}
	l := &a.Lamp
	if l.WarmUp == 0 {
		l.WarmUp, l.WarmUpTime = 0.5, 150
	}
	// The lamp is lit by the person.
	l.Lead = 0
	// The dial is turned at once, and time passes by the clock.
	a.Plan.Turn = 0
	a.Plan.DarkCurves = false
	return a
}
