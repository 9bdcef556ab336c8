package sim

import (
	"iter"
	"math"
	"math/rand/v2"

	"stopvolt/instrument"
	"stopvolt/instrument/run"
	"stopvolt/physics"
)

// A Session is one sitting at a bench: what is drawn once a session has been
// drawn, the clock runs, and readings can be taken. Turn the dial, let time
// pass, read: a sweep and a person at the bench do the same. A session belongs
// to one goroutine.
type Session struct {
	bench *Bench
	// errors are those of this session's instruments.
	errors instrumentErrors
	// noise has a stream for each setting, and at the end one for the dark, so
	// that leaving a setting out does not change the readings of another.
	noise []Stream
	// zero is the wandering of the meter's zero, and flicker that of the lamp.
	zero, flicker wander
	// warming is the lamp's.
	warming  fading
	order    Stream
	voltages []float64

	// time is the clock in s, light the setting or Dark, and supplied what the
	// supply gives in V.
	time     float64
	light    int
	supplied float64
	// glow is the power of the light over that of the warm lamp, and lack the
	// part of the lamp's warming that is still to come.
	glow, lack float64
	begun      bool
	// currents are those across the cell, fresh until something changes.
	currents instrument.Currents
	fresh    bool
	// shift is the voltage in V that the burden takes from the cell.
	shift      float64
	input      input
	rangeIndex int
	hand       hand
	// other is the last interval that is not one of the plan's.
	other interval
}

// Open starts the session of a replicate of the experiment. Equal arguments
// give equal readings. It reuses the memory of s.
func (s *Session) Open(b *Bench, seed uint64, replicate int) {
	lights := len(b.apparatus.Lights)
	if cap(s.noise) < lights+1 {
		s.noise = make([]Stream, lights+1)
	}
	*s = Session{
		bench: b, light: Dark, rangeIndex: len(b.ranges) - 1,
		noise: s.noise[:lights+1], voltages: s.voltages, other: s.other,
		zero: s.zero, flicker: s.flicker,
	}
	for i, l := range b.apparatus.Lights {
		s.noise[i].Start(StreamName{Seed: seed, Replicate: replicate, Setting: l.Name, Purpose: "noise"})
	}
	name := StreamName{Seed: seed, Replicate: replicate}
	s.noise[lights].Start(name.For("dark noise"))
	if b.apparatus.Plan.Order == instrument.Shuffled {
		s.order.Start(name.For("order"))
	}
	s.errors.draw(&b.apparatus, name)
	s.zero.start(name.For("meter flicker"), b.apparatus.Meter.Flicker)
	s.flicker.start(name.For("lamp flicker"), b.apparatus.Lamp.Flicker)
	s.warming = fading{value: b.apparatus.Lamp.Lack(0)}
	s.shine(0)
}

// Select puts a setting of the light, counted from zero, in front of the cell,
// or Dark.
func (s *Session) Select(light int) { s.light, s.fresh = light, false }

// Turn turns the dial to a retarding voltage in V, which takes the time of the
// plan. The bench has stood for long at the first voltage of a session.
func (s *Session) Turn(retarding float64) {
	a, from := &s.bench.apparatus, s.supplied
	s.supplied = retarding*(1+s.errors.supplyGain) + s.errors.supplyOffset
	s.fresh = false
	if !s.begun {
		s.begun = true
		if s.remembers() {
			c := s.across()
			s.input.rest(a, s.supplied, c.Net(), s.density(c))
		}
		s.input.voltage = s.supplied
		s.findRange(s.across())
		s.time += s.bench.turn.length
		return
	}
	if s.supplied == from {
		return
	}
	if s.bench.turn.length == 0 {
		s.input.jump(a, s.supplied)
		return
	}
	s.pass(&s.bench.turn)
}

// Wait lets a time in s pass.
func (s *Session) Wait(duration float64) { s.pass(s.interval(duration)) }

// Time returns the clock of the session in s.
func (s *Session) Time() float64 { return s.time }

// pass lets an interval pass in which the dial comes to where it was turned.
func (s *Session) pass(v *interval) {
	s.time += v.length
	if v.length > 0 && s.remembers() {
		c := s.across()
		s.input.pass(&s.bench.apparatus, v, s.supplied, c.Net(), s.density(c))
	}
	s.input.voltage = s.supplied
}

// remembers reports whether the input knows what was before.
func (s *Session) remembers() bool {
	a := &s.bench.apparatus
	return a.Meter.Response > 0 || a.Leads.Capacitance > 0
}

// interval returns that of a length in s, which for those of the plan is ready.
func (s *Session) interval(length float64) *interval {
	b := s.bench
	for _, v := range [...]*interval{&b.dwell, &b.settle, &b.change, &s.other} {
		if v.length == length {
			return v
		}
	}
	s.other = newInterval(&b.apparatus, length)
	return &s.other
}

// Read takes a reading over a dwell in s, above zero.
func (s *Session) Read(dwell float64) run.Reading {
	b, v := s.bench, s.interval(dwell)
	a := &b.apparatus
	s.shine(s.time + dwell/2)
	src := s.source()
	hum, steady := 0., s.glow
	if a.Mains.Hum > 0 || a.Lamp.Ripple > 0 {
		// A hand that turns a dial does not keep step with the mains, whose
		// twofold frequency the light has.
		wave := wave(src)
		hum = a.Mains.Hum * v.hum * wave
		s.glow *= 1 + a.Lamp.Ripple*v.ripple*(2*wave*wave-1)
		s.fresh = false
	}
	c := s.across()
	var flags run.Flags
	if len(b.ranges) > 1 && s.findRange(c) {
		flags |= run.RangeChanged
		c = s.across()
	}
	r := &b.ranges[s.rangeIndex]
	forward, forwardVariance := shot(c.Forward, dwell, src)
	reverse, reverseVariance := shot(c.Reverse, dwell, src)
	variance := forwardVariance + reverseVariance + r.JohnsonDensity*dwell
	excess := forward - reverse + normal(math.Sqrt(variance), src)
	current := c.Net() + excess/dwell
	if s.remembers() {
		current = s.input.measure(a, v, c.Net(), excess, s.density(c), src)
	}
	current += hum
	if s.glow != steady {
		s.glow, s.fresh = steady, false
	}
	middle := s.time + dwell/2
	current = current*(1+s.errors.gain) + s.errors.zero(r, middle) + s.zero.at(middle) - s.hand.zero(s.rangeIndex)
	s.time += dwell
	shown, beyond := r.Show(current)
	if beyond {
		flags |= run.Overload
	}
	return run.Reading{
		Retarding:   s.errors.showVoltage(a.Voltmeter, s.supplied),
		Current:     shown,
		Uncertainty: r.Uncertainty(shown, dwell),
		Time:        math.RoundToEven(s.time*1e6) / 1e6,
		Flags:       flags,
	}
}

// source returns the stream of the present setting's noise.
func (s *Session) source() *Stream {
	light := s.seen()
	if light == Dark {
		return &s.noise[len(s.noise)-1]
	}
	return &s.noise[light]
}

// shine finds the power of the light at a time in s. Between readings it is
// taken as steady.
func (s *Session) shine(time float64) {
	lamp := &s.bench.apparatus.Lamp
	if s.bench.steady {
		s.glow, s.lack = s.hand.passed(), 0
		return
	}
	s.fresh = false
	if lamp.WarmUp > 0 {
		s.lack = s.warming.at(time, lamp.WarmUpTime)
	}
	s.glow = (1 + s.errors.lampDrift*time) * (1 + s.flicker.at(time))
	if s.bench.cold == nil {
		s.glow *= 1 - lamp.WarmUp*s.lack
	}
	s.glow = max(s.glow, 0) * s.hand.passed()
}

// across returns the mean currents of the cell, whose voltage is what the
// meter's burden leaves of the supply's.
func (s *Session) across() instrument.Currents {
	if s.fresh {
		return s.currents
	}
	s.fresh = true
	burden := s.bench.ranges[s.rangeIndex].Burden
	if burden == 0 {
		s.currents = s.at(s.supplied)
	} else {
		// The shift changes little from one reading to the next.
		s.shift, s.currents = burdened(s.at, s.supplied, burden, s.shift)
	}
	return s.currents
}

// at returns the mean currents of the cell at a voltage across it in V, in the
// present light.
func (s *Session) at(retarding float64) instrument.Currents {
	if s.hand.loose {
		return instrument.Currents{}
	}
	b, light := s.bench, s.seen()
	retarding = s.hand.wired(retarding)
	if light == Dark || b.cold == nil || s.lack == 0 {
		return b.at(light, retarding, s.glow)
	}
	c := b.currents[light].At(retarding)
	cold := b.cold[light].At(retarding)
	c.Forward += (cold.Forward - c.Forward) * s.lack
	c.Reverse += (cold.Reverse - c.Reverse) * s.lack
	return b.dim(c, retarding, s.glow)
}

// density returns that of the white noise of the currents and of the meter in
// A^2 s: the variance of the charge of a second. For the electrons it is e I
// (W. Schottky, Ann. Phys. 362, 541 (1918)).
func (s *Session) density(c instrument.Currents) float64 {
	return physics.ElementaryCharge*(c.Forward+c.Reverse) + s.bench.ranges[s.rangeIndex].JohnsonDensity
}

// downAt is the part of the next lower range's full scale below which a meter
// takes it; the gap keeps it from going back and forth (common practice, no
// source).
const downAt = 0.9

// findRange finds the range for what the meter sees, and reports whether it is
// another than before.
func (s *Session) findRange(c instrument.Currents) bool {
	ranges, before := s.bench.ranges, s.rangeIndex
	if s.hand.fixed {
		return false
	}
	seen := c.Net()
	if s.bench.apparatus.Meter.Response > 0 {
		seen = s.input.output
	}
	seen *= 1 + s.errors.gain
	i := before
	for i < len(ranges)-1 && (seen > ranges[i].Highest || seen < ranges[i].Lowest) {
		i++
	}
	for i > 0 && seen < downAt*ranges[i-1].Highest && seen > downAt*ranges[i-1].Lowest {
		i--
	}
	s.rangeIndex = i
	s.fresh = s.fresh && i == before
	return i != before
}

// Readings takes the run of the plan one reading at a time, each with its curve,
// which has a name and a wavelength and no readings. A run of any length passes
// through the memory of one reading.
func (s *Session) Readings() iter.Seq2[*run.Curve, run.Reading] {
	return func(yield func(*run.Curve, run.Reading) bool) {
		b := s.bench
		plan := b.apparatus.Plan
		for i := range b.plan {
			stage := &b.plan[i]
			if i > 0 && plan.Change > 0 {
				s.Wait(plan.Change)
			}
			s.Select(stage.light)
			for _, v := range s.ordered(stage.voltages) {
				s.Turn(v)
				s.pass(&b.settle)
				for range plan.Repeats {
					if !yield(&stage.curve, s.Read(plan.Dwell)) {
						return
					}
				}
			}
		}
	}
}

// ordered returns voltages in the order in which this curve takes them.
func (s *Session) ordered(voltages []float64) []float64 {
	if s.bench.apparatus.Plan.Order != instrument.Shuffled {
		return voltages
	}
	s.voltages = append(s.voltages[:0], voltages...)
	rand.New(&s.order).Shuffle(len(voltages), func(i, j int) {
		s.voltages[i], s.voltages[j] = s.voltages[j], s.voltages[i]
	})
	return s.voltages
}

// Acquire takes the run of the plan, reusing the memory of r.
func (s *Session) Acquire(r *run.Run) {
	s.bench.prepare(r)
	i := -1
	var last *run.Curve
	for curve, reading := range s.Readings() {
		if curve != last {
			i, last = i+1, curve
		}
		r.Curves[i].Readings = append(r.Curves[i].Readings, reading)
	}
}
