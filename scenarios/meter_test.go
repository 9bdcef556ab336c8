package scenarios_test

import (
	"errors"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"stopvolt/instrument"
	"stopvolt/scenarios"
)

func TestEveryClassOfMeterHasAScenario(t *testing.T) {
	unused := make(map[string]instrument.Meter)
	for _, c := range instrument.Classes() {
		unused[c.Name] = c.Meter
	}
	for _, name := range scenarios.Names() {
		s, err := scenarios.Load(name, nil)
		if err != nil {
			t.Fatal(err)
		}
		for class, meter := range unused {
			if reflect.DeepEqual(meter, s.Apparatus.Meter) {
				delete(unused, class)
			}
		}
	}
	if len(unused) > 0 {
		t.Errorf("no scenario has one of %v", unused)
	}
}

func TestSingleKeysChangeAMeterOfAClass(t *testing.T) {
	name := write(t, small+"[meter]\nclass = \"picoammeter\"\n")
	class := instrument.Classes()[1].Meter
	load := func(assignments ...string) instrument.Meter {
		s, err := scenarios.Load(name, assignments)
		if err != nil {
			t.Fatal(err)
		}
		return s.Apparatus.Meter
	}
	if got := load(); !reflect.DeepEqual(got, class) {
		t.Errorf("%+v, want %+v", got, class)
	}
	want := class
	want.Response, want.Fixed, want.Offset = 0.5, 1e-8, 0
	if got := load("meter.response_s=0.5", "meter.range_A=1e-8", "meter.offset_A=0"); !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, want %+v", got, want)
	}
	want = class
	want.FullScaleVoltage, want.Feedback, want.Steps, want.Resolution = 0, 1e9, 0, 1e-13
	if got := load("meter.feedback_ohm=1e9", "meter.resolution_A=1e-13"); !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, want %+v", got, want)
	}
	if got := load("meter.class=galvanometer", "meter.centre_zero=false", "meter.read_to=0.1"); got.Needle.CentreZero || got.Needle.Fraction != 0.1 || got.Needle.Divisions == 0 {
		t.Errorf("%+v", got)
	}
}

func TestEveryKeyOfTheBenchReachesTheApparatus(t *testing.T) {
	s, err := scenarios.Load(write(t, small), []string{
		"lamp.warm_up=0.3", "lamp.warm_up_s=100", "lamp.warm_up_colour=-1", "lamp.lit_before_s=60", "lamp.drift_per_s=1e-6",
		"lamp.flicker=0.002", "lamp.ripple=0.3",
		"supply.offset_V=0.01", "supply.gain_error=0.02", "supply.ripple_V=0.03",
		"leads.capacitance_F=1e-11", "leads.absorption=0.02", "leads.absorption_s=2",
		"mains.frequency_Hz=60", "mains.hum_A=1e-12",
		"voltmeter.offset_V=0.001", "voltmeter.gain_error=0.002", "voltmeter.resolution_V=0.003",
		"meter.full_scale_V=2", "meter.temperature_K=300", "meter.shunt=true", "meter.burden_ohm=50", "meter.offset_A=1e-13",
		"meter.offset_steps=3", "meter.gain_error=0.01", "meter.drift_A_per_s=1e-17", "meter.flicker_A=1e-15", "meter.response_s=0.2",
		"meter.full_scales_A=[1e-9, 1e-8]", "meter.range_A=1e-8", "meter.steps=2000",
		"plan.turn_s=0.1", "plan.settle_s=0.2", "plan.change_s=3", "plan.repeats=4", "plan.order=there-and-back", "plan.dark_curves=true",
		"plan.fine_step_V=0.01", "plan.fine_width_V=0.5",
	})
	if err != nil {
		t.Fatal(err)
	}
	a := s.Apparatus
	for _, test := range []struct{ got, want any }{
		{a.Lamp, instrument.Lamp{WarmUp: 0.3, WarmUpTime: 100, Colour: -1, Lead: 60, Drift: 1e-6, Flicker: 0.002, Ripple: 0.3}},
		{a.Supply, instrument.Supply{Offset: 0.01, Gain: 0.02, Ripple: 0.03}},
		{a.Leads, instrument.Leads{Capacitance: 1e-11, Absorption: 0.02, AbsorptionTime: 2}},
		{a.Mains, instrument.Mains{Frequency: 60, Hum: 1e-12}},
		{a.Voltmeter, instrument.Voltmeter{Offset: 0.001, Gain: 0.002, Resolution: 0.003}},
		{a.Meter, instrument.Meter{
			FullScaleVoltage: 2, Temperature: 300, Shunt: true, Burden: 50, Offset: 1e-13, OffsetSteps: 3, Gain: 0.01,
			Drift: 1e-17, Flicker: 1e-15, Response: 0.2, FullScales: []float64{1e-9, 1e-8}, Fixed: 1e-8, Steps: 2000,
		}},
		{a.Plan, instrument.Plan{
			Start: -1, Stop: 2, Step: 0.05, FineStep: 0.01, FineWidth: 0.5, Turn: 0.1, Settle: 0.2, Dwell: 0.5, Change: 3,
			Repeats: 4, Order: instrument.ThereAndBack, DarkCurves: true,
		}},
	} {
		if !reflect.DeepEqual(test.got, test.want) {
			t.Errorf("%+v, want %+v", test.got, test.want)
		}
	}
}

func TestMistakesAtTheBenchAreNamedWithTheirPlace(t *testing.T) {
	// The tables stand after the 31 lines of small.
	for _, test := range []struct{ text, want string }{
		{"[meter]\nclass = \"abacus\"", "cell.toml:33:1: meter.class is \"abacus\"; it must be one of multimeter, picoammeter, electrometer, galvanometer"},
		{"[meter]\nfeedback_ohm = 1e9", "cell.toml:32:2: meter.temperature_K is missing; it must be from 0 to 1500 K"},
		{"[meter]\nclass = \"picoammeter\"\nrange_A = 3e-9", "cell.toml:34:1: meter.range_A is 3e-09; it must be one of the full scales [1e-09 1e-08 1e-07 1e-06 1e-05] A"},
		{"[meter]\nclass = \"picoammeter\"\nfull_scales_A = [1e-8, 1e-9]", "cell.toml:34:1: meter.full_scales_A is [1e-08 1e-09]; the full scales must rise"},
		{"[meter]\nclass = \"picoammeter\"\nfull_scales_A = [1e-9, 1e-9]", "cell.toml:34:1: meter.full_scales_A is [1e-09 1e-09]; the full scales must rise"},
		{"[meter]\nclass = \"picoammeter\"\nfull_scales_A = [\"wide\"]", "cell.toml:34:1: meter.full_scales_A.0: there is a text where a number is needed"},
		{"[meter]\nclass = \"picoammeter\"\nrange_A = 1e-9\n[leakage]\ndark_current_A = 2e-9", "cell.toml:34:1: the range of 1e-09 A is below the dark current of 2e-09 A; it must be above that"},
		{"[meter]\nclass = \"picoammeter\"\nread_to = 0.5", "cell.toml:34:1: meter.read_to is for a needle"},
		{"[meter]\nclass = \"picoammeter\"\ndivisions = 50", "cell.toml:34:1: a needle stands on one scale"},
		{"[meter]\nclass = \"picoammeter\"\nresponse_s = -1", "cell.toml:34:1: meter.response_s is -1; it must be from 0 to 1000 s"},
		{"[meter]\nclass = \"galvanometer\"\nparallax = inf", "cell.toml:34:1: meter.parallax is +Inf; it must be from 0 to 10 divisions"},
		{"[meter]\nfeedback_ohm = 1e9\ntemperature_K = 300\noffset_A = 0\nsteps = 2000", "cell.toml:36:1: meter.steps needs meter.full_scales_A"},
		{"[meter]\nfull_scale_V = 2\ntemperature_K = 300\noffset_A = 0\nresolution_A = 1e-13", "cell.toml:33:1: meter.full_scale_V needs meter.full_scales_A"},
		{"[lamp]\nwarm_up = 0.3", "cell.toml:32:2: lamp.warm_up_s is missing; it must be above 0 and at most 100000 s"},
		{"[lamp]\nripple = 0.3", "cell.toml:33:1: lamp.ripple needs the mains that it comes from"},
		{"[lamp]\nflicker = nan", "cell.toml:33:1: lamp.flicker is NaN; it must be from 0 to 0.2 of the power"},
		{"[leads]\nabsorption = 0.1", "cell.toml:32:2: leads.capacitance_F is missing"},
		{"[leads]\ncapacitance_F = 1e-11\nabsorption = 0.1", "cell.toml:32:2: leads.absorption_s is missing"},
		{"[mains]\nhum_A = 1e-12", "cell.toml:32:2: mains.frequency_Hz is missing; it must be from 1 to 1000 Hz"},
		{"[supply]\nripple_V = 1", "cell.toml:33:1: supply.ripple_V is 1; it must be from 0 to 0.1 V"},
		{"[voltmeter]\nresolution_V = -0.1", "cell.toml:33:1: voltmeter.resolution_V is -0.1; it must be from 0 to 1 V"},
		{"order = \"sideways\"", "cell.toml:32:1: plan.order is \"sideways\"; it must be one of up, down, there-and-back, random"},
		{"fine_step_V = 0.01", "cell.toml:27:2: plan.fine_width_V is missing"},
		{"fine_step_V = 0.1\nfine_width_V = 0.2", "cell.toml:32:1: plan.fine_step_V is 0.1; it must be above 0 and at most 0.05 V (the coarse step)"},
		{"fine_step_V = 1e-9\nfine_width_V = 0.2", "cell.toml:30:1: the plan has 200000060 readings for each light"},
		{"turn_s = \"slow\"", "cell.toml:32:10: "},
		{"settle_s = -1", "cell.toml:32:1: plan.settle_s is -1; it must be from 0 to 10000 s"},
	} {
		_, err := scenarios.Load(write(t, small+test.text+"\n"), nil)
		var e *scenarios.Error
		if !errors.As(err, &e) {
			t.Errorf("%q: error %v", test.text, err)
			continue
		}
		e.File = filepath.Base(e.File)
		if got := e.Error(); !strings.HasPrefix(got, test.want) || strings.ContainsRune(got, '\n') {
			t.Errorf("%q:\n got %s\nwant %s", test.text, got, test.want)
		}
	}
}
