package plan

import (
	"context"
	"math"
	"testing"

	"stopvolt/analysis"
	"stopvolt/physics"
	"stopvolt/scenarios"
)

// A rounding method errs in proportion to the meter's last digit and to nothing else.
type rounding struct{ analysis.SquareRoot }

func (rounding) Cutoff(p *analysis.Prepared) analysis.Cutoff {
	_, chance := math.Modf(math.Abs(p.V[1]) * 1e4 / 3)
	off := p.Resolution / 1e-12 * 0.2 * (chance - 0.5)
	return analysis.Cutoff{Stopping: physics.PhotonEnergy(physics.HOverE, p.Wavelength) * (1 + off), U: 0.01}
}

func TestOnlyWhatMattersIsLimited(t *testing.T) {
	s, err := scenarios.Load("lanternfell", []string{"meter.resolution_A={ log_uniform = [1e-13, 1e-11] }", "lamp.flicker={ uniform = [0.001, 0.01] }"})
	if err != nil {
		t.Fatal(err)
	}
	search := Search{Population: s.Population, Method: rounding{}, Fit: analysis.Ordinary{}, Seconds: 2400, Seed: 5, Benches: 32, Judges: 32}
	q, err := search.Require(context.Background(), 0.02)
	if err != nil {
		t.Fatal(err)
	}
	if !q.Met || len(q.Limits) != 2 {
		t.Fatalf("%+v", q)
	}
	for _, l := range q.Limits {
		switch l.Key {
		case "meter.resolution_A":
			if l.Share == 1 || !(l.High < 1e-11) {
				t.Errorf("the digit may be %+v", l)
			}
		case "lamp.flicker":
			if l.Share != 1 {
				t.Errorf("the light, which does not matter, may be %+v", l)
			}
		}
	}
	if q.Found.Width > 0.02 || !(q.All.Width > 0.02) {
		t.Errorf("within the limits %v, without %v", q.Found.Width, q.All.Width)
	}
	if q, err := search.Require(context.Background(), 1e-6); err != nil || q.Met {
		t.Errorf("a millionth is met: %+v, %v", q, err)
	}
}
