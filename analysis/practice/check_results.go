package practice

import (
	"math"

	"stopvolt/physics"
)

// interceptName is the check whose cost depends on what the scheme lets the intercept be
// called.
const interceptName = "intercept-of-emitter"

// resultChecks compare h/e and the work functions with the student's own line.
func resultChecks() []Check {
	return []Check{
		{Name: "joules", Cost: 0.5,
			Looks: "Joules and electronvolts were mixed up: h/e is the slope times or over the elementary charge, or the work function is so.", find: joules},
		{Name: "result-power", Cost: 0.5,
			Looks: "h/e was written a power of ten off the slope.", find: resultPower},
		{Name: "near-book-value", Cost: 1,
			Looks: "h/e was taken as the tabled value, it seems: it is within 1 % of that, and the student's own line is not; or the voltages agree with no method and lie on a line of that slope.", find: nearBookValue},
		{Name: "off-own-line", Cost: 1,
			Looks: "h/e was not taken as the slope of the student's own line, and no other finding says why.", find: offOwnLine},
		{Name: "intercept-sign", Cost: 0.5,
			Looks: "The collector's work function was taken as the intercept with its own sign; it is minus the intercept.", find: interceptSign},
		{Name: interceptName, Cost: 0.5,
			Looks: "The emitter's work function was taken as minus the intercept; that is the collector's.", find: interceptOfEmitter},
		{Name: "contact-sign", Cost: 0.5,
			Looks: "The emitter's work function was taken as the collector's plus the contact potential; it is the collector's minus that.", find: contactSign},
	}
}

// slope returns the student's own slope in V s, with what a check has found out
// about it set right; NaN without any.
func (c *Case) slope() float64 {
	if c.own.Slope.Given() {
		if e, ok := slopePower(c); ok {
			return c.own.Slope.Value * math.Pow10(-e.Power)
		}
		if _, ok := axesSwapped(c); ok {
			return c.Line.Slope
		}
		if c.dividedByLight() {
			return c.Line.Slope
		}
		return c.own.Slope.Value
	}
	if c.Line != nil {
		return c.Line.Slope
	}
	return math.NaN()
}

// resultFollows reports whether h/e is the student's own slope, as it stands or
// set right.
func (c *Case) resultFollows() bool {
	h := c.Answer.HOverE
	typed := c.Answer.Slope.Value
	if !c.Answer.Slope.Given() {
		typed = c.factor * c.slope()
	}
	return near(h, c.slope()) || near(h, typed)
}

// chargeFactor returns the elementary charge, or one over it, where h/e is that
// many times the own slope.
func (c *Case) chargeFactor() (factor float64, ok bool) {
	const e = physics.ElementaryCharge
	for _, factor := range []float64{e, 1 / e} {
		if n, ok := powerOfTen(c.Answer.HOverE.Value, c.slope()*factor, 0.01); ok && n == 0 {
			return factor, true
		}
	}
	return 1, false
}

func joules(c *Case) (Evidence, bool) {
	const e = physics.ElementaryCharge
	if h, slope := c.Answer.HOverE, c.slope(); h.Given() && !c.resultFollows() {
		if _, ok := c.chargeFactor(); ok {
			return about(h.Value, slope, "V s").excusing(HOverEPart), true
		}
	}
	if phi, own := c.Answer.CollectorWorkFunction, c.ownWorkFunction(); phi.Given() && near(phi, own*e) && math.Abs(own) > 0.1 {
		return about(phi.Value, own, "eV").excusing(CollectorPart), true
	}
	return Evidence{}, false
}

func resultPower(c *Case) (Evidence, bool) {
	h := c.Answer.HOverE
	if !h.Given() || c.resultFollows() {
		return Evidence{}, false
	}
	n, ok := powerOfTen(h.Value, c.slope(), 0.01)
	e := about(h.Value, c.slope(), "V s").excusing(HOverEPart)
	e.Power = n
	return e, ok && n != 0
}

func nearBookValue(c *Case) (Evidence, bool) {
	const close, far = 0.01, 0.03
	off := func(x float64) float64 { return math.Abs(x/physics.HOverE - 1) }
	h := c.Answer.HOverE
	if h.Given() && !c.resultFollows() && off(h.Value) < close && off(c.slope()) > far {
		return about(h.Value, c.slope(), "V s").excusing(HOverEPart), true
	}
	// Voltages made for the result lie on its line more closely than a method
	// leaves them, and agree with none.
	if c.Line == nil || off(c.Line.Slope) > close || len(c.points) < 4 || c.nearest(c.volts(), c.References) < c.Step {
		return Evidence{}, false
	}
	for _, x := range c.References {
		if c.agrees(c.volts(), x) {
			return Evidence{}, false
		}
	}
	if _, ok := otherSheet(c); ok {
		return Evidence{}, false
	}
	for _, r := range c.Line.Residuals {
		if math.Abs(r) > c.Step/4 {
			return Evidence{}, false
		}
	}
	return about(c.Line.Slope, math.NaN(), "V s").excusing(HOverEPart), true
}

func offOwnLine(c *Case) (Evidence, bool) {
	h := c.Answer.HOverE
	if !h.Given() || math.IsNaN(c.slope()) || c.resultFollows() || c.UnitFactor() != 1 {
		return Evidence{}, false
	}
	_, book := nearBookValue(c)
	return about(h.Value, c.slope(), "V s").excusing(HOverEPart), !book
}

// ownWorkFunction returns minus the student's own intercept, or that of the own
// line, in eV.
func (c *Case) ownWorkFunction() float64 {
	switch {
	case c.Answer.Intercept.Given():
		return -c.Answer.Intercept.Value
	case c.Line != nil:
		return -c.Line.Intercept
	}
	return math.NaN()
}

// atHundredths reports whether a number in eV is one that was written down, to a
// few hundredths.
func atHundredths(q Quantity, x float64) bool {
	return q.Given() && math.Abs(q.Value-x) <= max(0.02, 1.01*q.Half)
}

// workFunctionFollows and emitterFollows report whether the work functions are
// what the student's own intercept, and then the contact potential, give.
func (c *Case) workFunctionFollows() bool {
	phi := c.Answer.CollectorWorkFunction
	return atHundredths(phi, c.ownWorkFunction()) || atHundredths(phi, -c.own.Intercept.Value)
}

func (c *Case) emitterFollows() bool {
	return atHundredths(c.Answer.EmitterWorkFunction, c.collector()-c.Truth.ContactPotential)
}

// collector returns the collector's work function that the student goes on
// with, in eV.
func (c *Case) collector() float64 {
	if c.Answer.CollectorWorkFunction.Given() {
		return c.Answer.CollectorWorkFunction.Value
	}
	return c.ownWorkFunction()
}

func interceptSign(c *Case) (Evidence, bool) {
	own := c.ownWorkFunction()
	phi := c.Answer.CollectorWorkFunction
	return about(phi.Value, own, "eV").excusing(CollectorPart), atHundredths(phi, -own) && !c.workFunctionFollows()
}

func interceptOfEmitter(c *Case) (Evidence, bool) {
	phi := c.Answer.EmitterWorkFunction
	return about(phi.Value, c.ownWorkFunction()-c.Truth.ContactPotential, "eV").excusing(CollectorPart, EmitterPart),
		atHundredths(phi, c.ownWorkFunction()) && !c.emitterFollows()
}

func contactSign(c *Case) (Evidence, bool) {
	phi := c.Answer.EmitterWorkFunction
	return about(phi.Value, c.collector()-c.Truth.ContactPotential, "eV").excusing(EmitterPart),
		atHundredths(phi, c.collector()+c.Truth.ContactPotential) && !c.emitterFollows()
}
