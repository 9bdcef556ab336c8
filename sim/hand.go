package sim

// hand is what a person has done to the bench beyond what the plan of a sweep
// does. The zero hand has done nothing.
type hand struct {
	// shut says that the shutter is closed, dark that the lamp is off, and
	// absorbed is the part of the light that attenuators take.
	shut, dark bool
	absorbed   float64
	// range that the person set, if fixed.
	fixed bool
	// nulled is the current in A that the meter takes for zero on each range; nil
	// before any was set.
	nulled []float64
	// crossed says that the leads of the supply are exchanged, and loose that
	// that of the collector hangs in the air.
	crossed, loose bool
}

// Shut closes the shutter or opens it. The setting of the light stays.
func (s *Session) Shut(closed bool) { s.hand.shut, s.fresh = closed, false }

// Attenuate puts attenuators in front of the cell that let a part of the light
// through, from 0 to 1, whatever its colour.
func (s *Session) Attenuate(transmission float64) {
	s.hand.absorbed = 1 - transmission
	s.shine(s.time)
	s.fresh = false
}

// Strike lights the lamp, which warms up from now on, and Extinguish puts it
// out. The lamp burns when a session begins.
func (s *Session) Strike() {
	s.hand.dark = false
	s.warming = fading{value: 1, time: s.time}
	s.shine(s.time)
	s.fresh = false
}

// Extinguish puts the lamp out.
func (s *Session) Extinguish() {
	s.hand.dark = true
	s.shine(s.time)
	s.fresh = false
}

// SetRange sets the meter to one of the apparatus' ranges by hand, counted from
// the most sensitive, and keeps it there.
func (s *Session) SetRange(i int) {
	s.hand.fixed = true
	s.rangeIndex = min(max(i, 0), len(s.bench.ranges)-1)
	s.fresh = false
}

// FindRange lets the meter find its range again.
func (s *Session) FindRange() { s.hand.fixed = false }

// Range returns the range that the meter is on, counted from the most
// sensitive.
func (s *Session) Range() int { return s.rangeIndex }

// Null takes a reading over a dwell in s and makes the meter take what flows
// then for zero on its present range; each range has a zero of its own. It
// returns the reading, as it was shown.
func (s *Session) Null(dwell float64) (shown float64) {
	shown = s.Read(dwell).Current
	if s.hand.nulled == nil {
		s.hand.nulled = make([]float64, len(s.bench.ranges))
	}
	s.hand.nulled[s.rangeIndex] += shown
	return shown
}

// zero returns the current in A that the meter takes for zero on a range.
func (h hand) zero(i int) float64 {
	if h.nulled == nil {
		return 0
	}
	return h.nulled[i]
}

// Cross exchanges the leads of the supply, or puts them right: then the cell
// sees minus the voltage that the voltmeter shows.
func (s *Session) Cross(crossed bool) { s.hand.crossed, s.fresh = crossed, false }

// Loosen takes the collector's lead off, or puts it on. Without it the meter
// sees no current of the cell.
func (s *Session) Loosen(loose bool) { s.hand.loose, s.fresh = loose, false }

// seen returns the setting of the light that reaches the cell, or Dark.
func (s *Session) seen() int {
	if s.hand.shut {
		return Dark
	}
	return s.light
}

// wired returns the voltage in V across the cell for one between the supply's
// terminals.
func (h hand) wired(retarding float64) float64 {
	if h.crossed {
		return -retarding
	}
	return retarding
}

// passed returns the part of the light that the person lets pass.
func (h hand) passed() float64 {
	if h.dark {
		return 0
	}
	return 1 - h.absorbed
}

// Lag returns the current in A by which the meter's output, without noise, still
// differs from what flows: after a change it dies away.
func (s *Session) Lag() float64 {
	if s.bench.apparatus.Meter.Response == 0 {
		return 0
	}
	return s.input.output - s.across().Net()
}

// Lack returns the part of the lamp's power that its warming still lacks.
func (s *Session) Lack() float64 {
	return s.bench.apparatus.Lamp.WarmUp * s.lack
}

// Glow returns the power of the light that is let pass over that of the warm
// lamp, 0 with the lamp out.
func (s *Session) Glow() float64 { return s.glow }

// ShowVoltage returns what the voltmeter of this session shows of a voltage in
// V.
func (s *Session) ShowVoltage(voltage float64) float64 {
	return s.errors.showVoltage(s.bench.apparatus.Voltmeter, voltage)
}

// Supplied returns the voltage in V that the supply gives.
func (s *Session) Supplied() float64 { return s.supplied }
