package rehearsal

import (
	"math"
	"sync"

	"stopvolt/instrument"
	"stopvolt/sim"
)

// A Setup, made by Drawn, is what a rehearsal begins with; the log of actions
// does the rest.
type Setup struct {
	// Seed names the random streams of the session.
	Seed uint64
	// Apparatus is that of the first bench, with everything that is hidden.
	Apparatus instrument.Apparatus
	// Fault is planted into the second bench, or with Drill into the first.
	Fault string
	Drill bool
	// Blind says that the world's h/e is not the book's.
	Blind bool

	benches *[Benches]prepared
}

// prepared is a bench that is made ready when it is first needed. Rehearsals of
// one setup share it.
type prepared struct {
	once  sync.Once
	bench *sim.Bench
	err   error
}

// ready returns a bench of the setup, made ready.
func (s Setup) ready(number int) (*sim.Bench, error) {
	p := &s.benches[number]
	p.once.Do(func() {
		a, _ := s.apparatus(number)
		p.bench, p.err = sim.NewBenchForFewRuns(a)
	})
	return p.bench, p.err
}

// uniform returns a number from 0 to 1, 1 excluded, for a purpose.
func uniform(seed uint64, purpose string) float64 {
	s := sim.NewStream(sim.StreamName{Seed: seed, Purpose: "rehearsal " + purpose})
	return float64(s.Uint64()>>11) * 0x1p-53
}

// The world of a blind bench has an h/e within these of the book's, as blind
// practice sets do.
const blindLow, blindHigh = 0.8, 1.2

// Blinded returns an apparatus in a world with an h/e of its own. The work
// functions, their spread and the heat's place in them go with it, so that the
// same light frees electrons.
func Blinded(a instrument.Apparatus, seed uint64) instrument.Apparatus {
	scale := blindLow + (blindHigh-blindLow)*uniform(seed, "h/e")
	a.World.HOverE *= scale
	a.Emitter = a.Emitter.Scaled(scale)
	a.Emitter.PatchSpread *= scale
	a.Collector.WorkFunction *= scale
	a.Collector.PatchSpread *= scale
	a.Reverse.Threshold *= scale
	return a
}

// Drawn returns the setup of a rehearsal at an apparatus, whose draw from a
// population is done: it is fitted for a person, blinded if asked, and given the
// fault of a name, one by the seed's lot for "random".
func Drawn(a instrument.Apparatus, seed uint64, blind, drill bool, fault string) Setup {
	a = Fitted(a)
	if blind {
		a = Blinded(a, seed)
	}
	if fault == "" || fault == RandomFault {
		all := Faults()
		fault = all[int(uniform(seed, "fault")*float64(len(all)))].Name
	}
	return Setup{Seed: seed, Apparatus: a, Fault: fault, Drill: drill, Blind: blind, benches: new([Benches]prepared)}
}

// RandomFault asks for one of the faults by lot.
const RandomFault = "random"

// apparatus returns that of a bench.
func (s Setup) apparatus(bench int) (instrument.Apparatus, Fault) {
	a := s.Apparatus
	if (bench == 0) == s.Drill {
		if f, ok := FaultNamed(s.Fault); ok {
			return f.Planted(a, uniform(s.Seed, "badness")), f
		}
	}
	return a, Fault{}
}

// Benches is the number of benches of a rehearsal.
const Benches = 2

// A desk is one bench with a person before it.
type desk struct {
	apparatus instrument.Apparatus
	fault     Fault
	bench     *sim.Bench
	session   sim.Session
	ranges    []instrument.Range
	// opened is the clock's time in s when the session began.
	opened   float64
	controls Controls
	display  Display
	// float is where the collector is while it charges itself.
	float floating
	// struck and quenched are the times in s when the lamp was lit and put out.
	struck, quenched float64
	// nulled says of each range that the meter was zeroed on it, and nulledLit
	// that it was so with light on the cell the last time, everNulledLit that it
	// ever was.
	nulled                   []bool
	nulledLit, everNulledLit bool
}

// Controls are what a person has set.
type Controls struct {
	Lamp, Shutter bool
	// Filter is the index of the setting of the light.
	Filter int
	// Transmission is that of the attenuator.
	Transmission float64
	// Dial is the retarding voltage in V.
	Dial float64
	// Range is the index of the meter's range, counted from the most sensitive,
	// and Auto says that the meter finds it.
	Range int
	Auto  bool
	// Floating says that the collector is left to itself.
	Floating bool
}

// A Display is what the meters show at a moment.
type Display struct {
	// Time is that at the bench in s.
	Time float64
	// Retarding is in V as the voltmeter shows it, and Current in A.
	Retarding, Current float64
	// Beyond says that the current is beyond the range.
	Beyond bool
	// Range is that of the meter.
	Range int
}

// newDesk returns a bench in the state in which a person finds it: lamp off,
// shutter closed, meter on its least sensitive range.
func newDesk(s Setup, number int, clock float64) (*desk, error) {
	d := &desk{opened: clock, quenched: math.Inf(-1)}
	d.apparatus, d.fault = s.apparatus(number)
	// A table takes longer to make than a session reads.
	bench, err := s.ready(number)
	if err != nil {
		return nil, err
	}
	d.bench = bench
	d.ranges = d.apparatus.Meter.Ranges()
	d.nulled = make([]bool, len(d.ranges))
	d.session.Open(bench, s.Seed, number)
	d.session.Extinguish()
	d.session.Shut(true)
	d.session.Select(0)
	d.session.SetRange(len(d.ranges) - 1)
	if d.fault.wire != nil {
		d.fault.wire(&d.session)
	}
	d.controls = Controls{Transmission: 1, Range: len(d.ranges) - 1}
	d.session.Turn(0)
	d.tick(s.Seed)
	return d, nil
}
