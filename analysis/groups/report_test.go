package groups

import (
	"math"
	"testing"

	"stopvolt/analysis"
	"stopvolt/instrument/run"
)

// fall is a run at three lines, with the end of each current well inside the sweep.
func fall() run.Run {
	var r run.Run
	for _, light := range []struct {
		name       string
		nm, cutoff float64
	}{{"violet", 404.7, 1.3}, {"blue", 435.8, 1.1}, {"green", 546.1, 0.5}} {
		c := run.Curve{Setting: light.name, Wavelength: light.nm}
		for k := range 81 {
			v := -2 + 0.05*float64(k)
			d := max(light.cutoff-v, 0)
			c.Readings = append(c.Readings, run.Reading{Retarding: v, Current: 1e-10*d*d - 1e-12, Uncertainty: 1e-13, Time: float64(k)})
		}
		r.Curves = append(r.Curves, c)
	}
	return r
}

// With the sign of the voltage turned round a method finds no end of the current, and
// would have the sweep go further.
func TestAWrongSignIsTheOnlyRemark(t *testing.T) {
	rd := Reader{Method: analysis.SquareRoot{}, Fit: analysis.Ordinary{}}
	if row := rd.row(HandIn{Group: "a", Bench: "b", Run: fall()}); row.Reason != "" || math.IsNaN(row.HOverE.Value) {
		t.Fatalf("a good run is not pooled: %s", row.Reason)
	}
	turned := fall()
	for _, c := range turned.Curves {
		for k := range c.Readings {
			c.Readings[k].Retarding = -c.Readings[k].Retarding
		}
	}
	if got, want := rd.row(HandIn{Group: "a", Bench: "b", Run: turned}).Reason, "its readings: sign of violet"; got != want {
		t.Errorf("the remark is %q, want %q", got, want)
	}
}

// A method's own reason stands where no finding makes nonsense of the readings.
func TestAMethodsReasonStandsWithoutAFinding(t *testing.T) {
	short := fall()
	for i := range short.Curves {
		short.Curves[i].Readings = short.Curves[i].Readings[:45]
	}
	reason := Reader{Method: analysis.SquareRoot{}, Fit: analysis.Ordinary{}}.row(HandIn{Run: short}).Reason
	if reason == "" || reason[:min(len(reason), 12)] == "its readings" {
		t.Errorf("the remark is %q", reason)
	}
}
