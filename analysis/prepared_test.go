package analysis

import (
	"math"
	"strings"
	"testing"
	"time"

	"stopvolt/instrument/run"
)

func TestPrepareMergesRepeatsAndDropsOverload(t *testing.T) {
	c := run.Curve{Setting: "violet", Wavelength: 404.656, Readings: []run.Reading{
		{Retarding: 1, Current: 4, Uncertainty: 1},
		{Retarding: 0, Current: 99, Uncertainty: 1, Flags: run.Overload},
		{Retarding: 0.5, Current: 7, Uncertainty: 2},
		{Retarding: 1, Current: 2, Uncertainty: 1},
	}}
	p := prepared(t, c, run.Facts{Resolution: 0.1})
	if len(p.V) != 2 || p.V[0] != 0.5 || p.V[1] != 1 || p.I[0] != 7 || p.I[1] != 3 {
		t.Errorf("V = %v, I = %v", p.V, p.I)
	}
	// The mean of two independent readings has their uncertainty over root two.
	if !p.NoiseKnown || p.U[0] != 2 || math.Abs(p.U[1]-math.Sqrt2/2) > 1e-15 {
		t.Errorf("U = %v, known %v", p.U, p.NoiseKnown)
	}
	if p.Temperature != run.RoomTemperature {
		t.Errorf("temperature %v", p.Temperature)
	}
}

func TestLastDigitIsSeenInTheReadings(t *testing.T) {
	for _, c := range []struct {
		currents []float64
		want     float64
	}{
		{[]float64{360e-12, 297e-12, 0}, 1e-12},
		{[]float64{1.25e-9, -0.05e-9}, 1e-11},
		{[]float64{1.0 / 3, 0.2}, 0},
		{[]float64{0, 0}, 0},
	} {
		var readings []run.Reading
		for _, i := range c.currents {
			readings = append(readings, run.Reading{Current: i})
		}
		if got := lastDigit(readings); math.Abs(got-c.want) > 1e-9*c.want {
			t.Errorf("%v: %g, want %g", c.currents, got, c.want)
		}
	}
}

func TestPrepareRefusesWhatIsNoCurve(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name     string
		readings []run.Reading
		facts    run.Facts
		says     string
	}{
		{"empty", nil, run.Facts{}, "no usable reading"},
		{"one voltage", []run.Reading{{Retarding: 1}, {Retarding: 1}}, run.Facts{}, "two or more"},
		{"not a number", []run.Reading{{Retarding: 1}, {Retarding: 2, Current: nan}}, run.Facts{}, "reading 2"},
		{"negative uncertainty", []run.Reading{{Uncertainty: -1}}, run.Facts{}, "no negative uncertainty"},
		{"negative temperature", []run.Reading{{}}, run.Facts{Temperature: -1}, "temperature -1 K"},
	} {
		err := new(Prepared).Prepare(run.Curve{Setting: "x", Readings: c.readings}, c.facts)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want one that says %q", c.name, err, c.says)
		}
	}
}

// TestALongCurveIsThinnedAndReadAsWell: a logger's 50,000 readings take no longer
// than a moment and lead to the cutoff to 5 mV. The uncertainty allows for the 70 mV
// of the foot that the noise hides.
func TestALongCurveIsThinnedAndReadAsWell(t *testing.T) {
	c := planePair()
	c.step = (c.to - c.from) / 50000
	long := c.noisy(435.833, 5e-11, 0, source(1))
	for _, stated := range []bool{true, false} {
		for i := range long.Readings {
			if !stated {
				long.Readings[i].Uncertainty = 0
			}
		}
		began := time.Now()
		p := prepared(t, long, run.Facts{})
		if len(p.V) > mostPoints {
			t.Errorf("%d points", len(p.V))
		}
		for _, m := range Methods() {
			m.Cutoff(p)
		}
		if took := time.Since(began); took > 5*time.Second {
			t.Errorf("noise stated %v: took %v", stated, took)
		}
		got := FowlerFit{}.Cutoff(p)
		if got.Status != OK || math.Abs(got.Stopping-c.cutoff(435.833)) > 5e-3 || got.U > 0.03 {
			t.Errorf("noise stated %v: %+v, want %.5f V", stated, got, c.cutoff(435.833))
		}
	}
}
