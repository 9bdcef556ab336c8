package sim

import (
	"fmt"
	"math"

	"stopvolt/instrument"
	"stopvolt/instrument/run"
	"stopvolt/physics"
)

// A Bench is an apparatus made ready for readings: the mean current of each
// setting of the light is known at any voltage. It does not change, and may
// serve sessions in several goroutines.
type Bench struct {
	apparatus instrument.Apparatus
	// tabled says that mean currents are tables.
	tabled bool
	// currents has one entry for each light, with the lamp warm. Where the
	// colour of the lamp changes as it warms, cold has them with the lamp just
	// lit.
	currents, cold []current
	// dark is the mean current with the shutter closed: leakage, and whatever
	// ambient light and warmth make the electrodes emit, if they do.
	dark      current
	darkEmits bool
	// steady says that the lamp is.
	steady bool
	ranges []instrument.Range
	plan   []stage
	// turn, settle, change and dwell are the plan's stretches of time.
	turn, settle, change, dwell interval
}

// current gives the mean currents at a voltage across the cell in V.
type current interface {
	At(retarding float64) instrument.Currents
}

// NewBench returns the bench of an apparatus whose electrons are carried by a
// transport. The error names the setting that cannot be prepared.
func NewBench(a instrument.Apparatus, t physics.Transport) (*Bench, error) {
	_, counts := t.(Electrons)
	// A counted share is a table already.
	return newBench(a, t, !counts)
}

// NewBenchForOneRun is NewBench for a bench at which one run is taken and no
// more: it makes no tables of its mean currents, which takes longer than to
// calculate those of one run.
func NewBenchForOneRun(a instrument.Apparatus, t physics.Transport) (*Bench, error) {
	return newBench(a, t, false)
}

// NewBenchForFewRuns is NewBench for one of many benches, each of which serves a
// few runs: its mean currents are made ready in microseconds and are right to
// 1 % above 1e-4 of the saturation (see physics.Quick).
func NewBenchForFewRuns(a instrument.Apparatus) (*Bench, error) {
	b, err := newBench(a, physics.Quick{}, false)
	if err != nil {
		return nil, err
	}
	b.remember()
	return b, nil
}

// remember works out the mean currents at the voltages of the plan, which all
// runs of the bench share where no run has errors of the supply or of the burden
// of its own.
func (b *Bench) remember() {
	if b.apparatus.Supply.Offset != 0 || b.apparatus.Supply.Gain != 0 {
		return
	}
	for _, r := range b.ranges {
		if r.Burden != 0 {
			return
		}
	}
	for _, stage := range b.plan {
		if stage.light != Dark {
			b.currents[stage.light] = newRemembered(b.currents[stage.light], stage.voltages)
		}
	}
}

func newBench(a instrument.Apparatus, t physics.Transport, tabled bool) (*Bench, error) {
	t = OnlyOnce(t)
	b := &Bench{
		apparatus: a,
		tabled:    tabled,
		steady:    a.Lamp == instrument.Lamp{},
		ranges:    a.Meter.Ranges(),
		turn:      newInterval(&a, a.Plan.Turn),
		settle:    newInterval(&a, a.Plan.Settle),
		change:    newInterval(&a, a.Plan.Change),
		dwell:     newInterval(&a, a.Plan.Dwell),
	}
	if len(b.ranges) == 0 {
		return nil, fmt.Errorf("the meter has no range of %g A; it has those of %v A", a.Meter.Fixed, a.Meter.FullScales)
	}
	b.darkEmits = a.FlowsInTheDark()
	ways, err := instrument.NewCrossings(a, t)
	if err != nil {
		return nil, err
	}
	if b.dark, err = b.light(instrument.Light{}, ways); err != nil {
		return nil, fmt.Errorf("shutter closed: %w", err)
	}
	for _, l := range a.Lights {
		hot, err := b.light(l, ways)
		if err != nil {
			return nil, fmt.Errorf("setting %q: %w", l.Name, err)
		}
		b.currents = append(b.currents, hot)
		if a.Lamp.WarmUp == 0 || a.Lamp.Colour == 0 {
			continue
		}
		cold, err := b.light(a.Lamp.Cold(l), ways)
		if err != nil {
			return nil, fmt.Errorf("setting %q, lamp cold: %w", l.Name, err)
		}
		b.cold = append(b.cold, cold)
	}
	b.plan = b.stages()
	return b, nil
}

// WithVoltages returns the bench with the voltages of another plan, which lie
// within a step of its own. It shares what is ready.
func (b *Bench) WithVoltages(p instrument.Plan) *Bench {
	moved := *b
	own := &moved.apparatus.Plan
	own.Start, own.Stop, own.Step = p.Start, p.Stop, p.Step
	moved.plan = moved.stages()
	return &moved
}

// light prepares the mean current of one setting, or of the closed shutter, with
// the supply's ripple.
func (b *Bench) light(l instrument.Light, ways *instrument.Crossings) (current, error) {
	mean, err := ways.MeanCurrent(l)
	if err != nil {
		return nil, err
	}
	rippled := instrument.Rippled{Mean: mean, Amplitude: b.apparatus.Supply.Ripple}
	forward, reverse := mean.Emitted()
	if !b.tabled || forward == 0 && reverse == 0 {
		// Leakage needs no table.
		return rippled, nil
	}
	low, high := b.reach(rippled)
	return instrument.NewTable(rippled, low, high), nil
}

// mostReach keeps a table from spreading over voltages that only a cell behind
// a resistance without measure comes to.
const mostReach = 3 // V

// reach returns the voltages in V between which the cell will be.
func (b *Bench) reach(c current) (low, high float64) {
	p, supply := b.apparatus.Plan, b.apparatus.Supply
	margin := p.Step + supply.Offset + supply.Gain*max(math.Abs(p.Start), math.Abs(p.Stop))
	burden := 0.0
	for _, r := range b.ranges {
		burden = max(burden, r.Burden)
	}
	shift := func(v float64) float64 {
		return min(max(burden*c.At(v).Net(), -mostReach), mostReach)
	}
	low, high = p.Start-margin, p.Stop+margin
	return low + min(shift(high), 0), high + max(shift(low), 0)
}

// Mean returns the run without any noise and with an ideal meter and lamp: the
// mean net current at each voltage of the plan. A shuffled plan rises.
func (b *Bench) Mean() run.Run {
	var r run.Run
	b.prepare(&r)
	r.Facts.Resolution = 0
	p := b.apparatus.Plan
	var time float64
	for i, stage := range b.plan {
		if i > 0 {
			time += p.Change
		}
		for _, v := range stage.voltages {
			current := b.at(stage.light, v, 1).Net()
			time += p.Turn + p.Settle
			for range p.Repeats {
				time += p.Dwell
				r.Curves[i].Readings = append(r.Curves[i].Readings, run.Reading{Retarding: v, Current: current, Time: time})
			}
		}
	}
	return r
}

// at returns the mean currents of a setting or of the dark at a voltage in V, in
// a lamp of an intensity relative to that of the warm one.
func (b *Bench) at(light int, retarding, intensity float64) instrument.Currents {
	if light == Dark {
		return b.dark.At(retarding)
	}
	return b.dim(b.currents[light].At(retarding), retarding, intensity)
}

// dim returns currents at a voltage in V with the part that the lamp makes of an
// intensity.
func (b *Bench) dim(c instrument.Currents, retarding, intensity float64) instrument.Currents {
	if intensity == 1 {
		return c
	}
	c.Forward *= intensity
	c.Reverse *= intensity
	if b.darkEmits {
		dark := b.dark.At(retarding)
		c.Forward += dark.Forward * (1 - intensity)
		c.Reverse += dark.Reverse * (1 - intensity)
	}
	return c
}

// Facts returns what an analyst of the bench's runs is told.
func (b *Bench) Facts() run.Facts {
	return run.Facts{
		Temperature: b.apparatus.Emitter.Temperature,
		Resolution:  b.ranges[0].Resolution,
	}
}

// prepare makes r the empty run of the bench, reusing its memory.
func (b *Bench) prepare(r *run.Run) {
	r.Facts = b.Facts()
	if cap(r.Curves) < len(b.plan) {
		r.Curves = make([]run.Curve, len(b.plan))
	}
	r.Curves = r.Curves[:len(b.plan)]
	for i, stage := range b.plan {
		c := &r.Curves[i]
		kept := c.Readings[:0]
		*c = stage.curve
		c.Readings = kept
	}
}
