package analysis_test

import (
	"math"
	"testing"

	"stopvolt/analysis"
	"stopvolt/instrument/run"
)

// What a leak and an offset add to each curve, a dark curve takes off again,
// wherever it was taken.
func TestDarkCurveTakesLeakageOff(t *testing.T) {
	leak := func(v float64) float64 { return -v/5e11 + 3e-13 }
	lit := func(v float64) float64 { return 1e-10 * max(1-v, 0) * max(1-v, 0) }
	for name, voltages := range map[string][]float64{
		"over the sweep": {-1, 0, 1, 2}, "at two voltages": {0, 0.5}, "repeated": {0, 0, 2, 2},
	} {
		var r run.Run
		bright := run.Curve{Setting: "blue", Wavelength: 435.8}
		for v := -1.0; v <= 2; v += 0.25 {
			bright.Readings = append(bright.Readings, run.Reading{Retarding: v, Current: lit(v) + leak(v)})
		}
		dark := run.Curve{Setting: "dark", Dark: true}
		for _, v := range voltages {
			dark.Readings = append(dark.Readings, run.Reading{Retarding: v, Current: leak(v)})
		}
		r.Curves = []run.Curve{dark, bright}
		got, ok := analysis.WithoutDark(r)
		if !ok || len(got.Curves) != 1 {
			t.Fatalf("%s: %d curves, %t", name, len(got.Curves), ok)
		}
		for _, reading := range got.Curves[0].Readings {
			if want := lit(reading.Retarding); math.Abs(reading.Current-want) > 1e-22 {
				t.Errorf("%s: %g A left at %g V, want %g", name, reading.Current, reading.Retarding, want)
			}
		}
		if r.Curves[1].Readings[0].Current != lit(-1)+leak(-1) {
			t.Errorf("%s: the run that was given has changed", name)
		}
	}
}

func TestOneDarkVoltageIsAnOffset(t *testing.T) {
	r := run.Run{Curves: []run.Curve{
		{Setting: "blue", Wavelength: 435.8, Readings: []run.Reading{{Retarding: 1, Current: 5e-12}}},
		{Setting: "dark", Dark: true, Readings: []run.Reading{{Retarding: 0, Current: 1e-12}, {Retarding: 0, Current: 3e-12}}},
	}}
	got, _ := analysis.WithoutDark(r)
	if c := got.Curves[0].Readings[0].Current; math.Abs(c-3e-12) > 1e-24 {
		t.Errorf("%g A left of 5 pA above a dark current of 2 pA", c)
	}
}
