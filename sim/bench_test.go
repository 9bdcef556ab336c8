package sim_test

import (
	"fmt"
	"io"
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stopvolt/instrument"
	"stopvolt/instrument/run"
	"stopvolt/physics"
	"stopvolt/sim"
)

// brief is a dwell in s that is short against whatever is looked at.
const brief = 1e-6

// A first-order lag leaves exp(-n) of a step after n time constants (any
// textbook of control, such as Ogata, Modern Control Engineering, from memory).
func TestSlowResponseLeavesExpMinusNOfAStep(t *testing.T) {
	a := withCurrent(t, plain(), -1, 1e-3)
	a.Meter.Response = 0.4
	for n := range 8 {
		s := sitting(t, a, sim.Dark, -1)
		s.Select(0)
		s.Wait(float64(n) * 0.4)
		left := 1 - s.Read(brief).Current/1e-3
		// Half the brief dwell passes too, and shot noise is 1e-6 here.
		if want := math.Exp(-float64(n)); math.Abs(left-want) > 1e-5 {
			t.Errorf("after %d time constants %.6f is left, want %.6f", n, left, want)
		}
	}
}

// A mean over a dwell from the step on lacks tau/T (1 - exp(-T/tau)).
func TestSlowResponseInAMeanOverADwell(t *testing.T) {
	a := withCurrent(t, plain(), -1, 1e-3)
	a.Meter.Response = 0.4
	s := sitting(t, a, sim.Dark, -1)
	s.Select(0)
	lacks := 1 - s.Read(1).Current/1e-3
	if want := 0.4 * (1 - math.Exp(-2.5)); math.Abs(lacks-want) > 1e-6 {
		t.Errorf("the mean lacks %.7f, want %.7f", lacks, want)
	}
}

// The variance of the mean over a dwell T of white noise behind a first-order
// response is S/T (1 - (1 - exp(-x))/x) with x = T/tau, where the dwell is
// correlated with its neighbours (standard result; by integrating the
// autocorrelation S/(2 tau) exp(-|t|/tau) twice).
func TestSlowResponseFiltersTheNoise(t *testing.T) {
	for _, response := range []float64{0.01, 0.5, 10} {
		a := plain()
		a.Meter = instrument.Meter{Feedback: 1e9, Temperature: 300, Response: response}
		density := a.Meter.Ranges()[0].JohnsonDensity
		s := sitting(t, a, sim.Dark, 0)
		var values []float64
		for range 20000 {
			// Long waits make the readings independent.
			s.Wait(20 * response)
			values = append(values, s.Read(0.5).Current)
		}
		x := 0.5 / response
		spreadIs(t, fmt.Sprintf("a response of %g s", response), values, math.Sqrt(density/0.5*(1-(1-math.Exp(-x))/x)))
	}
}

// Readings without a gap are parts of one record: their sum has the noise of
// the whole, whatever the response does to each.
func TestSlowResponseRemembersTheNoise(t *testing.T) {
	a := plain()
	a.Meter = instrument.Meter{Feedback: 1e9, Temperature: 300, Response: 0.7}
	s := sitting(t, a, sim.Dark, 0)
	var whole []float64
	const parts, dwell = 10, 0.2
	for range 20000 {
		s.Wait(15)
		var sum float64
		for range parts {
			sum += s.Read(dwell).Current / parts
		}
		whole = append(whole, sum)
	}
	const long = parts * dwell
	x := long / 0.7
	want := math.Sqrt(a.Meter.Ranges()[0].JohnsonDensity / long * (1 - (1-math.Exp(-x))/x))
	spreadIs(t, "ten dwells on end", whole, want)
}

// Ohm's law: 100 kilohm at a microampere take 0.1 V from the cell. A forward
// current makes the collector more negative.
func TestBurdenOf100KilohmShiftsTheCurveAtAMicroampereByATenthOfAVolt(t *testing.T) {
	const dial = 0.1
	free := withCurrent(t, plain(), dial+0.1, 1e-6)
	loaded := free
	loaded.Meter.Burden = 1e5
	// The cell behind the burden passes at the dial what the free cell passes
	// a tenth of a volt further on. Shot noise is 1e-6 of that.
	if got := sitting(t, loaded, 0, dial).Read(0.5).Current; math.Abs(got-1e-6) > 5e-12 {
		t.Errorf("at %g V %g A, want 1e-6", dial, got)
	}
}

func TestBurdenLeavesTheZeroCrossingWhereItIs(t *testing.T) {
	a := withCurrent(t, plain(), -1, 1e-6)
	a.Collector.StrayLight, a.Collector.Yield, a.Collector.YieldWavelength = 0.02, 0.02, 365
	a.Leakage.Conductance = 1e-10
	crossing := func(burden float64) float64 {
		a := a
		a.Meter.Burden = burden
		s := sitting(t, a, 0, 0)
		low, high := 0.0, 2.0
		for range 30 {
			middle := (low + high) / 2
			s.Turn(middle)
			if s.Read(1e6).Current > 0 {
				low = middle
			} else {
				high = middle
			}
		}
		return low
	}
	free := crossing(0)
	for _, burden := range []float64{1e5, 1e7, 1e9} {
		if got := crossing(burden); math.Abs(got-free) > 1e-5 {
			t.Errorf("behind %g ohm the current vanishes at %.6f V, without at %.6f", burden, got, free)
		}
	}
}

// Whatever the burden, the solution satisfies the equation of the circuit.
func TestBurdenIsSolvedWhateverItIs(t *testing.T) {
	a := withCurrent(t, plain(), -1, 1e-6)
	mean, err := instrument.NewMeanCurrent(a, a.Lights[0], physics.Closed{})
	if err != nil {
		t.Fatal(err)
	}
	for _, burden := range []float64{1, 1e3, 1e5, 1e6, 1e8, 1e12} {
		a.Meter.Burden = burden
		s := sitting(t, a, 0, -1)
		for v := -1.0; v <= 2; v += 0.1 {
			s.Turn(v)
			// A long dwell has next to no noise.
			i := s.Read(1e9).Current
			// The voltage is solved to 1e-8 V, the noise moves it by less than
			// 1e-7 of the shift, and the table of the mean current is good to
			// 1e-10 of a microampere.
			x := v + i*burden
			most, least := mean.At(x-3e-7).Net(), mean.At(x+3e-7).Net()
			if slack := 1e-7*i + 1e-16; i > most+slack || i < least-slack {
				t.Errorf("behind %g ohm at %.1f V: %g A, but the cell passes %g to %g there", burden, v, i, least, most)
			}
		}
	}
}

// 10 pF moved by 50 mV in 0.1 s carries C dV/dt = 5 pA.
func TestTenPicofaradMovedBy50MillivoltInATenthOfASecondCarries5Picoampere(t *testing.T) {
	a := plain()
	a.Leads.Capacitance = 10e-12
	a.Plan.Turn = 0.1
	// A response much quicker than the turn shows the current at its end.
	a.Meter.Response = 1e-4
	for _, step := range []float64{0.05, -0.05} {
		s := sitting(t, a, sim.Dark, 1)
		s.Turn(1 + step)
		got := s.Read(1e-8).Current
		if want := -5e-12 * step / 0.05; math.Abs(got-want) > 0.001*5e-12 {
			t.Errorf("a step of %g V carries %g A, want %g", step, got, want)
		}
		s.Wait(0.01)
		if got := s.Read(0.5).Current; math.Abs(got) > 1e-18 {
			t.Errorf("after the turn %g A are left", got)
		}
	}
}

// The charge that a turn moves is C times the step, however fast it is and
// however slowly the meter follows.
func TestDisplacedChargeDoesNotDependOnTheSpeedOfTheTurn(t *testing.T) {
	for _, turn := range []float64{0, 0.01, 1} {
		a := plain()
		a.Leads.Capacitance = 10e-12
		a.Plan.Turn = turn
		a.Meter.Response = 2
		s := sitting(t, a, sim.Dark, 0)
		s.Turn(0.5)
		charge := s.Read(100).Current * 100
		// The meter has already shown a part while the dial was turned:
		// tau dy/dt = i - y over a ramp of the length T.
		shown := 0.0
		if turn > 0 {
			x := turn / 2
			shown = 5e-12 * (1 - (1-math.Exp(-x))/x)
		}
		if want := -5e-12 + shown; math.Abs(charge-want) > 1e-17 {
			t.Errorf("a turn of %g s: %g C, want %g", turn, charge, want)
		}
	}
}

// Each relaxation takes up its own part of the charge, and the current falls
// about as the inverse of the time (Curie 1889, von Schweidler 1907).
func TestAbsorbedChargeComesBackSlowly(t *testing.T) {
	a := plain()
	a.Leads = instrument.Leads{Capacitance: 1e-10, Absorption: 0.02, AbsorptionTime: 1}
	s := sitting(t, a, sim.Dark, 0)
	s.Turn(1)
	var charge float64
	var at [3]float64
	for i := range 5000 {
		c := s.Read(1).Current
		charge += c
		switch i {
		case 2:
			at[0] = c
		case 11:
			at[1] = c
		case 49:
			at[2] = c
		}
	}
	if want := -instrument.Relaxations * 0.02 * 1e-10; math.Abs(charge/want-1) > 1e-9 {
		t.Errorf("%g C are absorbed, want %g", charge, want)
	}
	for i, ratio := range []float64{11.5 / 2.5, 49.5 / 11.5} {
		if got := at[i] / at[i+1]; got < ratio/1.6 || got > ratio*1.6 {
			t.Errorf("the current falls to 1/%.2f where 1/t falls to 1/%.2f", got, ratio)
		}
	}
}

// With equal times of meter and insulation the response to exp(-t/tau) is
// t/tau exp(-t/tau); the neighbours of that case must agree with it.
func TestAbsorptionThroughASlowMeterIsSmoothInItsTimes(t *testing.T) {
	current := func(response float64) float64 {
		a := plain()
		a.Leads = instrument.Leads{Capacitance: 1e-10, Absorption: 0.5, AbsorptionTime: 0.3}
		a.Meter.Response = response
		a.Plan.Turn = 1e-6
		s := sitting(t, a, sim.Dark, 0)
		s.Turn(1)
		s.Wait(0.5)
		return s.Read(0.2).Current
	}
	equal := current(0.3)
	for _, response := range []float64{0.3 * (1 - 1e-7), 0.3 * (1 + 1e-7), 0.3 * (1 + 1e-12)} {
		if got := current(response); math.Abs(got/equal-1) > 1e-6 {
			t.Errorf("a response of %g s shows %g A, of 0.3 s %g", response, got, equal)
		}
	}
}

// Whole cycles of the mains cancel; for others the amplitude goes as
// sin(pi f T)/(pi f T) (normal-mode rejection of an integrating converter, in
// any text on digital voltmeters, from memory).
func TestHumIsRejectedAtWholeCycles(t *testing.T) {
	a := plain()
	a.Mains = instrument.Mains{Frequency: 50, Hum: 1e-12}
	for _, test := range []struct{ dwell, peak float64 }{
		{0.02, 0}, {0.1, 0}, {1, 0},
		{0.01, 1e-12 * 2 / math.Pi}, {0.03, 1e-12 * 2 / (3 * math.Pi)}, {0.11, 1e-12 * 2 / (11 * math.Pi)},
	} {
		var peak float64
		for _, v := range readings(sitting(t, a, sim.Dark, 0), 2000, test.dwell) {
			peak = max(peak, math.Abs(v))
		}
		if math.Abs(peak-test.peak) > 1e-5*1e-12 {
			t.Errorf("over %g s the hum shows %g A, want %g", test.dwell, peak, test.peak)
		}
	}
}

// A response of tau divides hum by sqrt(1 + (2 pi f tau)^2).
func TestHumIsFilteredByASlowResponse(t *testing.T) {
	if got, want := instrument.Passed(50, 0.01, 0.1)/instrument.Passed(50, 0.01, 0), 1/math.Hypot(1, 10*math.Pi); math.Abs(got-want) > 1e-15 {
		t.Errorf("%g passes, want %g", got, want)
	}
}

func TestMeterFindsItsRangeAndSaysSo(t *testing.T) {
	a := withCurrent(t, plain(), -1, 5e-9)
	a.Meter = instrument.Meter{FullScales: []float64{1e-10, 1e-9, 1e-8}, Steps: 1000}
	r := acquire(t, a, 0)
	var changes int
	for _, reading := range r.Curves[0].Readings {
		if reading.Flags&run.RangeChanged != 0 {
			changes++
		}
		if reading.Flags&run.Overload != 0 {
			t.Errorf("%+v", reading)
		}
		// A reading has the step of its range, a thousandth of a full scale
		// that is at most ten times the current or the lowest.
		step := 1e-13
		for full := 1e-10; math.Abs(reading.Current) > full; full *= 10 {
			step *= 10
		}
		if steps := reading.Current / 1e-13; math.Abs(steps-math.Round(steps)) > 1e-6 {
			t.Errorf("%g A is no whole number of steps", reading.Current)
		}
		if reading.Uncertainty < step/math.Sqrt(12) {
			t.Errorf("at %g A an uncertainty of %g A", reading.Current, reading.Uncertainty)
		}
	}
	if changes != 2 {
		t.Errorf("%d changes of range from 5 nA down to nothing, want 2", changes)
	}
}

func TestCurrentBeyondTheRangeIsFlaggedAndShownAsItsEnd(t *testing.T) {
	a := withCurrent(t, plain(), -1, 5e-9)
	a.Meter = instrument.Meter{FullScales: []float64{1e-10, 1e-9, 1e-8}, Fixed: 1e-9, Steps: 1000}
	for _, reading := range acquire(t, a, 0).Curves[0].Readings {
		if beyond := reading.Flags&run.Overload != 0; beyond != (reading.Current == 1e-9) || reading.Current > 1e-9 {
			t.Errorf("%+v", reading)
		}
	}
	if first := acquire(t, a, 0).Curves[0].Readings[0]; first.Flags != run.Overload {
		t.Errorf("5 nA on a range of 1 nA: %+v", first)
	}
}

func TestNeedleIsReadToAFractionOfADivision(t *testing.T) {
	a := withCurrent(t, plain(), -1, 8e-8)
	a.Leakage.Conductance = 1e-9
	for _, centre := range []bool{true, false} {
		a.Meter = instrument.Meter{
			FullScales: []float64{1e-7},
			Needle:     instrument.Needle{Divisions: 50, Fraction: 0.25, CentreZero: centre},
		}
		r := acquire(t, a, 0)
		if math.Abs(r.Facts.Resolution-5e-10) > 1e-24 {
			t.Errorf("the resolution is %g A, want a quarter of 2 nA", r.Facts.Resolution)
		}
		for _, reading := range r.Curves[0].Readings {
			if quarters := reading.Current / 5e-10; math.Abs(quarters-math.Round(quarters)) > 1e-9 {
				t.Errorf("%g A is between two quarters", reading.Current)
			}
			stopped := reading.Current == 0 && reading.Flags == run.Overload
			if backwards := reading.Retarding > 1.5; backwards && (reading.Current < 0) != centre || backwards && stopped == centre {
				t.Errorf("zero in the middle %v: %+v", centre, reading)
			}
		}
	}
}

func TestParallaxIsTheSameAtEveryDeflection(t *testing.T) {
	a := withCurrent(t, plain(), -1, 8e-8)
	a.Meter = instrument.Meter{
		FullScales: []float64{1e-7},
		Needle:     instrument.Needle{Divisions: 50, Fraction: 0.01, Parallax: 2, CentreZero: true},
	}
	seen := acquire(t, a, 0).Curves[0].Readings
	a.Meter.Needle.Parallax = 0
	straight := acquire(t, a, 0).Curves[0].Readings
	shift := seen[0].Current - straight[0].Current
	if shift == 0 || math.Abs(shift) > 2*2e-9 {
		t.Errorf("a parallax of %g A, want at most two divisions", shift)
	}
	for i := range seen {
		if got := seen[i].Current - straight[i].Current; math.Abs(got-shift) > 2.1e-11 {
			t.Errorf("at %g V the shift is %g A, at the start %g", seen[i].Retarding, got, shift)
		}
	}
}

// The current in the tail goes as exp(-V/kT); over a sine of amplitude a its
// mean is greater by I0(a/kT), and I0(1) = 1.26607 (Abramowitz and Stegun,
// table 9.8).
func TestRippleOfTheSupplyRaisesTheTailByABesselFunction(t *testing.T) {
	a := plain()
	mean, err := instrument.NewMeanCurrent(a, a.Lights[0], physics.Closed{})
	if err != nil {
		t.Fatal(err)
	}
	kT := physics.ThermalEnergy(293)
	const tail = 1.05
	got := instrument.Rippled{Mean: mean, Amplitude: kT}.At(tail).Forward / mean.At(tail).Forward
	if math.Abs(got-1.26607) > 2e-5 {
		t.Errorf("the tail is raised by %.6f, want 1.26607", got)
	}
	a.Supply.Ripple = kT
	if read := sitting(t, a, 0, tail).Read(1e12).Current / mean.At(tail).Forward; math.Abs(read-got) > 1e-3 {
		t.Errorf("the reading is raised by %g", read)
	}
}

// A lamp that lacks a part w of its power, dying away with a time constant,
// shows 1 - w exp(-t/tau).
func TestLampWarmsUpExponentially(t *testing.T) {
	a := withCurrent(t, plain(), -1, 1e-3)
	a.Lamp = instrument.Lamp{WarmUp: 0.3, WarmUpTime: 100, Lead: 50}
	s := sitting(t, a, 0, -1)
	for range 5 {
		want := 1 - 0.3*math.Exp(-(s.Time()+0.5+50)/100)
		if got := s.Read(1).Current / 1e-3; math.Abs(got-want) > 1e-5 {
			t.Errorf("at %g s %.6f of the light, want %.6f", s.Time(), got, want)
		}
		s.Wait(70)
	}
}

func TestRatiosOfTheLinesChangeWhileTheLampWarms(t *testing.T) {
	a := plain()
	red, violet := a.Lights[0], a.Lights[0]
	red.Name, red.Nominal, red.Lines = "yellow", 578, []physics.SpectralLine{{Wavelength: 578, Weight: 1}}
	violet.Name, violet.Nominal, violet.Lines = "violet", 404.7, []physics.SpectralLine{{Wavelength: 404.656, Weight: 1}}
	a.Lights = []instrument.Light{red, violet}
	a.Lamp = instrument.Lamp{WarmUp: 0.3, WarmUpTime: 100, Colour: 2}
	ratio := func(wait float64) float64 {
		s := sitting(t, a, 0, -1)
		s.Wait(wait)
		first := s.Read(1e3).Current
		s = sitting(t, a, 1, -1)
		s.Wait(wait)
		return first / s.Read(1e3).Current
	}
	// At the middle of the dwell of 1000 s exp(-5) of the lack is left.
	lack := math.Exp(-5)
	warm := ratio(1e6)
	want := (1 - 0.3*math.Pow(578./500, 2)*lack) / (1 - 0.3*math.Pow(404.656/500, 2)*lack)
	if got := ratio(0) / warm; math.Abs(got-want) > 1e-5 {
		t.Errorf("the ratio is %.6f of the warm one, want %.6f", got, want)
	}
}

func TestLampDriftIsCommonToAllSettingsAndFlickerHasItsAllanDeviation(t *testing.T) {
	a := withCurrent(t, plain(), -1, 1e-3)
	a.Lamp.Drift = 1e-4
	s := sitting(t, a, 0, -1)
	first := s.Read(2).Current
	s.Wait(98)
	second := s.Read(2).Current
	if rate := (second - first) / 1e-3 / 100; rate == 0 || math.Abs(rate) > 1.001e-4 {
		t.Errorf("the light drifts by %g in a second, want at most 1e-4", rate)
	}
	a.Lamp = instrument.Lamp{Flicker: 0.002}
	var mean float64
	for i := range 4 {
		s.Open(benchOf(t, a), seed, i)
		s.Select(0)
		s.Turn(-1)
		mean += allan(readings(s, 1<<15, 1), 16) / 4
	}
	// 2000 groups a session are good to 1.1 %, four to half of that, and the
	// level of the sum of processes to 3 %.
	if got := mean / 1e-3; math.Abs(got/0.002-1) > 0.06 {
		t.Errorf("seed %d: the light flickers by %g, want 0.002", seed, got)
	}
}

// The light of a lamp on the mains swings with twice its frequency, so that
// half a cycle of the mains is enough to average it out.
func TestRippleOfTheLampIsRejectedAtHalfCycles(t *testing.T) {
	a := withCurrent(t, plain(), -1, 1e-3)
	a.Mains.Frequency = 50
	a.Lamp.Ripple = 0.4
	for _, test := range []struct{ dwell, peak float64 }{{0.01, 0}, {0.02, 0}, {0.005, 0.4 * 2 / math.Pi}} {
		var peak float64
		for _, v := range readings(sitting(t, a, 0, -1), 2000, test.dwell) {
			peak = max(peak, math.Abs(v/1e-3-1))
		}
		if math.Abs(peak-test.peak) > 1e-4 {
			t.Errorf("over %g s the ripple shows %g of the light, want %g", test.dwell, peak, test.peak)
		}
	}
}

func TestDarkCurvesShowLeakageBeforeAndAfter(t *testing.T) {
	a := plain()
	a.Leakage = instrument.Leakage{Conductance: 1e-12, Dark: 3e-13}
	a.Plan.DarkCurves = true
	a.Plan.Change = 20
	r := acquire(t, a, 0)
	names := []string{"dark before", "blue", "dark after"}
	for i, c := range r.Curves {
		if c.Setting != names[i] || c.Dark != (i != 1) || len(c.Readings) != 61 {
			t.Fatalf("curve %d is %q, dark %v, of %d readings", i, c.Setting, c.Dark, len(c.Readings))
		}
		for _, reading := range c.Readings {
			if want := a.Leakage.Current(reading.Retarding); c.Dark && math.Abs(reading.Current-want) > 1e-25 {
				t.Errorf("%s: %+v, want %g A", c.Setting, reading, want)
			}
		}
	}
	if got := r.Curves[1].Readings[0].Time; got != 61*0.5+20+0.5 {
		t.Errorf("the first reading in light is at %g s", got)
	}
}

func TestShuffledPlanTakesEveryVoltageOnceInAnOrderOfItsOwn(t *testing.T) {
	a := plain()
	a.Lights = append(a.Lights, a.Lights[0])
	a.Lights[1].Name = "blue again"
	a.Plan.Order = instrument.Shuffled
	r := acquire(t, a, 0)
	voltages := func(c run.Curve) (v []float64) {
		for _, reading := range c.Readings {
			v = append(v, reading.Retarding)
		}
		return v
	}
	first, second := voltages(r.Curves[0]), voltages(r.Curves[1])
	if slices.IsSorted(first) || slices.Equal(first, second) {
		t.Error("the order is not random")
	}
	slices.Sort(first)
	slices.Sort(second)
	if !slices.Equal(first, a.Plan.Voltages(0)) || !slices.Equal(first, second) {
		t.Errorf("the voltages are %v", first)
	}
}

func TestFineGridLiesAboutTheKneeOfEachCurve(t *testing.T) {
	a := plain()
	green := a.Lights[0]
	green.Name, green.Nominal, green.Lines = "green", 546.1, []physics.SpectralLine{{Wavelength: 546.074, Weight: 1}}
	a.Lights = append(a.Lights, green)
	a.Plan.Step, a.Plan.FineStep, a.Plan.FineWidth = 0.1, 0.01, 0.4
	truth := sim.TruthOf(a)
	for i, c := range acquire(t, a, 0).Curves {
		fine := 0
		for j := 1; j < len(c.Readings); j++ {
			if c.Readings[j].Retarding-c.Readings[j-1].Retarding < 0.011 {
				fine++
				if d := c.Readings[j].Retarding - truth.Stopping[i]; math.Abs(d) > 0.5 {
					t.Errorf("%s: a fine step at %g V from the cutoff", c.Setting, d)
				}
			}
		}
		if fine < 38 || fine > 42 {
			t.Errorf("%s has %d fine steps", c.Setting, fine)
		}
	}
}

// Effects differ from their off only where they should: with every effect off,
// what is left is counting noise.
func TestEveryEffectOfTheBenchShowsAndItsOffTakesItAway(t *testing.T) {
	a := everything(t)
	a.Meter.FullScales, a.Meter.Burden = []float64{1e-10, 1e-9}, 1e6
	a.Lamp.Colour = 0.5
	a.Supply.Ripple = 0.02
	a.Plan.Dwell = 0.113
	needle := a
	needle.Meter.FullScales, needle.Meter.Steps = []float64{1e-9}, 0
	needle.Meter.Needle = instrument.Needle{Divisions: 50, Fraction: 0.1, Parallax: 0.5, CentreZero: true}
	whole, wholeNeedle := acquire(t, a, 0), acquire(t, needle, 0)
	for _, e := range instrument.Effects() {
		if e.Place < instrument.ActsOnReadings {
			continue
		}
		from, with := a, whole
		if e.ID == instrument.Parallax {
			from, with = needle, wholeNeedle
		}
		if cmp.Equal(with, acquire(t, e.Off(from), 0)) {
			t.Errorf("%s does not show", e.ID)
		}
	}
	for _, e := range instrument.Effects() {
		a = e.Off(a)
	}
	ideal := a
	ideal.Meter, ideal.Lamp, ideal.Leads, ideal.Mains = instrument.Meter{}, instrument.Lamp{}, instrument.Leads{}, instrument.Mains{}
	ideal.Supply, ideal.Voltmeter = instrument.Supply{}, instrument.Voltmeter{}
	got, want := acquire(t, a, 0), acquire(t, ideal, 0)
	for i, reading := range got.Curves[0].Readings {
		if w := want.Curves[0].Readings[i]; reading.Current != w.Current || reading.Retarding != w.Retarding {
			t.Errorf("with every effect off %+v, of ideal instruments %+v", reading, w)
		}
	}
}

// An absent table draws nothing: what it would draw has a stream of its own.
func TestErrorsOfOneInstrumentDoNotMoveAnother(t *testing.T) {
	a := plain()
	before := acquire(t, a, 3).Curves[0].Readings
	a.Voltmeter = instrument.Voltmeter{Offset: 0.01}
	a.Meter.Flicker = 1e-20
	after := acquire(t, a, 3).Curves[0].Readings
	for i := range before {
		if math.Abs(before[i].Current-after[i].Current) > 1e-18 {
			t.Fatalf("%+v became %+v", before[i], after[i])
		}
	}
}

func TestSameSeedGivesTheSameReadings(t *testing.T) {
	a := everything(t)
	a.Plan.Order = instrument.Shuffled
	if diff := cmp.Diff(acquire(t, a, 5), acquire(t, a, 5)); diff != "" {
		t.Error(diff)
	}
	if cmp.Equal(acquire(t, a, 5), acquire(t, a, 6)) {
		t.Error("two replicates are equal")
	}
	// A session that was used before is as good as a new one.
	bench := benchOf(t, a)
	var s sim.Session
	var r run.Run
	s.Open(bench, seed, 1)
	s.Acquire(&r)
	s.Open(bench, seed, 5)
	s.Acquire(&r)
	if diff := cmp.Diff(acquire(t, a, 5), r); diff != "" {
		t.Error(diff)
	}
}

// A run passes through the memory of one reading: ten times the readings
// allocate as often.
func TestRunOfAnyLengthStreamsInConstantMemory(t *testing.T) {
	allocations := func(repeats int) float64 {
		a := everything(t)
		a.Plan.Repeats = repeats
		bench := benchOf(t, a)
		var s sim.Session
		return testing.AllocsPerRun(5, func() {
			s.Open(bench, seed, 0)
			w := run.NewWriter(io.Discard)
			for curve, reading := range s.Readings() {
				if err := w.Write(*curve, reading); err != nil {
					t.Fatal(err)
				}
			}
		})
	}
	few, many := allocations(3), allocations(300)
	if many > few+5 {
		t.Errorf("%g allocations for 183 readings, %g for 18300", few, many)
	}
}
