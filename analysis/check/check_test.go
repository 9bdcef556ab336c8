package check_test

import (
	"slices"
	"testing"

	"stopvolt/analysis/check"
	"stopvolt/instrument/run"
	"stopvolt/physics"
	"stopvolt/scenarios"
	"stopvolt/sim"
)

// taken returns a run of an embedded bench with the shutter closed once.
func taken(t *testing.T, name string, seed uint64, changes ...string) run.Run {
	t.Helper()
	s, err := scenarios.Load(name, append([]string{"plan.dark_curves=true"}, changes...))
	if err != nil {
		t.Fatal(err)
	}
	b, err := sim.NewBenchForOneRun(s.Apparatus, physics.Quadrature{})
	if err != nil {
		t.Fatal(err)
	}
	var session sim.Session
	session.Open(b, seed, 0)
	var r run.Run
	session.Acquire(&r)
	return r
}

// setting returns the curve of a setting, to be changed.
func setting(r run.Run, name string) *run.Curve {
	i := slices.IndexFunc(r.Curves, func(c run.Curve) bool { return c.Setting == name })
	return &r.Curves[i]
}

// anySetting stands for the settings of a fault that several of them show.
const anySetting = "any"

// planted are the faults: how the run comes to have it, and which check must say so
// of which setting. Nothing else may be found.
var planted = []struct {
	name    string
	changes []string
	edit    func(r *run.Run)
	check   string
	setting string
}{
	{name: "the voltmeter's leads exchanged", check: "sign", setting: "green", edit: func(r *run.Run) {
		for i := range setting(*r, "green").Readings {
			setting(*r, "green").Readings[i].Retarding *= -1
		}
	}},
	{name: "the ammeter's leads exchanged", check: "sign", setting: "violet", edit: func(r *run.Run) {
		for i := range setting(*r, "violet").Readings {
			setting(*r, "violet").Readings[i].Current *= -1
		}
	}},
	{name: "both exchanged", check: "sign", setting: "blue", edit: func(r *run.Run) {
		for i := range setting(*r, "blue").Readings {
			setting(*r, "blue").Readings[i].Current *= -1
			setting(*r, "blue").Readings[i].Retarding *= -1
		}
	}},
	{name: "nanoamperes written as microamperes", check: "units", setting: "yellow", edit: func(r *run.Run) {
		for i := range setting(*r, "yellow").Readings {
			setting(*r, "yellow").Readings[i].Current *= 1e3
		}
	}},
	{name: "millivolts written as volts", check: "units", setting: "green", edit: func(r *run.Run) {
		for i := range setting(*r, "green").Readings {
			setting(*r, "green").Readings[i].Retarding *= 1e3
		}
	}},
	{name: "a decimal point moved", check: "slip", setting: "violet", edit: func(r *run.Run) {
		setting(*r, "violet").Readings[14].Current *= 10
	}},
	{name: "a range misread at one of two readings", check: "slip", setting: "green", changes: []string{"plan.repeats=2"}, edit: func(r *run.Run) {
		setting(*r, "green").Readings[21].Current *= 10
	}},
	{name: "two lines only", check: "settings", edit: func(r *run.Run) {
		r.Curves = slices.DeleteFunc(r.Curves, func(c run.Curve) bool {
			return c.Setting == "green" || c.Setting == "yellow" || c.Setting == "ultraviolet"
		})
	}},
	{name: "two filters with one label", check: "settings", setting: "yellow", edit: func(r *run.Run) {
		setting(*r, "yellow").Wavelength = setting(*r, "green").Wavelength
	}},
	{name: "the end of the range", check: "range", setting: "violet", edit: func(r *run.Run) {
		c := setting(*r, "violet")
		most := 0.4 * c.Readings[0].Current
		for i := range c.Readings {
			c.Readings[i].Current = min(c.Readings[i].Current, most)
		}
	}},
	{name: "an overload that the meter flags", check: "range", setting: "violet", edit: func(r *run.Run) {
		setting(*r, "violet").Readings[0].Flags |= run.Overload
	}},
	{name: "readings before the meter has settled", check: "settling", setting: anySetting,
		changes: []string{"meter.response_s=0.8", "plan.settle_s=0.3", "plan.dwell_s=0.3", "plan.repeats=3"}},
	{name: "a hurried sweep up and down", check: "settling", setting: anySetting,
		changes: []string{"meter.response_s=0.8", "plan.settle_s=0.3", "plan.dwell_s=0.3", "plan.order=there-and-back"}},
	{name: "a lamp that warms", check: "lamp", setting: anySetting,
		changes: []string{"lamp.warm_up=0.4", "lamp.warm_up_s=600", "plan.order=there-and-back"}},
	{name: "steps of a fifth of a volt", check: "knee", setting: anySetting,
		changes: []string{"plan.step_V=0.2"}},
	{name: "a sweep that begins in the knee", check: "accelerating-side", setting: "blue", edit: func(r *run.Run) {
		c := setting(*r, "blue")
		c.Readings = slices.DeleteFunc(c.Readings, func(x run.Reading) bool { return x.Retarding < 0.19 })
	}},
	{name: "a sweep that stops before the plateau", check: "plateau", setting: "ultraviolet", edit: func(r *run.Run) {
		c := setting(*r, "ultraviolet")
		c.Readings = slices.DeleteFunc(c.Readings, func(x run.Reading) bool { return x.Retarding > 0.96 })
	}},
	{name: "light that misses the cell", check: "noise", setting: "blue", edit: func(r *run.Run) {
		c := setting(*r, "blue")
		last := c.Readings[len(c.Readings)-1].Current
		for i := range c.Readings {
			c.Readings[i].Current = last + float64(i%3)*1e-13
		}
	}},
	{name: "no dark curve", check: "dark", edit: func(r *run.Run) {
		r.Curves = slices.DeleteFunc(r.Curves, func(c run.Curve) bool { return c.Dark })
	}},
	{name: "two filters exchanged", check: "order", edit: func(r *run.Run) {
		a, b := setting(*r, "violet"), setting(*r, "green")
		a.Readings, b.Readings = b.Readings, a.Readings
	}},
	{name: "two neighbours exchanged", check: "order", edit: func(r *run.Run) {
		a, b := setting(*r, "violet"), setting(*r, "blue")
		a.Readings, b.Readings = b.Readings, a.Readings
	}},
	{name: "a filter that lets violet through", check: "neighbour", setting: "green", changes: []string{"light.green.filter.blocking=0.0001"}},
	{name: "a filter that lets much blue through", check: "order", setting: "green", changes: []string{"light.green.filter.blocking=0.004"}},
}

func TestEachPlantedFaultIsFoundAndNothingElse(t *testing.T) {
	for _, c := range planted {
		for seed := range uint64(5) {
			r := taken(t, "lanternfell", seed, c.changes...)
			if c.edit != nil {
				c.edit(&r)
			}
			found := check.Run(r)
			right := func(f check.Finding) bool {
				return f.Check == c.check && (c.setting == anySetting || f.Setting == c.setting)
			}
			if !slices.ContainsFunc(found, right) {
				t.Errorf("%s, seed %d: not found; there are %+v", c.name, seed, found)
			}
			for _, f := range found {
				if !right(f) {
					t.Errorf("%s, seed %d: found also %s %s: %s", c.name, seed, f.Check, f.Setting, f.Says)
				}
			}
		}
	}
}
