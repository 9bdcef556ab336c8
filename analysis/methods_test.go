package analysis

import (
	"math"
	"strings"
	"testing"

	"stopvolt/instrument/run"
	"stopvolt/physics"
)

func prepared(t testing.TB, c run.Curve, f run.Facts) *Prepared {
	t.Helper()
	p := new(Prepared)
	if err := p.Prepare(c, f); err != nil {
		t.Fatal(err)
	}
	return p
}

func TestFowlerFitFindsTheCutoffOfAPlanePair(t *testing.T) {
	for _, nm := range mercury {
		c := planePair()
		p := prepared(t, c.curve(nm), run.Facts{})
		got := FowlerFit{}.Cutoff(p)
		if got.Status != OK || !(math.Abs(got.Stopping-c.cutoff(nm)) < 1e-6) {
			t.Errorf("%g nm: %+v, want %.7f V", nm, got, c.cutoff(nm))
		}
	}
}

// TestTangentsNeedASmallEmitter: between planes the current falls as a parabola, and
// the line through its straight part meets the axis where a tenth or more of the
// photocurrent still flows, which is no cutoff. In a cell whose collector surrounds
// an emitter of a quarter of its radius the line ends near the cutoff, a tenth of
// the largest kinetic energy from it at most.
func TestTangentsNeedASmallEmitter(t *testing.T) {
	planes, small := planePair(), planePair()
	small.radiusRatio, small.from, small.step = 0.25, -1, 0.02
	for _, nm := range mercury[1:3] {
		for _, m := range []Method{Tangent{}, TwoTangent{}} {
			p := prepared(t, planes.curve(nm), run.Facts{})
			line, _, _ := p.fall(1)
			v, _ := cross(line, p.parts.Plateau)
			if share := planes.current(nm, v) / planes.current(nm, 0); share < 0.1 {
				t.Errorf("%s at %g nm: between planes the line ends where %.3f of the current flows", m.Name(), nm, share)
			}
			if got := m.Cutoff(p); got.Status != OutsideKnee {
				t.Errorf("%s at %g nm: %+v between planes", m.Name(), nm, got)
			}
			energy := small.cutoff(nm) + small.collector - small.emitter
			got := m.Cutoff(prepared(t, small.noisy(nm, 1e-11, 0, source(1)), run.Facts{}))
			if low := small.cutoff(nm) - got.Stopping; got.Status != OK || math.Abs(low) > energy/10 {
				t.Errorf("%s at %g nm: %+v with a small emitter, %.3f V below the cutoff", m.Name(), nm, got, low)
			}
		}
	}
}

func TestSquareRootReadsAPlanePairATraceHigh(t *testing.T) {
	// Yellow light stops at 0.05 V here, so that its curve is all warm tail.
	c := planePair()
	kT := physics.ThermalEnergy(c.temperature)
	for _, nm := range mercury[:4] {
		p := prepared(t, c.curve(nm), run.Facts{})
		got := SquareRoot{}.Cutoff(p)
		if high := got.Stopping - c.cutoff(nm); got.Status != OK || high < 0 || high > 2*kT {
			t.Errorf("%g nm: %+v, %.4f V above the cutoff; want up to 2 kT", nm, got, high)
		}
	}
}

func TestZeroCrossingReadsLowByTheReverseCurrent(t *testing.T) {
	c := planePair()
	p := prepared(t, c.curve(435.833), run.Facts{})
	got := ZeroCrossing{}.Cutoff(p)
	// There the forward current cancels the reverse one.
	if left := c.current(435.833, got.Stopping); got.Status != OK || math.Abs(left) > 1e-12 {
		t.Errorf("%+v: the current there is %g A", got, left)
	}
	if got.Stopping >= c.cutoff(435.833) {
		t.Errorf("%+v is not below %.4f V", got, c.cutoff(435.833))
	}
}

func TestEveryMethodAnswersOrSaysWhyNot(t *testing.T) {
	flat := run.Curve{Setting: "dark", Wavelength: 500}
	rising := planePair().curve(435.833)
	for i := range rising.Readings {
		flat.Readings = append(flat.Readings, run.Reading{Retarding: float64(i), Current: 0})
		rising.Readings[i].Retarding *= -1
	}
	short := planePair()
	short.to = 0.3
	three := planePair().curve(435.833)
	three.Readings = three.Readings[:3]
	for _, c := range []struct {
		name  string
		curve run.Curve
	}{
		{"no light", flat}, {"voltage of the wrong sign", rising}, {"stops before the knee", short.curve(365.015)},
		{"three readings", three}, {"good", planePair().curve(435.833)},
	} {
		p := prepared(t, c.curve, run.Facts{Resolution: 1e-13})
		for _, m := range Methods() {
			got := m.Cutoff(p)
			switch {
			case got.Status == OK && (!finite(got.Stopping) || !(got.U > 0) || got.Reason != ""):
				t.Errorf("%s, %s: %+v is no answer", c.name, m.Name(), got)
			case got.Status != OK && (!math.IsNaN(got.Stopping) || !math.IsNaN(got.U) || got.Reason == "" || strings.Contains(got.Reason, "\n")):
				t.Errorf("%s, %s: %+v is no reason", c.name, m.Name(), got)
			case c.name == "good" && strings.Contains("tangent two-tangent", m.Name()):
				// Between planes their lines meet where the current still flows.
				if got.Status == OK {
					t.Errorf("%s: %+v between planes", m.Name(), got)
				}
			case c.name == "good" && got.Status != OK:
				t.Errorf("%s: %+v on a good curve", m.Name(), got)
			case c.name == "no light" && got.Status == OK:
				t.Errorf("%s: %+v without light", m.Name(), got)
			}
			for _, s := range m.Construct(p, got) {
				if len(s.V) != len(s.I) || len(s.V) == 0 || s.Role == "" {
					t.Errorf("%s, %s: stroke %+v", c.name, m.Name(), s)
				}
				for i := range s.V {
					if !finite(s.V[i]) || !finite(s.I[i]) {
						t.Errorf("%s, %s: stroke %q is not finite", c.name, m.Name(), s.Role)
					}
				}
			}
		}
	}
}

func TestEveryMethodHasItsPage(t *testing.T) {
	seen := map[string]bool{}
	for _, m := range Methods() {
		if seen[m.Name()] {
			t.Errorf("two methods are called %q", m.Name())
		}
		seen[m.Name()] = true
		if found, err := ByName(m.Name()); err != nil || found.Name() != m.Name() {
			t.Errorf("%s is not found by its name: %v", m.Name(), err)
		}
		page := m.Page()
		if page.Summary == "" || page.Assumes == "" || page.Errs == "" || page.Source == "" {
			t.Errorf("%s: page %+v", m.Name(), page)
		}
	}
	if _, err := ByName("dowsing"); err == nil || !strings.Contains(err.Error(), "fowler-fit") {
		t.Errorf("error for an unknown name: %v", err)
	}
}

// TestCellFitFindsTheCutoffOfAnySphereCell: one photon energy, no noise, from a
// small emitter in a large collector to the reverse.
func TestCellFitFindsTheCutoffOfAnySphereCell(t *testing.T) {
	for _, ratio := range []float64{0.3, 0.5, 0.8, 1, 1.2, 2, 3} {
		c := planePair()
		c.radiusRatio = ratio
		c.from, c.step = -1, 0.05
		c.emitter, c.collector = 1.85, 2
		for _, nm := range mercury {
			p := prepared(t, c.curve(nm), run.Facts{})
			got := CellFit{}.Cutoff(p)
			if got.Status != OK || !(math.Abs(got.Stopping-c.cutoff(nm)) < 1e-6) {
				t.Errorf("radius ratio %g, %g nm: %+v, want %.7f V", ratio, nm, got, c.cutoff(nm))
			}
		}
	}
}

// TestJointFitFindsPlanckOfAnySphereCell: all settings together, no noise.
func TestJointFitFindsPlanckOfAnySphereCell(t *testing.T) {
	for _, ratio := range []float64{0.3, 0.5, 0.8, 1, 1.2, 2, 3} {
		c := planePair()
		c.radiusRatio = ratio
		c.from = -1
		c.emitter, c.collector = 1.85, 2
		e := Extract(c.run(), []Method{JointFit{}})
		if len(e.Lines) != 1 || e.Lines[0].Status != OK || e.Lines[0].Fit != JointLine {
			t.Fatalf("radius ratio %g: %+v", ratio, e.Lines)
		}
		near(t, "h/e", e.Lines[0].Line.Slope, physics.HOverE, 1e-8)
		near(t, "work function", -e.Lines[0].Line.Intercept, c.collector, 1e-8)
		for i, s := range e.Settings {
			if got := s.Cutoffs[0]; got.Status != OK || !(math.Abs(got.Stopping-c.cutoff(mercury[i])) < 1e-6) {
				t.Errorf("radius ratio %g, %g nm: %+v", ratio, mercury[i], got)
			}
		}
	}
}

func TestJointFitNamesSettingsThatCannotTakePart(t *testing.T) {
	r := planePair().run()
	r.Curves[1].Readings = r.Curves[1].Readings[:5]
	r.Curves[1].Setting = "short"
	r.Curves[3].Readings = nil
	r.Curves[3].Setting = "empty"
	e := Extract(r, []Method{JointFit{}})
	l := e.Lines[0]
	if l.Status != OK || len(l.LeftOut) != 2 || l.LeftOut[0] != "short" || l.LeftOut[1] != "empty" {
		t.Errorf("%+v", l)
	}
	near(t, "h/e", l.Line.Slope, physics.HOverE, 1e-8)
	r.Curves = r.Curves[:3]
	if l := Extract(r, []Method{JointFit{}}).Lines[0]; l.Status == OK || l.Reason == "" {
		t.Errorf("two settings gave %+v", l)
	}
}

// TestSecondDerivativeOfAPlanePairIsHalfItsHeightAtTheCutoff: the curvature of
// f is the Fermi function, one half at the cutoff. The first part checks the
// curve by central differences, the second that the method finds it.
func TestSecondDerivativeOfAPlanePairIsHalfItsHeightAtTheCutoff(t *testing.T) {
	c := planePair()
	const h = 1e-3
	bendAt := func(v float64) float64 {
		return (c.current(435.833, v-h) - 2*c.current(435.833, v) + c.current(435.833, v+h)) / (h * h)
	}
	stop := c.cutoff(435.833)
	near(t, "curvature at the cutoff", bendAt(stop)/bendAt(stop-0.4), 0.5, 1e-3)
	c.step = 0.01
	got := SecondDerivative{}.Cutoff(prepared(t, c.curve(435.833), run.Facts{}))
	if got.Status != OK || math.Abs(got.Stopping-stop) > 2e-3 {
		t.Errorf("%+v, want %.4f V", got, stop)
	}
}

// TestCutoffDoesNotMoveWithIntensity: the true cutoff is that of the fit at any
// light, while null-reading follows the light a little (common practice, no
// source).
func TestCutoffDoesNotMoveWithIntensity(t *testing.T) {
	bright := planePair()
	bright.step = 0.01
	dim := bright
	dim.greatest, dim.reverse = bright.greatest/10, bright.reverse/10
	src := source(2)
	at := func(m Method, c cell) Cutoff {
		return m.Cutoff(prepared(t, c.noisy(546.074, 2e-13, 1e-13, src), run.Facts{Resolution: 1e-13}))
	}
	a, b := at(FowlerFit{}, bright), at(FowlerFit{}, dim)
	if a.Status != OK || b.Status != OK || math.Abs(a.Stopping-b.Stopping) > 4*math.Hypot(a.U, b.U) {
		t.Errorf("fowler-fit: %+v in bright light, %+v in dim", a, b)
	}
	a, b = at(NullReading{}, bright), at(NullReading{}, dim)
	if move := a.Stopping - b.Stopping; a.Status != OK || b.Status != OK || !(move > 0) || move > 0.2 {
		t.Errorf("null-reading: %+v in bright light, %+v in dim", a, b)
	}
}
