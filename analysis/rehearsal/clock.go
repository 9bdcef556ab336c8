package rehearsal

import (
	"math"

	"stopvolt/sim"
)

// tickLength is the time in s after which the meters show something new.
const tickLength = 0.1

// leadHold is how long, in s, a shaken lead keeps or lacks its contact, and
// leadOff the part of the time without.
const leadHold, leadOff = 2.5, 0.35

// now returns the clock's time in s to which the bench has come.
func (d *desk) now() float64 { return d.opened + d.session.Time() }

// pass lets the bench come to a time in s of the clock, in whole ticks.
func (d *desk) pass(to float64, seed uint64) {
	for d.now()+tickLength <= to {
		d.tick(seed)
	}
}

// tick lets the meters show the next moment.
func (d *desk) tick(seed uint64) {
	d.shake(seed)
	d.show(d.session.Read(tickLength).Current)
}

// shake makes or breaks the contact of a shaken lead. Which, is named by the
// stretch of time and not by what was done before.
func (d *desk) shake(seed uint64) {
	if !d.fault.shaken {
		return
	}
	stretch := int(d.session.Time() / leadHold)
	s := sim.NewStream(sim.StreamName{Seed: seed, Replicate: stretch, Purpose: "shaken lead"})
	d.session.Loosen(float64(s.Uint64()>>11)*0x1p-53 < leadOff)
}

// show sets the display to a current in A.
func (d *desk) show(current float64) {
	i := d.session.Range()
	r := d.ranges[i]
	d.display = Display{
		Time: d.now(), Current: current, Range: i,
		// The end of the range is what a meter beyond it shows.
		Beyond:    current >= r.Highest || current <= r.Lowest && r.Lowest < 0,
		Retarding: d.retarding(),
	}
	if d.controls.Auto {
		d.controls.Range = i
	}
}

// retarding returns in V what the voltmeter shows.
func (d *desk) retarding() float64 {
	if d.controls.Floating {
		return d.session.ShowVoltage(d.float.at(d.session.Time()))
	}
	return d.session.ShowVoltage(d.session.Supplied())
}

// floating is a collector that charges itself.
type floating struct {
	from   float64
	points []sim.FloatingPoint
	limit  float64
}

// The amplifier that watches the potential (common practice, no source).
const floatCapacitance, floatResistance = 5e-11, 1e13

// release lets the collector go from a potential in V in the present light.
func (d *desk) release(potential float64) error {
	f := sim.Floating{Capacitance: floatCapacitance, Resistance: floatResistance, Intensity: d.session.Glow(), Start: potential}
	light := d.controls.Filter
	if !d.controls.Shutter {
		light, f.Intensity = sim.Dark, 1
	}
	points, limit, err := f.Charge(d.bench, light)
	if err != nil {
		return err
	}
	d.float = floating{from: d.session.Time(), points: points, limit: limit}
	return nil
}

// at returns the potential in V at a time in s of the session, between the
// points on a straight line.
func (f floating) at(time float64) float64 {
	t := time - f.from
	if len(f.points) == 0 {
		return f.limit
	}
	last := len(f.points) - 1
	if t >= f.points[last].Time {
		return f.limit
	}
	low, high := 0, last
	for high-low > 1 {
		middle := (low + high) / 2
		if f.points[middle].Time <= t {
			low = middle
		} else {
			high = middle
		}
	}
	a, b := f.points[low], f.points[high]
	if !(b.Time > a.Time) {
		return b.Retarding
	}
	return a.Retarding + (b.Retarding-a.Retarding)*math.Max(t-a.Time, 0)/(b.Time-a.Time)
}
