package sim_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"

	"stopvolt/sim"
)

// reads returns a reading over a long dwell in A, whose shot noise is below a
// thousandth of the currents here.
func reads(s *sim.Session) float64 { return s.Read(10).Current }

func TestAttenuatorDimsTheCurrentInProportion(t *testing.T) {
	s := sitting(t, plain(), 0, -1)
	full := reads(s)
	for _, transmission := range []float64{0.5, 0.1, 0.01} {
		s.Attenuate(transmission)
		if got := reads(s); !scalar.EqualWithinRel(got, transmission*full, 1e-3) {
			t.Errorf("at a transmission of %g the current is %g A, %g of the full", transmission, got, got/full)
		}
	}
	s.Attenuate(1)
	if got := reads(s); !scalar.EqualWithinRel(got, full, 1e-3) {
		t.Errorf("without the attenuator the current is %g A, and was %g A before", got, full)
	}
}

// With the shutter closed or the lamp out there is leakage, and no more.
func TestShutterAndLampLeaveTheLeakage(t *testing.T) {
	a := plain()
	a.Leakage.Conductance = 1e-12
	s := sitting(t, a, 0, 0.5)
	lit := reads(s)
	s.Shut(true)
	shut := reads(s)
	s.Shut(false)
	if again := reads(s); !scalar.EqualWithinRel(again, lit, 1e-3) {
		t.Errorf("opened again the shutter gives %g A instead of %g A", again, lit)
	}
	s.Extinguish()
	out := reads(s)
	for name, got := range map[string]float64{"the shutter closed": shut, "the lamp out": out} {
		if !scalar.EqualWithinAbs(got, -0.5e-12, 1e-17) {
			t.Errorf("with %s %g A flow, not %g A", name, got, -0.5e-12)
		}
	}
	s.Strike()
	if again := reads(s); !scalar.EqualWithinRel(again, lit, 1e-3) {
		t.Errorf("lit again the lamp gives %g A instead of %g A", again, lit)
	}
}

// A lamp that is lit now warms up from now on, whenever the session began.
func TestLampWarmsFromWhenItIsStruck(t *testing.T) {
	a := plain()
	a.Lamp.WarmUp, a.Lamp.WarmUpTime = 0.6, 100
	s := sitting(t, a, 0, -1)
	s.Wait(3000)
	full := reads(s)
	s.Extinguish()
	s.Wait(500)
	s.Strike()
	got := reads(s)
	// The light is that of the middle of the dwell of 10 s.
	want := full * (1 - 0.6*math.Exp(-5./100))
	if !scalar.EqualWithinRel(got, want, 2e-3) {
		t.Errorf("just lit the lamp gives %g of its warm current, not %g", got/full, want/full)
	}
}

// A meter set to a range stays there, and what is too much for it is said so; a
// zero that was taken on one range is that of this range alone.
func TestRangeByHandStaysAndHasItsOwnZero(t *testing.T) {
	a := withCurrent(t, plain(), -1, 3e-9)
	a.Meter.FullScales, a.Meter.Steps, a.Meter.OffsetSteps = []float64{1e-9, 1e-8, 1e-7}, 2000, 20
	s := sitting(t, a, 0, -1)
	s.SetRange(0)
	if r := s.Read(1); r.Current != 1e-9 || r.Flags == 0 {
		t.Errorf("3 nA on the range of 1 nA are shown as %g A with the flags %q", r.Current, r.Flags)
	}
	s.Shut(true)
	s.SetRange(1)
	s.Null(1)
	if zero := s.Read(1).Current; math.Abs(zero) > 5e-12 {
		t.Errorf("zeroed, the meter shows %g A", zero)
	}
	s.SetRange(2)
	if zero := s.Read(1).Current; math.Abs(zero) < 5e-11 {
		t.Errorf("a range that was not zeroed shows %g A", zero)
	}
	if s.Range() != 2 {
		t.Errorf("the meter has gone from range 2 to %d", s.Range())
	}
	s.Shut(false)
	s.FindRange()
	s.Read(1)
	if s.Range() != 1 {
		t.Errorf("left to itself the meter takes range %d for 3 nA, not 1", s.Range())
	}
}

// Exchanged leads turn the retarding voltage into an accelerating one.
func TestCrossedLeadsAccelerate(t *testing.T) {
	s := sitting(t, plain(), 0, 1.5)
	stopped := reads(s)
	s.Cross(true)
	crossed := reads(s)
	s.Cross(false)
	s.Turn(-1.5)
	if accelerated := reads(s); !scalar.EqualWithinRel(crossed, accelerated, 1e-3) || !(crossed > 100*math.Abs(stopped)) {
		t.Errorf("at 1.5 V %g A, crossed %g A, at -1.5 V %g A", stopped, crossed, accelerated)
	}
	s.Loosen(true)
	if r := reads(s); r != 0 {
		t.Errorf("a lead in the air carries %g A", r)
	}
}

// The lag is what a first-order response has still to go.
func TestLagDiesAwayWithTheResponse(t *testing.T) {
	a := plain()
	a.Meter.Response = 2
	s := sitting(t, a, 0, -1)
	s.Wait(60)
	if lag := s.Lag(); math.Abs(lag) > 1e-20 {
		t.Errorf("at rest the meter lags by %g A", lag)
	}
	before := reads(s)
	s.Shut(true)
	s.Wait(2)
	if got, want := s.Lag(), before*math.Exp(-1); !scalar.EqualWithinRel(got, want, 1e-3) {
		t.Errorf("2 s after the light went the meter lags by %g A, not %g A", got, want)
	}
}
