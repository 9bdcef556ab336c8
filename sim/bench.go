package sim

import (
	"fmt"

	"stopvolt/instrument"
	"stopvolt/instrument/run"
	"stopvolt/physics"
)

// A Bench is an apparatus made ready for readings: the mean current of each
// setting of the light is known at any voltage. It does not change, and may
// serve sessions in several goroutines.
type Bench struct {
	apparatus instrument.Apparatus
	// currents has one entry for each light.
	currents []current
	voltages []float64
}

// current gives the mean currents at a voltage across the cell in V.
type current interface {
	At(retarding float64) instrument.Currents
}

// NewBench returns the bench of an apparatus whose electrons are carried by a
// transport. The error names the setting that cannot be prepared.
func NewBench(a instrument.Apparatus, t physics.Transport) (*Bench, error) {
	b := &Bench{apparatus: a, voltages: a.Plan.Voltages()}
	for _, l := range a.Lights {
		mean, err := instrument.NewMeanCurrent(a, l, t)
		if err != nil {
			return nil, fmt.Errorf("setting %q: %w", l.Name, err)
		}
		if _, counts := t.(Electrons); counts {
			// A counted share is a table already.
			b.currents = append(b.currents, mean)
			continue
		}
		margin := a.Plan.Step
		b.currents = append(b.currents, instrument.NewTable(mean, a.Plan.Start-margin, a.Plan.Stop+margin))
	}
	return b, nil
}

// Mean returns the run without any noise: the mean net current at each voltage
// of the plan.
func (b *Bench) Mean() run.Run {
	var r run.Run
	b.prepare(&r)
	for i := range r.Curves {
		b.sweep(&r.Curves[i], func(v, _ float64) run.Reading {
			return run.Reading{Retarding: v, Current: b.currents[i].At(v).Net()}
		})
	}
	r.Facts.Resolution = 0
	return r
}

// prepare makes r the empty run of the bench, reusing its memory.
func (b *Bench) prepare(r *run.Run) {
	r.Facts = run.Facts{
		Temperature: b.apparatus.Emitter.Temperature,
		Resolution:  b.apparatus.Meter.Resolution,
	}
	if cap(r.Curves) < len(b.apparatus.Lights) {
		r.Curves = make([]run.Curve, len(b.apparatus.Lights))
	}
	r.Curves = r.Curves[:len(b.apparatus.Lights)]
	for i, l := range b.apparatus.Lights {
		c := &r.Curves[i]
		c.Setting, c.Wavelength, c.Readings = l.Name, l.Nominal, c.Readings[:0]
	}
}

// sweep takes the readings of one setting by the plan. The clock of each
// setting starts at zero.
func (b *Bench) sweep(c *run.Curve, read func(retarding, time float64) run.Reading) {
	p := b.apparatus.Plan
	var time float64
	for _, v := range b.voltages {
		time += p.Settle
		for range p.Repeats {
			time += p.Dwell
			reading := read(v, time)
			reading.Time = time
			c.Readings = append(c.Readings, reading)
		}
	}
}
