package analysis

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"stopvolt/instrument/run"
)

// drawCurve draws a curve of a cell with noise.
func drawCurve(t *rapid.T) (run.Curve, run.Facts) {
	c := planePair()
	c.radiusRatio = rapid.Float64Range(0.3, 2).Draw(t, "radius ratio")
	c.from = rapid.SampledFrom([]float64{-1, -0.5, 0}).Draw(t, "from")
	c.step = rapid.SampledFrom([]float64{0.025, 0.05, 0.1}).Draw(t, "step")
	nm := rapid.SampledFrom(mercury).Draw(t, "wavelength")
	sigma := math.Pow(10, rapid.Float64Range(-13.5, -11.5).Draw(t, "log noise"))
	resolution := rapid.SampledFrom([]float64{0x1p-43, 0x1p-40, 0x1p-37}).Draw(t, "resolution")
	out := c.noisy(nm, sigma, resolution, source(rapid.Uint64().Draw(t, "seed")))
	if rapid.Bool().Draw(t, "noise unknown") {
		for i := range out.Readings {
			out.Readings[i].Uncertainty = 0
		}
	}
	return out, run.Facts{Resolution: resolution}
}

// cutoffs are those of all methods.
func cutoffs(t *rapid.T, c run.Curve, f run.Facts) []Cutoff {
	p := new(Prepared)
	if err := p.Prepare(c, f); err != nil {
		t.Fatal(err)
	}
	var out []Cutoff
	for _, m := range Methods() {
		out = append(out, m.Cutoff(p))
	}
	return out
}

// agree says whether two cutoffs are the same to within a tolerance in V and a
// millionth of their uncertainty after a shift.
func agree(a, b Cutoff, shift, tolerance float64) bool {
	if a.Status != OK || b.Status != OK {
		return a.Status == b.Status
	}
	return math.Abs(a.Stopping+shift-b.Stopping) <= tolerance+1e-6*a.U && math.Abs(a.U-b.U) <= tolerance+1e-3*a.U
}

func TestOrderOfReadingsChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, f := drawCurve(t)
		before := cutoffs(t, c, f)
		shuffled := c
		shuffled.Readings = append([]run.Reading(nil), c.Readings...)
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "shuffle"), 0))
		r.Shuffle(len(shuffled.Readings), func(i, j int) {
			shuffled.Readings[i], shuffled.Readings[j] = shuffled.Readings[j], shuffled.Readings[i]
		})
		for i, after := range cutoffs(t, shuffled, f) {
			if !agree(before[i], after, 0, 0) {
				t.Fatalf("%s: %+v became %+v", Methods()[i].Name(), before[i], after)
			}
		}
	})
}

// TestScalingTheCurrentChangesNoCutoff but those of the two methods with an
// absolute threshold. The scale is a power of two, so that no digit is lost, and
// the meter's last digit scales with the current.
func TestScalingTheCurrentChangesNoCutoff(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, f := drawCurve(t)
		before := cutoffs(t, c, f)
		scale := math.Ldexp(1, rapid.IntRange(-12, 12).Draw(t, "power of two"))
		for i := range c.Readings {
			c.Readings[i].Current *= scale
			c.Readings[i].Uncertainty *= scale
		}
		f.Resolution *= scale
		for i, after := range cutoffs(t, c, f) {
			if !agree(before[i], after, 0, 1e-9) {
				t.Fatalf("%s: %+v became %+v", Methods()[i].Name(), before[i], after)
			}
		}
	})
}

// TestAnAbsoluteThresholdMovesWithTheCurrent holds null-reading and fixed-current
// to what their pages admit: the same light on the same meter, seen through a
// filter, is read lower.
func TestAnAbsoluteThresholdMovesWithTheCurrent(t *testing.T) {
	dim := planePair()
	dim.reverse, dim.leakage, dim.step = 0, 0, 0.01
	bright := dim
	bright.greatest *= 16
	const step = 0x1p-40
	for _, m := range []Method{NullReading{}, FixedCurrent{}} {
		read := func(c cell) float64 {
			return m.Cutoff(prepared(t, c.noisy(435.833, 1e-16, step, source(1)), run.Facts{Resolution: step})).Stopping
		}
		if a, b := read(dim), read(bright); !(b > a+0.01) {
			t.Errorf("%s: %.3f V in dim light, %.3f V in bright", m.Name(), a, b)
		}
	}
}

// TestShiftingTheVoltageShiftsWhatIsReadOffTheMeter by as much. The windows of the
// other methods are shares of the photocurrent at zero volts, which a shift changes.
func TestShiftingTheVoltageShiftsWhatIsReadOffTheMeter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, f := drawCurve(t)
		for i := range c.Readings {
			// Which readings tell the noise depends on zero volts too.
			c.Readings[i].Uncertainty = 1e-10
		}
		// Voltages and shift are multiples of 2^-40 V, so that the sums are exact.
		grid := func(v float64) float64 { return math.Round(v*0x1p40) / 0x1p40 }
		for i := range c.Readings {
			c.Readings[i].Retarding = grid(c.Readings[i].Retarding)
		}
		before := cutoffs(t, c, f)
		shift := grid(rapid.Float64Range(0, 0.5).Draw(t, "shift"))
		if c.Readings[0].Retarding+shift > 0 {
			shift = 0
		}
		for i := range c.Readings {
			c.Readings[i].Retarding += shift
		}
		for i, after := range cutoffs(t, c, f) {
			switch Methods()[i].(type) {
			case NullReading, ZeroCrossing, FixedCurrent:
			default:
				continue
			}
			if before[i].Status == OK && after.Status == OK && math.Abs(before[i].Stopping+shift-after.Stopping) > 1e-6 {
				t.Fatalf("%s: %+v became %+v, shift %g V", Methods()[i].Name(), before[i], after, shift)
			}
		}
	})
}

func TestMoreLightChangesNoFit(t *testing.T) {
	for _, nm := range mercury {
		c := planePair()
		c.from = -1
		more := c
		more.greatest *= 3
		more.reverse *= 3
		for _, m := range []Method{SquareRoot{}, PowerLaw{}, FirstDerivative{}, SecondDerivative{}, FowlerFit{}, CellFit{}} {
			a := m.Cutoff(prepared(t, c.curve(nm), run.Facts{}))
			b := m.Cutoff(prepared(t, more.curve(nm), run.Facts{}))
			if !agree(a, b, 0, 1e-3) {
				t.Errorf("%s at %g nm: %+v became %+v", m.Name(), nm, a, b)
			}
		}
	}
}

// TestNoCurveIsTooStrange feeds the methods with readings that are no curve at
// all: each answers with finite numbers or says why not.
func TestNoCurveIsTooStrange(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		voltage := rapid.OneOf(rapid.Float64Range(-3, 3), rapid.SampledFrom([]float64{-1, 0, 0.5, 1, 1e-9, 1e6, -1e6}))
		current := rapid.OneOf(rapid.Float64Range(-1e-9, 1e-9),
			rapid.SampledFrom([]float64{0, 1e-12, 2e-12, -1e-12, 1e-300, -1e-300, 1e3, 1e30}))
		uncertainty := rapid.SampledFrom([]float64{0, 1e-13, 1e-12, 1e-9, 1e-30, 1})
		var r run.Run
		r.Facts.Resolution = rapid.SampledFrom([]float64{0, 1e-12, 1e-15, 1}).Draw(t, "resolution")
		r.Facts.Temperature = rapid.SampledFrom([]float64{0, 1, 77, 300, 2000}).Draw(t, "temperature")
		falling := rapid.Bool().Draw(t, "falling")
		for range rapid.IntRange(1, 4).Draw(t, "curves") {
			c := run.Curve{Setting: "strange", Wavelength: rapid.SampledFrom([]float64{0, 365, 500, 577}).Draw(t, "wavelength")}
			height := 1e-9
			for range rapid.IntRange(0, 30).Draw(t, "readings") {
				one := run.Reading{Retarding: voltage.Draw(t, "V"), Current: current.Draw(t, "I"), Uncertainty: uncertainty.Draw(t, "u")}
				if falling {
					height *= rapid.Float64Range(0, 1.05).Draw(t, "fall")
					one.Retarding, one.Current = 0.1*float64(len(c.Readings)), height
				}
				c.Readings = append(c.Readings, one)
			}
			r.Curves = append(r.Curves, c)
		}
		e := Extract(r, Methods())
		for _, s := range e.Settings {
			for i, c := range s.Cutoffs {
				name := Methods()[i].Name()
				if c.Status == OK && (!finite(c.Stopping) || !finite(c.U) || c.U <= 0) || c.Status != OK && c.Reason == "" {
					t.Fatalf("%s: %+v", name, c)
				}
				if s.Prepared == nil {
					continue
				}
				for _, stroke := range Methods()[i].Construct(s.Prepared, c) {
					for k := range stroke.V {
						if !finite(stroke.V[k]) || !finite(stroke.I[k]) {
							t.Fatalf("%s: stroke %q has %g A at %g V", name, stroke.Role, stroke.I[k], stroke.V[k])
						}
					}
				}
			}
		}
		for _, l := range e.Lines {
			if l.Status == OK && (!finite(l.Line.Slope) || !finite(l.Line.USlope) || !finite(l.Line.Intercept) || !finite(l.Line.UIntercept)) ||
				l.Status != OK && l.Reason == "" {
				t.Fatalf("%+v", l)
			}
		}
	})
}
