package practice

import (
	"cmp"
	"math"
	"slices"
)

// voltageChecks look at the stopping voltages. All but the last few look only
// where the voltages do not agree with the method that the student names.
func voltageChecks() []Check {
	return []Check{
		{Name: "voltage-sign", Cost: 1, Explains: true,
			Looks: "All voltages were given the wrong sign: they agree with the method once it is changed.", find: voltageSign},
		{Name: "contact-in-voltages", Cost: 1, Explains: true,
			Looks: "The contact potential was added to the voltages or taken off them: all agree with the method once that is undone.", find: contactInVoltages},
		{Name: "dark-kept", Cost: 0.5, Explains: true,
			Looks: "The dark current was not taken off: the voltages are nearer to the method with it kept than with it taken off.", find: darkKept},
		{Name: "wrong-decade", Cost: 1, Explains: true,
			Looks: "Some voltages were written a power of ten off: they agree with the method once they are multiplied by 10, 1/10 or 1/1000.", find: wrongDecade},
		{Name: "neighbours-swapped", Cost: 1, Explains: true,
			Looks: "Two neighbouring voltages were exchanged: they agree with the method the other way round.", find: neighboursSwapped},
		{Name: "fixed-current", Cost: 1, Explains: true,
			Looks: "The voltages were read where all curves have one and the same current, which is not where the current ends, since the lights do not have one power.", find: fixedCurrent},
		{Name: "other-sheet", Cost: 2, Explains: true,
			Looks: "The voltages were perhaps read off another student's sheet: they are off the method that the student names, and three times nearer to it on another student's readings than to any method on the own ones.", find: otherSheet},
		{Name: "other-method", Cost: 1, Explains: true,
			Looks: "The voltages were read by another method than the one that the student names: they agree with that other.", find: otherMethod},
		{Name: "unknown-method", Cost: 1,
			Looks: "No method was named, or one that is none of the list, so that the voltages can be compared with the nearest only.", find: unknownMethod},
		{Name: "zero-crossing-reverse",
			Looks: "The voltages are the zero crossings, well read, but the reverse current moves those by more than half a step.", find: zeroCrossingReverse},
		{Name: "fixed-current-unequal",
			Looks: "The voltages are those of the fixed current, well read, but the lights differ in power by more than half.", find: fixedCurrentUnequal},
		{Name: "rounded-to-step", Cost: 0.5,
			Looks: "Four voltages or more were rounded to whole steps of the dial, where the method reads between them, and one of them is off by it.", find: roundedToStep},
		{Name: "below-threshold-kept", Cost: 1,
			Looks: "A setting that frees no electrons was kept: it has a voltage and is not left out.", find: belowThresholdKept},
	}
}

// turned returns the voltages with a function applied to each.
func turned(v []float64, f func(float64) float64) []float64 {
	out := make([]float64, len(v))
	for i, x := range v {
		out[i] = f(x)
	}
	return out
}

// agreesOnce reports whether voltages agree with one of the candidates, and the
// student's own do not.
func (c *Case) agreesOnce(v []float64) (method string, ok bool) {
	for _, x := range c.candidates() {
		if c.agrees(c.volts(), x) {
			return "", false
		}
	}
	for _, x := range c.candidates() {
		if c.agrees(v, x) {
			return x.Method, true
		}
	}
	return "", false
}

func voltageSign(c *Case) (Evidence, bool) {
	method, ok := c.agreesOnce(turned(c.volts(), func(v float64) float64 { return -v }))
	e := in()
	e.Method = method
	return e, ok
}

func contactInVoltages(c *Case) (Evidence, bool) {
	contact := c.Truth.ContactPotential
	for _, sign := range []float64{1, -1} {
		shifted := turned(c.volts(), func(v float64) float64 { return v + sign*contact })
		if method, ok := c.agreesOnce(shifted); ok && math.Abs(contact) > c.Step && c.muchNearer(shifted) {
			e := about(-sign*contact, 0, "V")
			e.Method = method
			return e, true
		}
	}
	return Evidence{}, false
}

// muchNearer reports whether voltages are three times nearer to one of the
// candidates than the student's own are to any method at all.
func (c *Case) muchNearer(v []float64) bool {
	own, then := math.Inf(1), math.Inf(1)
	for _, x := range c.References {
		if d, n := c.distance(c.volts(), x.Stopping); n >= 2 {
			own = min(own, d)
		}
	}
	for _, x := range c.candidates() {
		if d, n := c.distance(v, x.Stopping); n >= 2 {
			then = min(then, d)
		}
	}
	return 3*then < own
}

func wrongDecade(c *Case) (Evidence, bool) {
	e, ok := c.decade()
	if ok {
		// Millivolts may be badly read as well.
		e.meant = values(c.inDecade(e))
	}
	return e, ok
}

// decade returns the evidence of voltages that are a power of ten off.
func (c *Case) decade() (Evidence, bool) {
	for _, x := range c.candidates() {
		if agree, of := c.agreement(c.volts(), x); of < 2 || agree == of {
			continue
		}
		for _, power := range []int{-1, 1, 3} {
			v := c.volts()
			e := in()
			e.Method, e.Power = x.Method, power
			for i := range v {
				// A voltage near zero agrees with its tenth.
				if !c.counts(i) || math.IsNaN(v[i]) || math.Abs(x.Stopping[i]) < 2*c.Step || c.near(v[i], x.Stopping[i], x.U[i]) {
					continue
				}
				if scaled := v[i] * math.Pow10(-power); c.near(scaled, x.Stopping[i], x.U[i]) {
					v[i] = scaled
					e.Settings = append(e.Settings, c.Truth.Settings[i].Name)
				}
			}
			// Where all are in another unit, those near zero are too.
			if len(e.Settings) > 1 {
				for i := range v {
					if scaled := v[i] * math.Pow10(-power); c.counts(i) && !c.near(v[i], x.Stopping[i], x.U[i]) && c.near(scaled, x.Stopping[i], x.U[i]) {
						v[i] = scaled
						e.Settings = append(e.Settings, c.Truth.Settings[i].Name)
					}
				}
			}
			if len(e.Settings) > 0 && c.agrees(v, x) {
				slices.SortFunc(e.Settings, func(a, b string) int { return cmp.Compare(c.Truth.place(a), c.Truth.place(b)) })
				return e, true
			}
		}
	}
	return c.inMillivolts()
}

// inMillivolts returns the evidence of voltages that are all in mV, also where
// some are not read well.
func (c *Case) inMillivolts() (Evidence, bool) {
	const near, far = 4, 100 // steps of the dial, and times nearer
	v := turned(c.volts(), func(v float64) float64 { return v / 1000 })
	for _, x := range c.candidates() {
		typed, _ := c.distance(c.volts(), x.Stopping)
		if meant, n := c.distance(v, x.Stopping); n < 3 || !(meant < near*c.Step && far*meant < typed) {
			continue
		}
		e := in()
		e.Method, e.Power = x.Method, 3
		for i, q := range c.Answer.Stopping {
			if q.Given() && c.counts(i) {
				e.Settings = append(e.Settings, c.Truth.Settings[i].Name)
			}
		}
		return e, true
	}
	return Evidence{}, false
}

func neighboursSwapped(c *Case) (Evidence, bool) {
	v := c.volts()
	for i := range len(v) - 1 {
		if !c.counts(i) || !c.counts(i+1) {
			continue
		}
		swapped := slices.Clone(v)
		swapped[i], swapped[i+1] = v[i+1], v[i]
		// Both must be wrong as they stand, or a crowd of near voltages would
		// do.
		if method, ok := c.agreesOnce(swapped); ok && v[i] < v[i+1] {
			e := in(c.Truth.Settings[i].Name, c.Truth.Settings[i+1].Name)
			e.Method = method
			return e, true
		}
	}
	return Evidence{}, false
}

// nearest returns the least distance in V of voltages from some methods.
func (c *Case) nearest(v []float64, references []Reference) float64 {
	least := math.Inf(1)
	for _, x := range references {
		if d, n := c.distance(v, x.Stopping); n >= 3 {
			least = min(least, d)
		}
	}
	return least
}

func otherSheet(c *Case) (Evidence, bool) {
	v := c.volts()
	if !(c.nearest(v, c.candidates()) > c.Step/2) {
		return Evidence{}, false
	}
	best, whose := math.Inf(1), ""
	for _, other := range c.others {
		references := other.References
		if c.Named >= 0 {
			references = references[c.Named : c.Named+1]
		}
		if d := other.nearest(v, references); other != c && d < best {
			best, whose = d, other.Student.ID
		}
	}
	e := in()
	e.Other = whose
	return e, 3*best < c.nearest(v, c.References) && best < c.Step/4
}

// isFixedCurrent reports whether the student names that method.
func (c *Case) isFixedCurrent() bool {
	return c.Named >= 0 && c.References[c.Named].Method == "fixed-current"
}

func fixedCurrent(c *Case) (Evidence, bool) {
	if !c.unequal || math.IsNaN(c.sameCurrent) || c.agreesWithNamed() || c.isFixedCurrent() {
		return Evidence{}, false
	}
	return about(c.sameCurrent, math.NaN(), "A"), true
}

func fixedCurrentUnequal(c *Case) (Evidence, bool) {
	return in(), c.isFixedCurrent() && c.agreesWithNamed() && c.unequal
}

func darkKept(c *Case) (Evidence, bool) {
	for _, x := range c.candidates() {
		off, n := c.distance(c.volts(), x.Stopping)
		kept, m := c.distance(c.volts(), x.Kept)
		apart, _ := c.distance(x.Kept, x.Stopping)
		if n >= 3 && m >= 3 && apart > 0.2*c.Step && kept < off/3 && kept < c.Step/4 {
			e := about(kept, off, "V")
			e.Method = x.Method
			return e, true
		}
	}
	return Evidence{}, false
}

func otherMethod(c *Case) (Evidence, bool) {
	if c.Named < 0 || c.Nearest < 0 || c.Nearest == c.Named || c.agreesWithNamed() {
		return Evidence{}, false
	}
	x := c.References[c.Nearest]
	e := in()
	e.Method = x.Method
	return e, c.agrees(c.volts(), x)
}

func unknownMethod(c *Case) (Evidence, bool) {
	e := in()
	if c.Nearest >= 0 {
		e.Method = c.References[c.Nearest].Method
	}
	return e, c.Named < 0 && (c.Nearest >= 0 || c.Answer.Method != "")
}

func zeroCrossingReverse(c *Case) (Evidence, bool) {
	x, ok := c.compared()
	if !ok || x.Method != "zero-crossing" || !c.agrees(c.volts(), x) {
		return Evidence{}, false
	}
	e := in()
	e.Method = x.Method
	for i, s := range c.Truth.Settings {
		if s.Frees && s.Stopping-x.Stopping[i] > c.Step/2 {
			e.Settings = append(e.Settings, s.Name)
		}
	}
	return e, len(e.Settings) > 0
}

func roundedToStep(c *Case) (Evidence, bool) {
	const fewest = 4 // five voltages in hundredths are whole twentieths by chance once in 3000 times
	x, ok := c.compared()
	if !ok || x.Method == "null-reading" || !c.agrees(c.volts(), x) {
		return Evidence{}, false
	}
	// A hundredth of a volt is what a graph is read to.
	const graph = 0.2 // of a step
	whole, off, given := 0, false, 0
	for i, q := range c.Answer.Stopping {
		if !q.Given() || !c.counts(i) || math.IsNaN(x.Stopping[i]) {
			continue
		}
		given++
		if steps := q.Value / c.Step; math.Abs(steps-math.Round(steps)) < 1e-6 {
			whole++
		}
		off = off || math.Abs(q.Value-x.Stopping[i]) > graph*c.Step
	}
	return about(c.Step, math.NaN(), "V"), whole >= fewest && whole == given && off
}

func belowThresholdKept(c *Case) (Evidence, bool) {
	e := in()
	for i, q := range c.Answer.Stopping {
		if q.Given() && !c.Answer.LeftOut[i] && !c.counts(i) {
			e.Settings = append(e.Settings, c.Truth.Settings[i].Name)
		}
	}
	return e, len(e.Settings) > 0
}
