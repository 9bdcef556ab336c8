package instrument_test

import (
	"math"
	"testing"

	"stopvolt/instrument"
)

func TestIdealMeterHasOneRangeWithoutEnd(t *testing.T) {
	ranges := instrument.Meter{}.Ranges()
	if len(ranges) != 1 || !math.IsInf(ranges[0].Highest, 1) || !math.IsInf(ranges[0].Lowest, -1) {
		t.Fatalf("%+v", ranges)
	}
	if shown, beyond := ranges[0].Show(1.23456789e-9); shown != 1.23456789e-9 || beyond {
		t.Errorf("1.23456789e-9 A is shown as %v", shown)
	}
	if ranges[0].JohnsonNoise(1) != 0 || ranges[0].Burden != 0 {
		t.Errorf("%+v", ranges[0])
	}
}

// Ohm's law: a fixed voltage at full scale makes each range's resistance, which
// is also what a shunt puts in the way.
func TestResistanceFollowsTheRange(t *testing.T) {
	m := instrument.Meter{FullScaleVoltage: 0.2, FullScales: []float64{2e-9, 2e-6}, Burden: 50, Steps: 2000}
	for i, want := range []float64{1e8, 1e5} {
		r := m.Ranges()[i]
		if math.Abs(r.Feedback/want-1) > 1e-12 || r.Burden != 50 || math.Abs(r.Resolution*2000/r.Highest-1) > 1e-12 {
			t.Errorf("%+v", r)
		}
	}
	m.Shunt = true
	if r := m.Ranges()[1]; math.Abs(r.Burden/(1e5+50)-1) > 1e-12 {
		t.Errorf("a shunt of 100 kilohm is a burden of %g", r.Burden)
	}
}

func TestShownNumbersHaveTheDigitsOfTheDisplay(t *testing.T) {
	for _, test := range []struct{ step, value, want float64 }{
		{1e-13, 2.64770041e-9, 2.6477e-9}, {1e-4, 0.50049, 0.5005}, {1e-11, -3.04e-11, -3e-11}, {0.3, 1, 0.9}, {4e-10, 7.7e-9, 7.6e-9}, {20, 51, 60},
	} {
		r := instrument.Range{Lowest: math.Inf(-1), Highest: math.Inf(1), Resolution: test.step}
		if got, _ := r.Show(test.value); math.Abs(got-test.want) > 4e-16*math.Abs(test.want) {
			t.Errorf("%v in steps of %v is %v, want %v", test.value, test.step, got, test.want)
		}
	}
	r := instrument.Range{Lowest: -1, Highest: 1, Resolution: 0.1}
	if got, _ := r.Show(-0.01); math.Signbit(got) {
		t.Error("zero is shown with a sign")
	}
}

// The classes keep to what their kind is: the finer the meter the lower its
// noise, and none takes more than half a volt from the cell at full scale.
func TestClassesOfMeters(t *testing.T) {
	seen := make(map[string]bool)
	last := math.Inf(1)
	for _, c := range instrument.Classes() {
		if c.Name == "" || c.Summary == "" || seen[c.Name] {
			t.Errorf("class %q: %q", c.Name, c.Summary)
		}
		seen[c.Name] = true
		for _, r := range c.Meter.Ranges() {
			if v := r.Burden * r.Highest; v > 0.5 {
				t.Errorf("%s: %g V at full scale", c.Name, v)
			}
			if r.Resolution <= 0 || r.JohnsonNoise(1) <= 0 {
				t.Errorf("%s: %+v", c.Name, r)
			}
		}
		if c.Meter.Needle.Present() {
			continue
		}
		if finest := c.Meter.Ranges()[0].Uncertainty(0, 1); finest >= last {
			t.Errorf("%s: %g A at its finest, no better than the class before", c.Name, finest)
		} else {
			last = finest
		}
	}
	if len(seen) != 4 {
		t.Errorf("%d classes", len(seen))
	}
}
