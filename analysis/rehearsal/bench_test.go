package rehearsal_test

import (
	"testing"

	"stopvolt/analysis/rehearsal"
	"stopvolt/instrument"
	"stopvolt/physics"
)

const seed = 20261125

// teaching returns a bench with five mercury lines as teaching laboratories have
// them.
func teaching() instrument.Apparatus {
	a := instrument.Apparatus{
		World: instrument.World{HOverE: physics.HOverE},
		Emitter: instrument.Emitter{
			Surface:     instrument.Surface{WorkFunction: 1.75, Yield: 0.02, YieldWavelength: 365},
			Temperature: 295,
		},
		Collector: instrument.Collector{
			Surface:     instrument.Surface{WorkFunction: 1.95, Yield: 0.006, YieldWavelength: 365},
			Temperature: 295, StrayLight: 0.03,
		},
		Geometry: physics.Spheres{RadiusRatio: 0.5},
		Leakage:  instrument.Leakage{Conductance: 1e-12},
		Meter:    instrument.Meter{Feedback: 1e9, Temperature: 295},
		Plan:     instrument.Plan{Start: -1, Stop: 2, Step: 0.05, Dwell: 0.5, Repeats: 1},
	}
	for _, l := range []struct {
		name    string
		nominal float64
	}{{"ultraviolet", 365}, {"violet", 404.7}, {"blue", 435.8}, {"green", 546.1}, {"yellow", 578}} {
		a.Lights = append(a.Lights, instrument.Light{
			Name: l.name, Nominal: l.nominal, Flux: 5e-6, Neutral: 1, Lines: physics.Mercury(),
			Filter: instrument.Filter{Centre: l.nominal, Width: 10, Peak: 0.4, Blocking: 1e-6},
		})
	}
	return a
}

// A person does actions one after the other, some seconds apart.
type person struct {
	t *testing.T
	*rehearsal.Rehearsal
}

// arrive begins a rehearsal.
func arrive(t *testing.T, change ...func(*rehearsal.Setup)) *person {
	t.Helper()
	setup := rehearsal.Drawn(teaching(), seed, false, false, "damp-base")
	for _, c := range change {
		c(&setup)
	}
	r, err := rehearsal.New(setup)
	if err != nil {
		t.Fatal(err)
	}
	return &person{t, r}
}

// does does an action that must not be refused.
func (p *person) does(a rehearsal.Action) {
	p.t.Helper()
	if err := p.tries(a); err != nil {
		p.t.Fatalf("%s: %v", a.Kind, err)
	}
}

// tries does an action a moment after the last one.
func (p *person) tries(a rehearsal.Action) error {
	a.At = p.Clock() + 0.3
	return p.Do(a)
}

func (p *person) sets(kind rehearsal.Kind, value float64) {
	p.t.Helper()
	p.does(rehearsal.Action{Kind: kind, Value: value})
}

// prepares lights the lamp, lets it warm up, and zeroes the meter on the range
// that the person will use, with the shutter closed.
func (p *person) prepares(fullScale int) {
	p.t.Helper()
	p.sets(rehearsal.Acknowledge, 0)
	p.sets(rehearsal.Lamp, 1)
	p.sets(rehearsal.Pass, 900)
	p.sets(rehearsal.Range, float64(fullScale))
	p.sets(rehearsal.Pass, 5)
	p.sets(rehearsal.Null, 0)
	p.does(rehearsal.Action{Kind: rehearsal.OpenPage, Second: 1})
	p.sets(rehearsal.Dial, 0)
	p.sets(rehearsal.Pass, 5)
	p.sets(rehearsal.Write, 0)
}

// takes puts a filter in, opens a page for it and takes readings.
func (p *person) takes(filter int, transmission, wait float64, voltages ...float64) (page int) {
	p.t.Helper()
	p.sets(rehearsal.Shutter, 0)
	p.sets(rehearsal.Filter, float64(filter))
	p.sets(rehearsal.Attenuator, transmission)
	p.sets(rehearsal.Shutter, 1)
	p.does(rehearsal.Action{Kind: rehearsal.OpenPage, Value: p.Filters()[filter].Wavelength, Second: transmission})
	for _, v := range voltages {
		p.sets(rehearsal.Dial, v)
		if wait > 0 {
			p.sets(rehearsal.Pass, wait)
		}
		p.sets(rehearsal.Write, 0)
	}
	return p.Book().Open
}

// reads writes a cutoff.
func (p *person) reads(page int, stopping, u float64, rule string) {
	p.t.Helper()
	p.does(rehearsal.Action{Kind: rehearsal.Read, Value: float64(page), Second: stopping, Third: u, Text: rule})
}

// sweep returns voltages from low to high in steps.
func sweep(low, high, step float64) []float64 {
	var v []float64
	for i := 0; low+float64(i)*step <= high+1e-9; i++ {
		v = append(v, low+float64(i)*step)
	}
	return v
}
