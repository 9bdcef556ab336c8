package scenarios

import (
	"math"

	"stopvolt/instrument"
	"stopvolt/physics"
)

// What follows are keys by which a scenario states what can be read off a curve
// instead of what makes it: a reader knows the current of his brightest line,
// not the power of his lamp.

// leastStopping sets the collector's work function so that the light of the
// longest nominal wavelength has a stopping voltage, which of a film is where its
// current ends.
func (c *checker) leastStopping(t collectorTable, a *instrument.Apparatus) {
	const key = "collector.least_stopping_V"
	if !c.given(key) {
		return
	}
	c.alone(key, "collector.work_function_eV", "collector.element")
	voltage := c.optional(key, t.LeastStopping, 0, within(-5, 5, "V"))
	longest := 0.0
	for _, l := range a.Lights {
		longest = max(longest, l.Nominal)
	}
	if longest == 0 {
		return
	}
	phi := physics.PhotonEnergy(a.World.HOverE, longest) - voltage
	if a.Emitter.Film.Exponent > 0 {
		phi -= a.Emitter.FilmEdge
	}
	if !workFunctions.holds(phi) {
		c.fail(key, "%s is %g, which would take a collector of %.3g eV; its work function must be %v", key, voltage, phi, workFunctions)
	}
	a.Collector.WorkFunction = phi
}

// alone refuses keys that say the same as one that is given.
func (c *checker) alone(key string, others ...string) {
	if !c.given(key) {
		return
	}
	for _, other := range others {
		if c.given(other) {
			c.fail(key, "%s and %s say the same; leave one out", key, other)
		}
	}
}

// largestStopping returns the largest ideal stopping voltage in V of an
// apparatus, that of a coated part of the collector included.
func largestStopping(a *instrument.Apparatus) float64 {
	phi := a.Collector.WorkFunction
	if a.Collector.EmitterCoating > 0 {
		phi = min(phi, a.Emitter.WorkFunction)
	}
	largest := math.Inf(-1)
	for _, l := range a.Lights {
		largest = max(largest, physics.PhotonEnergy(a.World.HOverE, l.Nominal)-phi)
	}
	return largest
}

// derive sets what is stated by the currents of a bench. The currents are
// linear in the stray light and in the power of the lights, so that each is
// worked out once.
func (c *checker) derive(d document, a *instrument.Apparatus) {
	const ratioKey, brightKey = "collector.reverse_ratio", "lamp.brightest_A"
	const digit, fullScale = "meter.digit_over_brightest", "meter.full_scale_over_largest"
	const leakKey = "leakage.most_over_brightest"
	c.alone(ratioKey, "collector.stray_light")
	c.alone(digit, "meter.resolution_A", "meter.steps")
	c.alone(fullScale, "meter.full_scales_A", "meter.range_A")
	ratio := c.optional(ratioKey, d.Collector.ReverseRatio, 0, within(0, 1, ""))
	wanted := c.optional(brightKey, d.Lamp.Brightest, 0, within(1e-15, 1e-3, "A"))
	digitOver := c.optional(digit, d.Meter.DigitOver, 0, zeroOr(1e-9, 1, ""))
	mostLeak := c.optional(leakKey, d.Leakage.MostOver, 0, above(0, 1e6, ""))
	fullScaleOver := c.optional(fullScale, d.Meter.FullScaleOver, 0, within(0.1, 1e6, ""))
	if c.err != nil {
		return
	}
	var named string
	for _, key := range []string{ratioKey, brightKey, digit, fullScale, leakKey} {
		if c.given(key) {
			named = key
		}
	}
	if named == "" {
		return
	}
	if ratio > 0 {
		a.Collector.StrayLight = trialStray
	}
	b := c.brightness(a)
	at0, i := b.brightest(named, a, 0)
	if ratio > 0 && c.err == nil {
		at0 = b.strayFor(ratio, at0, a, i)
		b = c.brightness(a)
	}
	if c.err != nil {
		return
	}
	net := at0.net()
	if c.given(brightKey) {
		for k := range a.Lights {
			a.Lights[k].Flux *= wanted / net
		}
		net = wanted
	}
	if c.given(fullScale) {
		largest, _ := b.brightest(fullScale, a, a.Plan.Start)
		a.Meter.FullScales, a.Meter.Fixed = []float64{fullScaleOver * largest.net()}, 0
	}
	if leak := a.Leakage.Conductance * leakVoltage; c.given(leakKey) && leak > mostLeak*net {
		c.fail(leakKey, "the leak carries %.2g A at %d V, which is %.2g of the brightest light's current; it may be at most %g of it, or the bench is dried first",
			leak, leakVoltage, leak/net, mostLeak)
	}
	// The divisions of a needle say how finely it is read.
	if c.given(digit) && !a.Meter.Needle.Present() {
		a.Meter.Resolution, a.Meter.Steps = digitOver*net, 0
	}
}

// leakVoltage is the voltage in V at which a leak is compared with the light.
const leakVoltage = 1

// glimpse is the light's currents in A at one voltage.
type glimpse struct{ forward, reverse float64 }

// net returns what a meter would see of them.
func (g glimpse) net() float64 { return g.forward - g.reverse }

// trialStray is the stray light with which currents are worked out before it is
// known.
const trialStray = 1e-3

// strayFor sets the stray light so that a light, with some currents at 0 V and
// the trial's stray light, drives back at the end of the sweep a ratio of its
// current at 0 V, and returns its currents then.
func (b brightness) strayFor(ratio float64, at0 glimpse, a *instrument.Apparatus, light int) glimpse {
	const key = "collector.reverse_ratio"
	l := a.Lights[light]
	plateau := b.at(l, a.Plan.Stop).reverse
	if !(plateau > 0) {
		b.c.fail(key, "%s is %g, but light of %g nm frees no electrons from the collector", key, ratio, l.Nominal)
		return at0
	}
	// At this light's wavelength the trial's share may differ from the stated
	// wavelength's. With a share s the plateau is s/trial of the trial's, and the
	// current at 0 V is (1-s)/(1-trial) of its forward part less s/trial of
	// its reverse part.
	trial := a.Collector.Stray(l.Nominal)
	forward, reverse := at0.forward/(1-trial), at0.reverse/trial
	share := ratio * forward / (plateau/trial + ratio*(forward+reverse))
	a.Collector.StrayLight = trialStray * share / trial
	if !(a.Collector.StrayLight <= 1) {
		b.c.fail(key, "%s is %g, which would take more than all light; it must be less", key, ratio)
	}
	return glimpse{forward * (1 - share), reverse * share}
}

// brightness knows the light's currents at single voltages.
type brightness struct {
	c         *checker
	apparatus instrument.Apparatus
	glance    instrument.Glance
	quick     bool
}

// brightness returns that of an apparatus.
func (c *checker) brightness(a *instrument.Apparatus) brightness {
	b := brightness{c: c, apparatus: *a}
	b.glance, b.quick = a.Glance()
	return b
}

// at returns the currents of a light at a voltage in V.
func (b brightness) at(l instrument.Light, retarding float64) glimpse {
	if b.quick {
		forward, reverse := b.glance.At(l, retarding)
		return glimpse{forward, reverse}
	}
	a := b.apparatus
	a.Ambient, a.Emitter.Area, a.Collector.Area, a.Leakage = instrument.Light{}, 0, 0, instrument.Leakage{}
	var transport physics.Transport = physics.Quadrature{}
	if !a.Emitter.Metallic() {
		// As good as a glance, and as needful where the electrodes are patchy.
		transport = physics.Quick{}
	}
	mean, err := instrument.NewMeanCurrent(a, l, transport)
	if err != nil {
		b.c.fail("light", "the current of %s: %v", l.Name, err)
		return glimpse{}
	}
	at := mean.At(retarding)
	return glimpse{at.Forward, at.Reverse}
}

// bright is the part of the brightest light's rough current from which on a light
// may be the brightest itself.
const bright = 0.5

// brightest returns the currents at a voltage in V of the light with the largest
// net one, and its index.
func (b brightness) brightest(key string, a *instrument.Apparatus, retarding float64) (most glimpse, index int) {
	rough := make([]float64, len(a.Lights))
	var roughest float64
	for i, l := range a.Lights {
		if b.quick {
			rough[i] = b.glance.Rough(l, retarding)
			roughest = max(roughest, rough[i])
		}
	}
	for i, l := range a.Lights {
		if rough[i] < bright*roughest {
			continue
		}
		if g := b.at(l, retarding); g.net() > most.net() {
			most, index = g, i
		}
	}
	if !(most.net() > 0) {
		b.c.fail(key, "%s needs a light that drives a current at %g V, and none does", key, retarding)
	}
	return most, index
}
