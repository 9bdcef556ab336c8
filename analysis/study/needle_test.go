package study_test

import (
	"math"
	"testing"

	"stopvolt/analysis"
	"stopvolt/analysis/study"
	"stopvolt/instrument"
	"stopvolt/instrument/run"
	"stopvolt/physics"
	"stopvolt/sim"
)

// meanRun returns the noise-free run of an apparatus, as a meter of a
// resolution in A would show it.
func meanRun(t *testing.T, a instrument.Apparatus, resolution float64) run.Run {
	t.Helper()
	bench, err := sim.NewBench(a, physics.Closed{})
	if err != nil {
		t.Fatal(err)
	}
	r := bench.Mean()
	meter := instrument.Meter{Resolution: resolution}.Ranges()[0]
	for _, c := range r.Curves {
		for i := range c.Readings {
			c.Readings[i].Current, _ = meter.Show(c.Readings[i].Current)
		}
	}
	r.Facts.Resolution = resolution
	return r
}

// cutoff reads that of a curve by a method.
func cutoff(t *testing.T, name string, c run.Curve, f run.Facts) float64 {
	t.Helper()
	m, err := analysis.ByName(name)
	if err != nil {
		t.Fatal(err)
	}
	var p analysis.Prepared
	if err := p.Prepare(c, f); err != nil {
		t.Fatal(err)
	}
	answer := m.Cutoff(&p)
	if answer.Status != analysis.OK {
		t.Fatalf("%s, %s: %s", name, c.Setting, answer.Reason)
	}
	return answer.Stopping
}

// slopeError returns the relative error of h/e by null-reading at a needle.
func slopeError(t *testing.T, a instrument.Apparatus, resolution float64) float64 {
	t.Helper()
	m, err := analysis.ByName("null-reading")
	if err != nil {
		t.Fatal(err)
	}
	x := analysis.Extract(meanRun(t, a, resolution), []analysis.Method{m})
	if x.Lines[0].Status != analysis.OK {
		t.Fatal(x.Lines[0].Reason)
	}
	return x.Lines[0].Line.Slope/a.World.HOverE - 1
}

// lit returns the apparatus with each light as strong as it must be for a
// current in A at the start of the sweep.
func lit(t *testing.T, a instrument.Apparatus, currents ...float64) instrument.Apparatus {
	t.Helper()
	bench, err := sim.NewBench(a, physics.Closed{})
	if err != nil {
		t.Fatal(err)
	}
	mean := bench.Mean()
	lights := append([]instrument.Light(nil), a.Lights...)
	for i := range lights {
		lights[i].Flux *= currents[i] / mean.Curves[i].Readings[0].Current
	}
	a.Lights = lights
	return a
}

// Common practice, no source: the last current that a needle shows, without
// reverse current and with a dim red end, gives an h/e that is too high,
// and with reverse current and light of even strength one that is too low.
func TestANeedleErrsToEitherSide(t *testing.T) {
	const deflection = 5e-12 // what a person can tell from zero, in A
	a := apparatus(t)
	a.Plan.Step = 0.01
	a.Leakage = instrument.Leakage{}

	// The yellow line moves the needle by twelve times what can be told from
	// zero, in a cell of plane plates, whose current sets in slowly.
	dim := a
	dim.Collector.StrayLight = 0
	dim.Geometry = physics.Spheres{RadiusRatio: 1}
	dim = lit(t, dim, 1e-8, 1e-8, 1e-8, 3e-10, 6e-11)
	if got := slopeError(t, dim, deflection); got < 0.02 || got > 0.15 {
		t.Errorf("with a dim red end and no reverse current h/e is %+.1f %% off, want some per cent too high", 100*got)
	} else {
		t.Logf("dim red end, no reverse current: %+.1f %%", 100*got)
	}

	even := lit(t, a, 1e-9, 1e-9, 1e-9, 1e-9, 1e-9)
	if got := slopeError(t, even, deflection); got > -0.05 {
		t.Errorf("with even light and reverse current h/e is %+.1f %% off, want it too low", 100*got)
	} else {
		t.Logf("even light and reverse current: %+.1f %%", 100*got)
	}

	// The true cutoffs of the same cells do not err.
	for _, a := range []instrument.Apparatus{dim, even} {
		truth := sim.TruthOf(a)
		var points []analysis.Point
		for i, l := range a.Lights {
			points = append(points, analysis.Point{Frequency: physics.Frequency(l.Nominal), Stopping: truth.Stopping[i]})
		}
		line, err := analysis.LineFits()[0].Fit(points)
		if err != nil {
			t.Fatal(err)
		}
		if got := line.Slope/a.World.HOverE - 1; math.Abs(got) > 1e-12 {
			t.Errorf("the true cutoffs give an h/e %g off", got)
		}
	}
}

// Common practice, no source: the true cutoff is the same at reduced light,
// while null-reading shifts a little.
func TestCutoffDoesNotMoveWithIntensity(t *testing.T) {
	full := apparatus(t)
	full.Geometry = physics.Spheres{RadiusRatio: 1}
	full.Collector.StrayLight = 0
	full.Leakage = instrument.Leakage{}
	full.Plan.Step = 0.01
	for i, l := range full.Lights {
		full.Lights[i].Lines = []physics.SpectralLine{{Wavelength: l.Nominal, Weight: 1}}
		full.Lights[i].Filter = instrument.Filter{}
	}
	tenth := full
	tenth.Lights = append([]instrument.Light(nil), full.Lights...)
	for i := range tenth.Lights {
		tenth.Lights[i].Neutral /= 10
	}
	truth := sim.TruthOf(full)
	exactFull, exactTenth := meanRun(t, full, 0), meanRun(t, tenth, 0)
	shownFull, shownTenth := meanRun(t, full, 1e-12), meanRun(t, tenth, 1e-12)
	for i := range full.Lights {
		name := full.Lights[i].Name
		for _, r := range []run.Run{exactFull, exactTenth} {
			got := cutoff(t, "fowler-fit", r.Curves[i], r.Facts)
			if math.Abs(got-truth.Stopping[i]) > 1e-6 {
				t.Errorf("%s: the cutoff is %.7f V, in truth %.7f V", name, got, truth.Stopping[i])
			}
		}
		f := cutoff(t, "null-reading", shownFull.Curves[i], shownFull.Facts)
		d := cutoff(t, "null-reading", shownTenth.Curves[i], shownTenth.Facts)
		if shift := f - d; shift < 0.01 || shift > 0.2 {
			t.Errorf("%s: null-reading moves by %.3f V from full to a tenth of the light", name, shift)
		}
	}
}

// The main job: with the default scenario the tangents, which look at the steep
// part and not at the knee, put h/e far too low, and the fit of Fowler's law to
// the knee does not.
func TestTangentsAreBiasedAndTheFitIsNot(t *testing.T) {
	a := apparatus(t)
	s := study.Study{Population: only(a), Methods: named(t, "tangent", "two-tangent", "fowler-fit"), Fits: analysis.LineFits()[:2], Replicates: 64, Seed: seed}
	r := s.Result(done(t, s))
	for _, row := range r.Rows {
		bias := row.HOverE.Bias.Value
		switch row.Method {
		case "tangent", "two-tangent":
			if bias > -0.05 {
				t.Errorf("seed %d: %s, %s: bias %+.3f", seed, row.Method, row.Fit, bias)
			}
		case "fowler-fit":
			if math.Abs(bias) > 0.02 {
				t.Errorf("seed %d: %s, %s: bias %+.3f", seed, row.Method, row.Fit, bias)
			}
		}
	}
}
