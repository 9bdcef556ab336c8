package knee_test

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"

	"stopvolt/instrument"
	"stopvolt/physics"
	"stopvolt/scenarios"
	"stopvolt/sim/knee"
)

// bench returns the default bench with some keys changed, and the build of its
// strongest setting.
func bench(t testing.TB, set ...string) knee.Build {
	t.Helper()
	scenario, err := scenarios.Load(scenarios.Default, set)
	if err != nil {
		t.Fatal(err)
	}
	i, err := knee.Strongest(scenario.Apparatus)
	if err != nil {
		t.Fatal(err)
	}
	return knee.Build{Apparatus: scenario.Apparatus, Setting: i, Seed: 1, Electrons: 20_000, Points: 151}
}

// alone takes all other lights away, which patches make slow to prepare.
func alone(b knee.Build) knee.Build {
	b.Apparatus.Lights = b.Apparatus.Lights[b.Setting : b.Setting+1]
	b.Setting = 0
	return b
}

// steps builds the knee up.
func steps(t testing.TB, b knee.Build) knee.Steps {
	t.Helper()
	s, err := b.Steps()
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// named returns the step that adds an effect.
func named(t *testing.T, s knee.Steps, effect instrument.EffectID) knee.Step {
	t.Helper()
	i := slices.IndexFunc(s.Steps, func(step knee.Step) bool { return slices.Contains(step.Effects, effect) })
	if i < 0 {
		t.Fatalf("no step adds %q", effect)
	}
	return s.Steps[i]
}

// fowler is the Fowler function by gonum's dilogarithm, f(mu) = -Li2(-exp(mu)).
func fowler(mu float64) float64 { return -real(mathext.Li2(complex(-math.Exp(mu), 0))) }

// spheres is the current over its saturation that a warm emitter sends across
// concentric spheres, q = (radius ratio)^2 < 1, by the closed form of the
// design: [G(B) - (1-q) G(B/(1-q))]/q over G(0), with G(a) = f((Em - a)/kT).
func spheres(em, kT, q, b float64) float64 {
	if b <= 0 {
		return 1
	}
	g := func(a float64) float64 { return fowler((em - a) / kT) }
	return (g(b) - (1-q)*g(b/(1-q))) / q / g(0)
}

// Without any effect the curve is 1 - (B/Em)^2, which meets zero at an angle at
// the true cutoff: half of n(E) = 2E/Em^2, integrated from B to Em.
func TestCornerIsThatOfAColdEmitterWithStraightElectrons(t *testing.T) {
	b := bench(t)
	s := steps(t, b)
	corner := s.Steps[0]
	saturation := corner.I[0]
	for i, barrier := range corner.V {
		want := 0.0
		switch {
		case barrier <= 0:
			want = 1
		case barrier < s.Limit:
			want = 1 - barrier*barrier/(s.Limit*s.Limit)
		}
		if got := corner.I[i] / saturation; math.Abs(got-want) > 1e-9 {
			t.Errorf("at %g V the share is %.12g, not %.12g", barrier, got, want)
		}
	}
}

// The contact potential moves the whole curve, and the corner to the true
// cutoff, which only the collector's work function enters.
func TestContactPotentialMovesTheCornerToTheTrueCutoff(t *testing.T) {
	b := bench(t)
	s := steps(t, b)
	step := named(t, s, instrument.ContactPotential)
	for i, v := range step.V {
		barrier := v + b.Apparatus.Collector.WorkFunction - b.Apparatus.Emitter.WorkFunction
		want := 1 - math.Pow(min(max(barrier, 0), s.Limit)/s.Limit, 2)
		if got := step.I[i] / step.I[0]; math.Abs(got-want) > 1e-9 {
			t.Errorf("at %g V the share is %.12g, not %.12g", v, got, want)
		}
		if dark := v >= s.Truth; dark != (step.I[i] < 1e-12*step.I[0]) {
			t.Errorf("at %g V flows %g A, and the true cutoff is %g V", v, step.I[i], s.Truth)
		}
	}
}

// A cold emitter in spheres has the closed form of the angular spread: with
// x = B/Em, [(1-x)^2 - (1-q)(1-x/(1-q))^2]/q, the second square only where
// x < 1-q. The corner is gone though nothing is warm: close to the cutoff the
// current goes as the square of what is left.
func TestAngularSpreadRoundsTheCornerOfAColdEmitter(t *testing.T) {
	b := bench(t)
	s := steps(t, b)
	step := named(t, s, instrument.AngularSpread)
	contact := b.Apparatus.Collector.WorkFunction - b.Apparatus.Emitter.WorkFunction
	const q = 0.25
	for i, v := range step.V {
		x := (v + contact) / s.Limit
		want := 0.0
		switch {
		case x <= 0:
			want = 1
		case x < 1-q:
			want = (math.Pow(1-x, 2) - (1-q)*math.Pow(1-x/(1-q), 2)) / q
		case x < 1:
			want = math.Pow(1-x, 2) / q
		}
		if got := step.I[i] / step.I[0]; math.Abs(got-want) > 1e-9 {
			t.Errorf("at %g V the share is %.12g, not %.12g", v, got, want)
		}
	}
}

// With its heat the emitter follows Fowler's function, here by gonum's
// dilogarithm.
func TestThermalSmearingFollowsTheClosedForm(t *testing.T) {
	b := bench(t)
	s := steps(t, b)
	step := named(t, s, instrument.ThermalSmearing)
	contact := b.Apparatus.Collector.WorkFunction - b.Apparatus.Emitter.WorkFunction
	kT := physics.ThermalEnergy(b.Apparatus.Emitter.Temperature)
	for i, v := range step.V {
		if got, want := step.I[i]/step.I[0], spheres(s.Limit, kT, 0.25, v+contact); math.Abs(got-want) > 1e-9 {
			t.Errorf("at %g V the share is %.12g, not %.12g", v, got, want)
		}
	}
	if step.AtTruth <= 0 {
		t.Errorf("%g A at the true cutoff; heat carries some electrons over it", step.AtTruth)
	}
}

// The step of the band is the sum over the lines that the filter passes, each
// by its closed form, weighted by its photons and its yield.
func TestBandIsTheSumOfItsLines(t *testing.T) {
	b := bench(t, "light.blue.filter.blocking=0")
	b.Setting = slices.IndexFunc(b.Apparatus.Lights, func(l instrument.Light) bool { return l.Name == "blue" })
	s := steps(t, b)
	step := named(t, s, instrument.NominalWavelength)
	a := b.Apparatus
	contact := a.Collector.WorkFunction - a.Emitter.WorkFunction
	kT := physics.ThermalEnergy(a.Emitter.Temperature)
	type part struct{ em, weight float64 }
	var parts []part
	var sum float64
	for _, line := range a.Lights[b.Setting].Spectrum() {
		photon := physics.PhotonEnergy(a.World.HOverE, line.Wavelength)
		em := photon - a.Emitter.WorkFunction
		parts = append(parts, part{em, line.Weight / photon * fowler(em/kT)})
		sum += parts[len(parts)-1].weight
	}
	for i, v := range step.V {
		var want float64
		for _, p := range parts {
			want += p.weight / sum * spheres(p.em, kT, 0.25, v+contact)
		}
		if got := step.I[i] / step.I[0]; math.Abs(got-want) > 1e-9 {
			t.Errorf("at %g V the share is %.12g, not %.12g", v, got, want)
		}
	}
}

// Leakage adds a straight line and nothing else.
func TestLeakageAddsAStraightLine(t *testing.T) {
	b := bench(t)
	s := steps(t, b)
	leak := named(t, s, instrument.LeakageCurrent)
	before := s.Steps[slices.IndexFunc(s.Steps, func(step knee.Step) bool { return slices.Contains(step.Effects, instrument.LeakageCurrent) })-1]
	for i, v := range leak.V {
		want := b.Apparatus.Leakage.Current(v)
		if got := leak.I[i] - before.I[i]; math.Abs(got-want) > 1e-9*leak.I[0] {
			t.Errorf("at %g V the step is %g A, not %g", v, got, want)
		}
	}
}

// The last step is the bench itself, whatever the apparatus has.
func TestStepsEndAtTheBench(t *testing.T) {
	for _, set := range [][]string{nil,
		{"collector.patch_spread_eV=0.05"},
		{"collector.emitter_coating=0.1"},
		{"geometry.radius_ratio=1"},
	} {
		b := alone(bench(t, set...))
		b.Points = 41
		s := steps(t, b)
		end := s.Steps[len(s.Steps)-1]
		mean, err := instrument.NewMeanCurrent(b.Apparatus, b.Apparatus.Lights[b.Setting], physics.Closed{})
		if err != nil {
			t.Fatal(err)
		}
		for i, v := range end.V {
			if want := mean.At(v).Net(); end.I[i] != want {
				t.Errorf("%v: at %g V the bench has %g A, not %g", set, v, want, end.I[i])
			}
		}
		if len(end.Readings) != len(b.Apparatus.Plan.Voltages(s.Truth)) {
			t.Errorf("%v: %d readings", set, len(end.Readings))
		}
		var names []instrument.EffectID
		for _, step := range s.Steps {
			names = append(names, step.Effects...)
		}
		for _, e := range instrument.Present(b.Apparatus) {
			if !slices.Contains(names, e.ID) {
				t.Errorf("%v: no step adds %s", set, e.ID)
			}
		}
	}
}

// Until the light that really arrives is switched on, every cause leaves the
// cutoff of the mean photon where the truth has it.
func TestLightIsCentredOnTheTruthUntilItIsNot(t *testing.T) {
	b := bench(t)
	s := steps(t, b)
	for _, step := range s.Steps {
		light := step.Apparatus.Lights[b.Setting]
		off := math.Abs(light.Effective() - s.Light.Nominal)
		if slices.Contains(step.Effects, instrument.NominalWavelength) {
			if off < 0.01 {
				t.Errorf("the mean wavelength is %g nm off where it should be its own", off)
			}
			break
		}
		if off > 1e-4 {
			t.Errorf("after %v the mean wavelength is %g nm off", step.Effects, off)
		}
	}
}

// What the apparatus lacks is no step.
func TestEffectsThatTheApparatusLacksAreSkipped(t *testing.T) {
	s := steps(t, bench(t, "collector.stray_light=0", "emitter.temperature_K=0", "collector.temperature_K=0"))
	for _, step := range s.Steps {
		for _, e := range []instrument.EffectID{instrument.ReverseEmission, instrument.ThermalSmearing, instrument.Patches} {
			if slices.Contains(step.Effects, e) {
				t.Errorf("a step adds %s", e)
			}
		}
	}
}

// Of the electrons that a cold emitter gives, n(E) ~ E up to Em. The counts of
// the corner's histogram are tested by chi-square; its upper tail of 1e-6 is
// the false-alarm rate.
func TestColdElectronsHaveATriangleOfEnergies(t *testing.T) {
	const falseAlarm = 1e-6
	b := bench(t)
	s := steps(t, b)
	e := s.Steps[0].Energies
	var chi2, total float64
	bins := 0
	for i, n := range e.Counts {
		low, high := min(e.Edges[i], s.Limit), min(e.Edges[i+1], s.Limit)
		want := float64(b.Electrons) * (high*high - low*low) / (s.Limit * s.Limit)
		total += n
		if want < 5 {
			if n > want+60 {
				t.Errorf("%g electrons from %g eV on, where %g are expected", n, e.Edges[i], want)
			}
			continue
		}
		chi2 += (n - want) * (n - want) / want
		bins++
	}
	if p := 1 - (distuv.ChiSquared{K: float64(bins)}).CDF(chi2); p < falseAlarm {
		t.Errorf("seed %d: chi-square %g of %d bins", b.Seed, chi2, bins)
	}
	if math.Abs(total-float64(b.Electrons)) > 6*math.Sqrt(float64(b.Electrons)) {
		t.Errorf("seed %d: %g electrons of %d", b.Seed, total, b.Electrons)
	}
}

// Which step changes the electrons: heat, band and patches of the emitter do,
// their way to the collector does not.
func TestOnlyEmissionChangesTheEnergies(t *testing.T) {
	b := alone(bench(t, "emitter.patch_spread_eV=0.03"))
	b.Points = 11
	s := steps(t, b)
	for _, step := range s.Steps {
		for _, effect := range step.Effects {
			changes := slices.Contains([]instrument.EffectID{instrument.ThermalSmearing, instrument.BandAndMultiplet, instrument.NominalWavelength, instrument.Patches}, effect)
			if got := step.Energies != nil; got != changes {
				t.Errorf("%s: histogram %t, want %t", effect, got, changes)
			}
		}
	}
}

func TestEqualSeedsGiveEqualSteps(t *testing.T) {
	b := bench(t)
	one, two := steps(t, b), steps(t, b)
	for i := range one.Steps {
		if !slices.Equal(one.Steps[i].I, two.Steps[i].I) || !slices.Equal(one.Steps[i].Readings, two.Steps[i].Readings) {
			t.Errorf("step %d differs", i+1)
		}
		if e, f := one.Steps[i].Energies, two.Steps[i].Energies; e != nil && !slices.Equal(e.Counts, f.Counts) {
			t.Errorf("step %d: the electrons differ", i+1)
		}
	}
}

func TestBuildRefusesWhatItCannotDo(t *testing.T) {
	for _, change := range []func(*knee.Build){
		func(b *knee.Build) { b.Setting = -1 },
		func(b *knee.Build) { b.Setting = 99 },
		func(b *knee.Build) { b.Electrons = 0 },
		func(b *knee.Build) { b.Points = 1 },
	} {
		b := bench(t)
		change(&b)
		if _, err := b.Steps(); err == nil {
			t.Errorf("%+v is taken", b)
		}
	}
}

// Reverse emission makes the current cross zero before the true cutoff; without
// it and leakage it never does.
func TestOnlyReverseCurrentsMakeAZeroCrossing(t *testing.T) {
	s := steps(t, bench(t))
	for i, step := range s.Steps {
		v, ok := step.Zero()
		backwards := slices.IndexFunc(s.Steps, func(step knee.Step) bool { return slices.Contains(step.Effects, instrument.ReverseEmission) })
		if ok != (i >= backwards) {
			t.Errorf("step %d, %v: a zero crossing at %g V", i+1, step.Effects, v)
		}
		if ok && math.Abs(step.At(v)) > 1e-9*step.I[0] {
			t.Errorf("step %d: %g A at the zero crossing", i+1, step.At(v))
		}
	}
}
