package instrument_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/floats/scalar"

	"stopvolt/instrument"
	"stopvolt/physics"
)

// The wavelengths in nm of the settings of the ideal cell.
const violet, green, yellow = 404.6563, 546.0735, 576.9598

// ideal is a cold plane pair without a fault, under lines of one wavelength
// each: its curve is the parabola Em^2 (1 - B/Em)^2.
func ideal() instrument.Apparatus {
	light := func(name string, wavelength float64) instrument.Light {
		return instrument.Light{
			Name: name, Nominal: wavelength, Flux: 1e-6, Neutral: 1,
			Lines: []physics.SpectralLine{{Wavelength: wavelength, Weight: 1}},
		}
	}
	return instrument.Apparatus{
		World:     instrument.World{HOverE: physics.HOverE},
		Emitter:   instrument.Emitter{Surface: instrument.Surface{WorkFunction: 1.9, Yield: 0.01, YieldWavelength: violet}},
		Collector: instrument.Collector{Surface: instrument.Surface{WorkFunction: 2.1, Yield: 0.01, YieldWavelength: violet}},
		Geometry:  physics.Spheres{RadiusRatio: 1},
		Lights:    []instrument.Light{light("violet", violet), light("green", green), light("yellow", yellow)},
	}
}

// mean returns the mean current of a setting, counted from zero.
func mean(t *testing.T, a instrument.Apparatus, setting int) *instrument.MeanCurrent {
	t.Helper()
	m, err := instrument.NewMeanCurrent(a, a.Lights[setting], physics.Quadrature{})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// net returns the current in A of a setting at a voltage in V.
func net(t *testing.T, a instrument.Apparatus, setting int, retarding float64) float64 {
	t.Helper()
	return mean(t, a, setting).At(retarding).Net()
}

// without switches one effect off.
func without(t *testing.T, id instrument.EffectID, a instrument.Apparatus) instrument.Apparatus {
	t.Helper()
	for _, e := range instrument.Effects() {
		if e.ID == id {
			return e.Off(a)
		}
	}
	t.Fatalf("there is no effect %q", id)
	return a
}

// alone checks that an effect moves the curve of the ideal cell in some setting,
// and that switching it off brings the ideal curve back.
func alone(t *testing.T, id instrument.EffectID, a instrument.Apparatus) {
	t.Helper()
	off := without(t, id, a)
	moved := false
	for setting := range a.Lights {
		// From the ideal power, so that a changed light is seen.
		with, want, got := mean(t, a, setting), mean(t, ideal(), setting), mean(t, off, setting)
		saturated, _ := want.Emitted()
		for v := -2.03; v < 2; v += 0.1 {
			w := want.At(v).Net()
			moved = moved || math.Abs(with.At(v).Net()-w) > 1e-6*saturated
			if g := got.At(v).Net(); !scalar.EqualWithinAbs(g, w, 2e-9*saturated) {
				t.Errorf("without %s, %s at %.2f V carries %g A, the ideal cell %g A", id, a.Lights[setting].Name, v, g, w)
			}
		}
	}
	if !moved {
		t.Errorf("%s moves nothing", id)
	}
}

// holds checks a current against a law to a relative error.
func holds(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !scalar.EqualWithinRel(got, want, relative) {
		t.Errorf("%s: %.9g, want %.9g", what, got, want)
	}
}

func photon(wavelength float64) float64 { return physics.PhotonEnergy(physics.HOverE, wavelength) }

// excess is Em in eV and cutoff the stopping voltage in V of the ideal cell.
func excess(wavelength float64) float64 { return photon(wavelength) - 1.9 }
func cutoff(wavelength float64) float64 { return photon(wavelength) - 2.1 }

func TestIdealCellIsAParabola(t *testing.T) {
	a := ideal()
	full := 1e-6 / photon(violet) * 0.01
	for _, v := range []float64{-0.1, 0.2, 0.7, 0.95, 1} {
		x := max(v+0.2, 0) / excess(violet)
		holds(t, "violet", net(t, a, 0, v), full*math.Pow(max(1-x, 0), 2), 1e-9)
	}
}

// Fowler's law: at the ideal cutoff the warm current is (kT)^2 f(0), and f(0)
// is pi^2/12.
func TestThermalSmearingPutsCurrentBeyondTheCutoff(t *testing.T) {
	a := ideal()
	a.Emitter.Temperature = 295
	alone(t, instrument.ThermalSmearing, a)
	saturated, _ := mean(t, a, 0).Emitted()
	thermal := physics.ThermalEnergy(295)
	total := excess(violet)*excess(violet)/2 + thermal*thermal*math.Pi*math.Pi/6
	holds(t, "current at the cutoff", net(t, a, 0, cutoff(violet)), saturated*thermal*thermal*math.Pi*math.Pi/12/total, 1e-9)
}

func TestAngularSpreadBendsTheCurveOfTotalEnergies(t *testing.T) {
	a := without(t, instrument.AngularSpread, ideal())
	full, _ := mean(t, a, 0).Emitted()
	for _, v := range []float64{0.1, 0.5, 0.9} {
		x := (v + 0.2) / excess(violet)
		holds(t, "point emitter", net(t, a, 0, v), full*(1-x*x), 1e-9)
		holds(t, "plane emitter", net(t, ideal(), 0, v), full*(1-x)*(1-x), 1e-9)
	}
}

// A band reaches to its shortest wavelength, and the last current is that of the
// fastest photons.
func TestMultipletStopsAtItsShortestLine(t *testing.T) {
	a := ideal()
	a.Lights[0].Lines = []physics.SpectralLine{{Wavelength: violet, Weight: 9}, {Wavelength: 400, Weight: 1}}
	between := (cutoff(violet) + cutoff(400)) / 2
	rest := (cutoff(400) - between) / excess(400)
	// Over all photons of a metal the yield goes as Em^2.
	yield := 0.01 * excess(400) * excess(400) / excess(violet) / excess(violet)
	holds(t, "between the cutoffs", net(t, a, 0, between), 1e-7/photon(400)*yield*rest*rest, 1e-9)
	off := without(t, instrument.BandAndMultiplet, a)
	if got := net(t, off, 0, photon(a.Lights[0].Effective())-2.1+1e-6); got != 0 {
		t.Errorf("one line of the mean photon leaves %g A beyond its cutoff", got)
	}
}

func TestDiodeLightsBeyondTheCutoffOfItsPeak(t *testing.T) {
	a := ideal()
	a.Lights[0].Lines = physics.Diode(violet, 20, 0.2)
	if net(t, a, 0, cutoff(violet)) <= 0 {
		t.Error("a diode's band ends at the cutoff of its peak")
	}
	if got := net(t, a, 0, cutoff(violet-25)); got != 0 {
		t.Errorf("beyond its short end %g A are left", got)
	}
	off := without(t, instrument.BandAndMultiplet, a)
	if got := net(t, off, 0, photon(a.Lights[0].Effective())-2.1+1e-6); got != 0 {
		t.Errorf("one line of the mean photon leaves %g A beyond its cutoff", got)
	}
}

func TestNeighbourLineLiftsTheYellowCutoff(t *testing.T) {
	a := ideal()
	const leak = 1e-4
	a.Lights[2].Lines = []physics.SpectralLine{{Wavelength: yellow, Weight: 1}, {Wavelength: violet, Weight: 1}}
	a.Lights[2].Flux = 2e-6
	a.Lights[2].Filter = instrument.Filter{Centre: yellow, Width: 10, Peak: 1, Blocking: leak}
	// Beyond the yellow cutoff there is the violet line's curve, weak.
	v := cutoff(yellow) + 0.1
	holds(t, "beyond the yellow cutoff", net(t, a, 2, v), leak*net(t, ideal(), 0, v), 1e-9)
	if got := net(t, without(t, instrument.NeighbourLine, a), 2, v); got != 0 {
		t.Errorf("without the neighbour %g A are left beyond the yellow cutoff", got)
	}
	alone(t, instrument.NeighbourLine, a)
}

func TestNominalWavelengthIsOnlyWhatTheAnalystIsTold(t *testing.T) {
	a := ideal()
	a.Lights[0].Nominal = 405.4
	holds(t, "current", net(t, a, 0, 0.5), net(t, ideal(), 0, 0.5), 1e-12)
	// However far the label is off, the line is no neighbour of itself.
	far := a
	far.Lights = append([]instrument.Light{}, a.Lights...)
	far.Lights[0].Nominal = 398
	far.Lights[0].Filter = instrument.Filter{Centre: 400, Width: 20, Peak: 1}
	for _, effect := range []instrument.EffectID{instrument.BandAndMultiplet, instrument.NeighbourLine} {
		holds(t, string(effect), net(t, without(t, effect, far), 0, 0.5), net(t, far, 0, 0.5), 1e-9)
	}
	if got := without(t, instrument.NominalWavelength, a).Lights[0].Nominal; !scalar.EqualWithinAbs(got, violet, 1e-6) {
		t.Errorf("the effective wavelength is %.7f nm, want %.7f", got, violet)
	}
}

// For two lines of equal photon numbers the effective wavenumber is the mean.
// A shift adds to the retarding voltage of one line: at a voltage less by it the
// line's curve is what it was, forward and reverse, and the others stay.
func TestShiftOfALineMovesItsCurveAsAWhole(t *testing.T) {
	a := ideal()
	a.Collector.StrayLight = 0.05
	shifted := a
	shifted.Lights = append([]instrument.Light(nil), a.Lights...)
	const shift = 0.02
	shifted.Lights[0].Shift = shift
	// At -0.5 V what comes back has a barrier, too.
	for _, v := range []float64{-0.5, 0, 0.3} {
		if got, want := net(t, shifted, 0, v-shift), net(t, a, 0, v); !scalar.EqualWithinRel(got, want, 1e-12) {
			t.Errorf("violet at %g V: %g A, want %g A", v-shift, got, want)
		}
		if got, want := net(t, shifted, 1, v), net(t, a, 1, v); got != want {
			t.Errorf("green at %g V: %g A, want %g A", v, got, want)
		}
		if got, want := net(t, without(t, instrument.ShiftOfLine, shifted), 0, v), net(t, a, 0, v); got != want {
			t.Errorf("switched off, violet at %g V: %g A, want %g A", v, got, want)
		}
	}
}

func TestEffectiveWavelengthIsThatOfTheMeanPhoton(t *testing.T) {
	l := ideal().Lights[2]
	l.Lines = []physics.SpectralLine{{Wavelength: 576.9598, Weight: 1 / 576.9598}, {Wavelength: 579.0663, Weight: 1 / 579.0663}}
	if got, want := photon(l.Effective()), (photon(576.9598)+photon(579.0663))/2; !scalar.EqualWithinRel(got, want, 1e-8) {
		t.Errorf("effective photon %.9g eV, mean photon %.9g eV", got, want)
	}
}

// A parabola averaged over a normal spread has half the variance at its foot.
func TestPatchesRoundTheFootByTheirVariance(t *testing.T) {
	a := ideal()
	const sigma = 0.05
	a.Collector.PatchSpread = sigma
	saturated, _ := mean(t, a, 0).Emitted()
	want := saturated * sigma * sigma / 2 / (excess(violet) * excess(violet))
	holds(t, "at the cutoff", net(t, a, 0, cutoff(violet)), want, 1e-8)
	alone(t, instrument.Patches, a)
}

func TestEmitterMetalOnTheCollectorStopsAtTheEmittersWorkFunction(t *testing.T) {
	a := ideal()
	a.Collector.EmitterCoating = 0.1
	v := cutoff(violet) + 0.1
	x := v / excess(violet)
	full, _ := mean(t, ideal(), 0).Emitted()
	holds(t, "beyond the bare cutoff", net(t, a, 0, v), 0.1*full*(1-x)*(1-x), 1e-9)
	alone(t, instrument.EmitterMetal, a)
}

func TestReverseEmissionSetsThePlateau(t *testing.T) {
	a := ideal()
	a.Collector.StrayLight = 0.05
	// All that stray light ejects arrives once the voltage draws it.
	holds(t, "plateau", net(t, a, 0, 2), -0.05*1e-6/photon(violet)*0.01, 1e-9)
	alone(t, instrument.ReverseEmission, a)
}

// Yellow light ejects nothing from a spot whose threshold it does not reach.
func TestReverseThresholdKeepsTheYellowPlateauAtZero(t *testing.T) {
	a := ideal()
	a.Collector.StrayLight = 0.05
	a.Reverse.Threshold = photon(yellow) + 0.01
	if got := net(t, a, 2, 2); got != 0 {
		t.Errorf("the yellow plateau is %g A", got)
	}
	if got := net(t, a, 0, 2); !(got < 0) {
		t.Errorf("the violet plateau is %g A", got)
	}
	off := without(t, instrument.ReverseThreshold, a)
	if got := net(t, off, 2, 2); !(got < 0) {
		t.Errorf("with the collector's own threshold the yellow plateau is %g A", got)
	}
}

// From a spot that faces a small emitter, electrons are drawn slowly (orbital
// motion); from a plane all at once.
func TestReverseGeometrySaysHowFastThePlateauIsReached(t *testing.T) {
	a := ideal()
	a.Collector.StrayLight = 0.05
	a.Reverse.Geometry = physics.Spheres{RadiusRatio: 4}
	plateau := net(t, a, 0, 100)
	// The reverse barrier vanishes at V = phi_e - phi_c; from there the plane
	// draws all electrons, and the small sphere its share of the solid angle.
	at := mean(t, a, 0).At(-0.2).Reverse
	holds(t, "without a reverse field", at, -plateau/16, 1e-9)
	holds(t, "plane", mean(t, without(t, instrument.ReverseGeometry, a), 0).At(-0.2).Reverse, -plateau, 1e-9)
}

func TestStrayLightByWavelengthFollowsRayleigh(t *testing.T) {
	a := ideal()
	a.Collector.StrayLight, a.Collector.StrayWavelength, a.Collector.StrayExponent = 0.02, violet, 4
	for setting, wavelength := range []float64{violet, green} {
		even := without(t, instrument.StrayByWavelength, a)
		want := math.Pow(violet/wavelength, 4) * net(t, even, setting, 2)
		holds(t, a.Lights[setting].Name, net(t, a, setting, 2), want, 1e-9)
	}
}

func TestAmbientLightIsThereInTheDark(t *testing.T) {
	a := ideal()
	a.Ambient = ideal().Lights[1]
	dark, err := instrument.NewMeanCurrent(a, instrument.Light{}, physics.Quadrature{})
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range []float64{-0.5, 0, 0.1} {
		holds(t, "dark", dark.At(v).Net(), net(t, ideal(), 1, v), 1e-12)
		holds(t, "violet", net(t, a, 0, v), net(t, ideal(), 0, v)+dark.At(v).Net(), 1e-12)
	}
	alone(t, instrument.AmbientLight, a)
}

// Richardson's law, and for the retarded current Boltzmann's factor.
func TestThermionicEmissionFlowsInTheDark(t *testing.T) {
	a := ideal()
	a.Emitter.Temperature, a.Emitter.Area = 600, 2
	dark, err := instrument.NewMeanCurrent(a, instrument.Light{}, physics.Quadrature{})
	if err != nil {
		t.Fatal(err)
	}
	kT := physics.ThermalEnergy(600)
	want := 2 * 120.173 * 600 * 600 * math.Exp(-1.9/kT)
	holds(t, "saturated", dark.At(-1).Net(), want, 5e-6)
	holds(t, "retarded", dark.At(0.3).Net(), want*math.Exp(-0.5/kT), 5e-6)
	off := without(t, instrument.ThermionicEmission, a)
	off.Emitter.Temperature = 0
	holds(t, "off", net(t, off, 0, 0.5), net(t, ideal(), 0, 0.5), 1e-12)
}

// For total energies, S = 1 - (B/Em)^2, the law of reflection integrates in
// elementary terms.
func TestReflectionRoundsTheFoot(t *testing.T) {
	a := ideal()
	a.Geometry = physics.Spheres{}
	a.Collector.Reflection = physics.Reflection{Share: 0.5, Energy: 0.1}
	full, _ := mean(t, a, 0).Emitted()
	em, w := excess(violet), 0.1
	for _, b := range []float64{0.3, 0.8, 1.1} {
		s := 1 - b*b/em/em
		l := em - b
		// The integral over t of S(b+t) exp(-t/w)/w up to Em - b.
		fall := math.Exp(-l / w)
		smooth := s*(1-fall) - (2*b*(w-(l+w)*fall)+2*w*w-(l*l+2*l*w+2*w*w)*fall)/em/em
		holds(t, "reflected", net(t, a, 0, b-0.2), full*(0.5*s+0.5*smooth), 1e-9)
	}
	plane := ideal()
	plane.Collector.Reflection = a.Collector.Reflection
	alone(t, instrument.Reflection, plane)
	// Fast electrons are not thrown back.
	holds(t, "accelerated", net(t, plane, 0, -5), full, 1e-9)
}

// Without a barrier the electrons that cross fill the area which two unit disks
// at the distance m = sqrt(M/E) have in common.
func TestMagneticFieldTurnsSlowElectronsBack(t *testing.T) {
	a := ideal()
	a.Geometry = physics.MagneticPlanes{Gap: 10, Field: 50}
	alone(t, instrument.MagneticField, a)
	full, _ := mean(t, a, 0).Emitted()
	if got := net(t, a, 0, -0.2); !(got < 0.95*full) {
		t.Errorf("without a barrier %g of the electrons arrive", got/full)
	}
	if got := net(t, a, 0, -3); !scalar.EqualWithinRel(got, full, 1e-9) {
		t.Errorf("accelerated by 3 V, %g of the electrons arrive", got/full)
	}
	// The fastest electron can still lean against the turn: the cutoff stays.
	if got := net(t, a, 0, cutoff(violet)-0.01); !(got > 0) {
		t.Error("the field moved the last current")
	}
}

// The cold density with the band, E/(1 + E/W) sqrt(1 + (E - Em)/EF), integrated
// by Simpson's rule for the plane pair.
func TestEmissionBeyondTheThresholdFormTiltsTheCurve(t *testing.T) {
	a := ideal()
	a.Emitter.FermiEnergy = 1.6
	em, depth := excess(violet), 1.6+1.9
	density := func(e float64) float64 { return e / (1 + e/depth) * math.Sqrt(1+(e-em)/1.6) }
	simpson := func(from float64, f func(float64) float64) float64 {
		const n = 2000
		h := (em - from) / n
		sum := f(from) + f(em)
		for i := 1; i < n; i++ {
			sum += f(from+h*float64(i)) * float64(2+2*(i%2))
		}
		return sum * h / 3
	}
	full, _ := mean(t, a, 0).Emitted()
	total := simpson(0, density)
	for _, b := range []float64{0.2, 0.6, 1} {
		want := simpson(b, func(e float64) float64 { return density(e) * (1 - b/e) }) / total
		holds(t, "share", net(t, a, 0, b-0.2)/full, want, 1e-7)
	}
	alone(t, instrument.EmissionBeyondThreshold, a)
}

// The plane pair's current is the film's distribution integrated twice: a power m + 2
// of what is left to the edge, which the depth of the edge under the Fermi level moves
// towards the accelerating side by its whole amount (E. U. Condon, Phys. Rev. 54, 1089
// (1938)).
func TestFilmEndsAsAPowerBeforeTheIdealStoppingVoltage(t *testing.T) {
	const m, edge = 1.5, 0.25
	a := ideal()
	a.Emitter.Film, a.Emitter.FilmEdge = physics.Film{Exponent: m}, edge
	alone(t, instrument.FilmEmission, a)
	if off := without(t, instrument.FilmEmission, a); off.Emitter != ideal().Emitter {
		t.Errorf("without the film the emitter is %+v", off.Emitter)
	}
	// A film does not care for its temperature.
	a.Emitter.Temperature = 295
	full, _ := mean(t, a, 0).Emitted()
	holds(t, "yield", full, 1e-6/photon(violet)*0.01, 1e-12)
	em := excess(violet) - edge
	for _, before := range []float64{0.9, 0.5, 0.1, 0.001} {
		v := cutoff(violet) - edge - before
		holds(t, "violet", net(t, a, 0, v), full*math.Pow(before/em, m+2), 1e-9)
	}
	if got := net(t, a, 0, cutoff(violet)-edge+1e-9); got != 0 {
		t.Errorf("%g A flow beyond the edge", got)
	}
	// From line to line the yield goes as the same power.
	green0, _ := mean(t, a, 1).Emitted()
	want := full * photon(violet) / photon(green) * math.Pow((excess(green)-edge)/em, m+2)
	holds(t, "green", green0, want, 1e-9)
}

// In a cold plane pair the parabola y^2/2 of the distance to the edge y becomes
// y^2/2 - w y + w^2 (1 - exp(-y/w)) for those that lose w on the average.
func TestLossLowersTheEndOfTheCurveByTheUnscatteredShare(t *testing.T) {
	const share, w = 0.6, 0.2
	a := ideal()
	a.Emitter.Loss = physics.Loss{Share: share, Energy: w}
	alone(t, instrument.InelasticLoss, a)
	law := func(y float64) float64 {
		return (1-share)*y*y/2 + share*(y*y/2-w*y+w*w*(1-math.Exp(-y/w)))
	}
	full, _ := mean(t, a, 0).Emitted()
	for _, y := range []float64{1, 0.6, 0.2, 0.05} {
		holds(t, "violet", net(t, a, 0, cutoff(violet)-y), full*law(y)/law(excess(violet)), 1e-9)
	}
	// At the very end only those are left that lost nothing.
	const near = 1e-5
	holds(t, "end", net(t, a, 0, cutoff(violet)-near), full*(1-share)*near*near/2/law(excess(violet)), 1e-4)
}

// Each part of a cold plane pair gives its own parabola, whose end is the same: hv less
// the collector's work function.
func TestTwoEmittersAddTheirCurrentsAndShareTheCutoff(t *testing.T) {
	const share, phi, yield = 0.2, 1.5, 0.03
	a := ideal()
	a.Emitter.Second = instrument.Part{Share: share, WorkFunction: phi, Yield: yield}
	alone(t, instrument.TwoEmitters, a)
	part := func(share, yield, phi, v float64, wavelength float64) float64 {
		photons := 1e-6 / photon(wavelength)
		rest := min(max(cutoff(wavelength)-v, 0), photon(wavelength)-phi)
		// Over all photons of a metal the yield goes as the square of the excess.
		return share * photons * yield * rest * rest / math.Pow(photon(violet)-phi, 2)
	}
	for _, before := range []float64{0.5, 0.1, 0.001} {
		for setting, wavelength := range []float64{violet, green} {
			v := cutoff(wavelength) - before
			want := part(1-share, 0.01, 1.9, v, wavelength) + part(share, yield, phi, v, wavelength)
			holds(t, a.Lights[setting].Name, net(t, a, setting, v), want, 1e-9)
		}
	}
	for setting, wavelength := range []float64{violet, green} {
		if got := net(t, a, setting, cutoff(wavelength)+1e-9); got != 0 {
			t.Errorf("%s: %g A flow beyond the common cutoff", a.Lights[setting].Name, got)
		}
	}
}

// Parts that are alike are one emitter, whatever their shares, also for what comes
// from the collector, and for a film, for losses and for warmth.
func TestTwoEmittersThatAreAlikeAreOne(t *testing.T) {
	one := ideal()
	one.Emitter.Temperature, one.Collector.Temperature = 295, 295
	one.Collector.StrayLight, one.Collector.EmitterCoating = 0.05, 0.1
	film := one
	film.Emitter.Film, film.Emitter.FilmEdge = physics.Film{Exponent: 0.5}, 0.1
	lossy := one
	lossy.Emitter.Loss = physics.Loss{Share: 0.5, Energy: 0.1}
	patchy := one
	patchy.Emitter.PatchSpread = 0.04
	for what, a := range map[string]instrument.Apparatus{"metal": one, "film": film, "losses": lossy, "patches": patchy} {
		for _, share := range []float64{0, 0.3, 1} {
			two := a
			two.Emitter.Second = instrument.Part{
				Share: share, WorkFunction: a.Emitter.WorkFunction, Yield: a.Emitter.Yield,
				Film: a.Emitter.Film, FilmEdge: a.Emitter.FilmEdge,
			}
			for _, v := range []float64{-1, -0.15, 0.3, 0.9, 2} {
				holds(t, what, net(t, two, 0, v), net(t, a, 0, v), 1e-12)
			}
		}
	}
}

// A film may cover a part of a metal, or leave a part of it bare.
func TestOnlyOneOfTwoEmittersMayBeAFilm(t *testing.T) {
	const m, edge, phi = 1.0, 0.1, 1.6
	a := ideal()
	a.Emitter.Second = instrument.Part{Share: 0.3, WorkFunction: phi, Yield: 0.02, Film: physics.Film{Exponent: m}, FilmEdge: edge}
	full := 1e-6 / photon(violet)
	for _, before := range []float64{0.6, 0.2, 0.05} {
		metal := 0.7 * 0.01 * math.Pow(before/excess(violet), 2)
		film := 0.3 * 0.02 * math.Pow(max(before-edge, 0)/(photon(violet)-phi-edge), m+2)
		holds(t, "violet", net(t, a, 0, cutoff(violet)-before), full*(metal+film), 1e-9)
	}
}

// Electrons that come back meet the parts' own contact potentials.
func TestTwoEmittersDrawWhatComesBackApart(t *testing.T) {
	a := ideal()
	a.Collector.StrayLight = 0.05
	a.Emitter.Second = instrument.Part{Share: 0.25, WorkFunction: 2.3, Yield: 0.01}
	m := mean(t, a, 0)
	// The reverse barrier is phi - phi_c - V: at -0.1 V it is -0.1 eV at the first
	// part and 0.3 eV at the second.
	_, full := m.Emitted()
	x := 0.3 / (photon(violet) - 2.1)
	holds(t, "reverse", m.At(-0.1).Reverse, full*(0.75+0.25*(1-x)*(1-x)), 1e-9)
}

// What heat drives out comes from above the gap, by Richardson's law, of a film as of
// a metal, and has lost nothing.
func TestHeatDrivesElectronsOutOfAFilmAsOutOfAMetal(t *testing.T) {
	metal := ideal()
	metal.Emitter.Temperature, metal.Emitter.Area = 600, 2
	film := metal
	film.Emitter.Film, film.Emitter.FilmEdge = physics.Film{Exponent: 1}, 0.2
	film.Emitter.Loss = physics.Loss{Share: 0.5, Energy: 0.1}
	for _, v := range []float64{-1, 0.3} {
		var dark [2]float64
		for i, a := range []instrument.Apparatus{metal, film} {
			m, err := instrument.NewMeanCurrent(a, instrument.Light{}, physics.Quadrature{})
			if err != nil {
				t.Fatal(err)
			}
			dark[i] = m.At(v).Net()
		}
		holds(t, "dark", dark[1], dark[0], 5e-6)
	}
}

// Patches move the edge of a film as they move that of a metal: near the threshold
// the current is the mean of the power over the patches.
func TestPatchesOfAFilmAreAMeanOverTheirEdges(t *testing.T) {
	const m, sigma = 1.0, 0.05
	a := ideal()
	a.Emitter.Film = physics.Film{Exponent: m}
	a.Collector.PatchSpread = sigma
	full, _ := mean(t, a, 0).Emitted()
	// <max(s Z, 0)^3> = 2 s^3/sqrt(2 pi).
	want := full * 2 * sigma * sigma * sigma / math.Sqrt(2*math.Pi) / math.Pow(excess(violet), 3)
	holds(t, "at the edge", net(t, a, 0, cutoff(violet)), want, 1e-3)
}

func TestLeakageIsAStraightLine(t *testing.T) {
	a := ideal()
	a.Leakage = instrument.Leakage{Conductance: 1e-12, Dark: 1e-14}
	holds(t, "at 2 V", net(t, a, 0, 2), -2e-12+1e-14, 1e-12)
	alone(t, instrument.LeakageCurrent, a)
}

func TestYieldIsTheStatedOne(t *testing.T) {
	a := ideal()
	a.Emitter.PatchSpread, a.Emitter.Temperature = 0.05, 295
	full, _ := mean(t, a, 0).Emitted()
	holds(t, "saturated", full, 1e-6/photon(violet)*0.01, 1e-9)
}

// Cutoffs do not move with the intensity, and all currents do.
func TestCutoffDoesNotMoveWithIntensity(t *testing.T) {
	a := ideal()
	a.Lights[0].Neutral = 0.1
	for _, v := range []float64{0, 0.5, 0.9, 1.2} {
		holds(t, "a tenth", net(t, a, 0, v), 0.1*net(t, ideal(), 0, v), 1e-12)
	}
}

// The three effects of the light do not overlap, so that each of them can be
// seen alone.
func TestEffectsOfTheLightLeaveOneAnotherAlone(t *testing.T) {
	a := ideal()
	a.Lights[0].Nominal = 405.2
	a.Lights[0].Lines = []physics.SpectralLine{{Wavelength: violet, Weight: 3}, {Wavelength: 407.7831, Weight: 1}, {Wavelength: 365.0153, Weight: 0.1}}
	a.Lights[0].Neutral = 0.5
	count := func(a instrument.Apparatus) int { return len(a.Lights[0].Spectrum()) }
	if got := count(without(t, instrument.BandAndMultiplet, a)); got != 2 {
		t.Errorf("%d lines without the multiplet, want one and the neighbour", got)
	}
	if got := count(without(t, instrument.NeighbourLine, a)); got != 2 {
		t.Errorf("%d lines without the neighbour, want the two of the multiplet", got)
	}
	one := without(t, instrument.NominalWavelength, without(t, instrument.NeighbourLine, without(t, instrument.BandAndMultiplet, a)))
	if got := one.Lights[0].Spectrum(); len(got) != 1 || !scalar.EqualWithinRel(got[0].Weight, 4./4.1*0.5e-6, 1e-12) ||
		!scalar.EqualWithinAbs(got[0].Wavelength, one.Lights[0].Nominal, 1e-9) {
		t.Errorf("with all off, %v arrive at a nominal %g nm", got, one.Lights[0].Nominal)
	}
}

func TestReverseEmissionNeedsNoAngularSpread(t *testing.T) {
	a := ideal()
	a.Collector.StrayLight = 0.05
	flat := without(t, instrument.AngularSpread, a)
	holds(t, "plateau", net(t, flat, 0, 2), net(t, a, 0, 2), 1e-9)
}

// laws names for each effect of the cell the test that holds it to its law. What
// acts on readings alone has its own in sim.
var laws = map[instrument.EffectID]func(*testing.T){
	instrument.ThermalSmearing:         TestThermalSmearingPutsCurrentBeyondTheCutoff,
	instrument.AngularSpread:           TestAngularSpreadBendsTheCurveOfTotalEnergies,
	instrument.BandAndMultiplet:        TestMultipletStopsAtItsShortestLine,
	instrument.ContactPotential:        TestContactPotentialMovesTheCurveAsAWhole,
	instrument.Patches:                 TestPatchesRoundTheFootByTheirVariance,
	instrument.EmitterMetal:            TestEmitterMetalOnTheCollectorStopsAtTheEmittersWorkFunction,
	instrument.ReverseEmission:         TestReverseEmissionSetsThePlateau,
	instrument.ReverseThreshold:        TestReverseThresholdKeepsTheYellowPlateauAtZero,
	instrument.ReverseGeometry:         TestReverseGeometrySaysHowFastThePlateauIsReached,
	instrument.StrayByWavelength:       TestStrayLightByWavelengthFollowsRayleigh,
	instrument.NeighbourLine:           TestNeighbourLineLiftsTheYellowCutoff,
	instrument.ShiftOfLine:             TestShiftOfALineMovesItsCurveAsAWhole,
	instrument.NominalWavelength:       TestNominalWavelengthIsOnlyWhatTheAnalystIsTold,
	instrument.AmbientLight:            TestAmbientLightIsThereInTheDark,
	instrument.ThermionicEmission:      TestThermionicEmissionFlowsInTheDark,
	instrument.Reflection:              TestReflectionRoundsTheFoot,
	instrument.MagneticField:           TestMagneticFieldTurnsSlowElectronsBack,
	instrument.EmissionBeyondThreshold: TestEmissionBeyondTheThresholdFormTiltsTheCurve,
	instrument.FilmEmission:            TestFilmEndsAsAPowerBeforeTheIdealStoppingVoltage,
	instrument.InelasticLoss:           TestLossLowersTheEndOfTheCurveByTheUnscatteredShare,
	instrument.TwoEmitters:             TestTwoEmittersAddTheirCurrentsAndShareTheCutoff,
	instrument.LeakageCurrent:          TestLeakageIsAStraightLine,
}

func TestEveryEffectOfTheCellHasALaw(t *testing.T) {
	for _, e := range instrument.Effects() {
		if law := laws[e.ID]; law == nil && e.Place < instrument.ActsOnReadings {
			t.Errorf("%q has no test of its law; write one, and name it in laws", e.ID)
		}
	}
}

// The identity is what words, laws and files are looked up by, and the place says
// when a cause of the cell comes; neither may be shared.
func TestEffectsAreToldApart(t *testing.T) {
	ids, places := make(map[instrument.EffectID]bool), make(map[instrument.Place]instrument.EffectID)
	for _, e := range instrument.Effects() {
		if e.ID == "" || ids[e.ID] {
			t.Errorf("two effects are %q", e.ID)
		}
		ids[e.ID] = true
		if e.Place < instrument.MovesCorner {
			t.Errorf("%q has no place in the order of the knee", e.ID)
		}
		if other, taken := places[e.Place]; taken && e.Place < instrument.ActsOnReadings {
			t.Errorf("%q and %q stand at one place", e.ID, other)
		}
		places[e.Place] = e.ID
	}
	for id := range laws {
		if !ids[id] {
			t.Errorf("laws has %q, which is no effect", id)
		}
	}
}

// Only the barrier counts, which is V + phi_c - phi_e: without a contact potential
// the whole curve lies where it lay, moved by it.
func TestContactPotentialMovesTheCurveAsAWhole(t *testing.T) {
	off := without(t, instrument.ContactPotential, ideal())
	for _, v := range []float64{-0.1, 0.3, 0.8, 1.1} {
		holds(t, "moved", net(t, off, 0, v+0.2), net(t, ideal(), 0, v), 1e-9)
	}
}
