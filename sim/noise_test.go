package sim_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"stopvolt/instrument"
	"stopvolt/physics"
	"stopvolt/sim"
)

// readings takes n readings in a row at one voltage, each over a dwell in s.
func readings(s *sim.Session, n int, dwell float64) []float64 {
	values := make([]float64, n)
	for i := range values {
		values[i] = s.Read(dwell).Current
	}
	return values
}

// spreadIs tests the standard deviation of normal values by the chi-square
// distribution, with a false-alarm rate of 1e-6.
func spreadIs(t *testing.T, what string, values []float64, want float64) {
	t.Helper()
	n := float64(len(values) - 1)
	chi := distuv.ChiSquared{K: n}
	got := stat.StdDev(values, nil)
	if x := n * got * got / (want * want); x < chi.Quantile(5e-7) || x > chi.Quantile(1-5e-7) {
		t.Errorf("seed %d: %s: a standard deviation of %g A, want %g", seed, what, got, want)
	}
}

// A gigohm at 300 K has sqrt(4 k T/R) = 4.07 fA per root hertz (Johnson and
// Nyquist 1928; the number is in every data sheet of a feedback resistor, from
// memory). A mean over half a second has a bandwidth of one hertz.
func TestJohnsonNoiseOfAGigohm(t *testing.T) {
	a := plain()
	a.Meter = instrument.Meter{Feedback: 1e9, Temperature: 300}
	r := a.Meter.Ranges()[0]
	if got := r.JohnsonNoise(0.5); math.Abs(got-4.07e-15) > 0.005e-15 {
		t.Errorf("the noise is %g A, want 4.07 fA", got)
	}
	spreadIs(t, "Johnson noise", readings(sitting(t, a, sim.Dark, 0), 20000, 0.5), 4.07e-15)
}

// A current of a nanoampere has sqrt(2 e I) = 17.9 fA per root hertz of shot
// noise (Schottky 1918; Horowitz and Hill, The Art of Electronics, from
// memory).
func TestShotNoiseOfANanoampere(t *testing.T) {
	a := withCurrent(t, plain(), 0, 1e-9)
	spreadIs(t, "shot noise", readings(sitting(t, a, 0, 0), 20000, 0.5), 17.9e-15)
}

// The two directions are independent, so that their noise adds while their
// currents subtract.
func TestShotNoiseOfOppositeCurrentsAdds(t *testing.T) {
	a := plain()
	a.Collector.StrayLight, a.Collector.Yield, a.Collector.YieldWavelength = 0.3, 0.02, 365
	mean, err := instrument.NewMeanCurrent(a, a.Lights[0], physics.Closed{})
	if err != nil {
		t.Fatal(err)
	}
	low, high := -1.0, 2.0
	for range 100 {
		if v := (low + high) / 2; mean.At(v).Net() > 0 {
			low = v
		} else {
			high = v
		}
	}
	c := mean.At(low)
	want := math.Sqrt(2 * physics.ElementaryCharge * (c.Forward + c.Reverse))
	spreadIs(t, "both directions", readings(sitting(t, a, 0, low), 20000, 0.5), want)
}

// The mean is tested at five standard errors and the variance at five of its
// own, whose square for a Poisson count is (mu4 - sigma^4)/n = (L + 2 L^2)/n:
// false alarms in 1e-6 of seeds a row.
func TestElectronsAreCountedWithTheMeanAndVarianceOfPoisson(t *testing.T) {
	const n = 40000
	for _, count := range []float64{0.3, 3, 9.99, 10.01, 300, 9e5, 1.1e6, 1e10, 1e15} {
		const dwell = 0.5
		a := withCurrent(t, plain(), -1, count*physics.ElementaryCharge/dwell)
		values := readings(sitting(t, a, 0, -1), n, dwell)
		for i := range values {
			values[i] *= dwell / physics.ElementaryCharge
		}
		mean, variance := stat.MeanVariance(values, nil)
		if math.Abs(mean-count) > 5*math.Sqrt(count/n) {
			t.Errorf("seed %d: a mean of %g electrons, want %g", seed, mean, count)
		}
		if math.Abs(variance-count) > 5*math.Sqrt((count+2*count*count)/n) {
			t.Errorf("seed %d: a variance of %g for %g electrons", seed, variance, count)
		}
	}
}

// allan returns the Allan deviation of readings that follow one another without
// a gap, averaged over groups of m (D. W. Allan, Proc. IEEE 54, 221 (1966)).
func allan(values []float64, m int) float64 {
	var sum, before float64
	groups := len(values) / m
	for g := range groups {
		mean := stat.Mean(values[g*m:(g+1)*m], nil)
		if g > 0 {
			sum += (mean - before) * (mean - before)
		}
		before = mean
	}
	return math.Sqrt(sum / 2 / float64(groups-1))
}

// The Allan deviation goes with the averaging time as tau^-1/2 for white noise,
// as tau^0 for flicker and as tau^+1 for a steady drift (W. J. Riley, Handbook
// of Frequency Stability Analysis, NIST Special Publication 1065 (2008), section
// 7.1; for drift of rate D it is D tau/sqrt(2)). The slope is read over a factor
// of 64 of averaging time, where the estimate from a thousand groups is good to
// some two per cent, and the mean over sessions to less; 0.03 in the exponent is
// then above five standard errors.
func TestAllanDeviationTellsTheNoisesApart(t *testing.T) {
	const short, long, n, sessions = 4, 256, 1 << 16, 4
	for _, test := range []struct {
		name            string
		meter           instrument.Meter
		exponent, level float64
	}{
		{"white", instrument.Meter{Feedback: 1e9, Temperature: 300}, -0.5, 4.07e-15 / math.Sqrt2 / math.Sqrt(short)},
		{"flicker", instrument.Meter{Flicker: 1e-14}, 0, 1e-14},
		{"drift", instrument.Meter{Drift: 1e-16}, 1, math.NaN()},
	} {
		a := plain()
		a.Meter = test.meter
		bench := benchOf(t, a)
		var s sim.Session
		var logShort, logLong float64
		for i := range sessions {
			s.Open(bench, seed, i)
			s.Turn(0)
			values := readings(&s, n, 1)
			logShort += math.Log(allan(values, short)) / sessions
			logLong += math.Log(allan(values, long)) / sessions
		}
		if got := (logLong - logShort) / math.Log(long/short); math.Abs(got-test.exponent) > 0.03 {
			t.Errorf("seed %d: %s: the Allan deviation goes as tau^%.3f, want tau^%g", seed, test.name, got, test.exponent)
		}
		if got := math.Exp(logShort); !math.IsNaN(test.level) && math.Abs(got/test.level-1) > 0.06 {
			t.Errorf("seed %d: %s: an Allan deviation of %g A over %d s, want %g", seed, test.name, got, short, test.level)
		}
	}
}

func TestSteadyDriftIsTheSameAllSession(t *testing.T) {
	a := plain()
	a.Meter.Drift = 1e-14
	s := sitting(t, a, sim.Dark, 0)
	first := s.Read(1).Current
	s.Wait(99)
	second := s.Read(1).Current
	s.Wait(99)
	third := s.Read(1).Current
	if rate := (second - first) / 100; math.Abs(rate) > 1e-14 || rate == 0 || math.Abs((third-second)/100-rate) > 1e-20 {
		t.Errorf("the zero goes from %g to %g to %g A", first, second, third)
	}
}

// What is drawn once a session spreads evenly over its range, and no further;
// for a uniform distribution the standard deviation is the half-width over the
// square root of three (JCGM 100:2008, 4.3.7).
func TestErrorsOfASessionFillTheirSpecification(t *testing.T) {
	a := withCurrent(t, plain(), -1, 1e-6)
	a.Leakage = instrument.Leakage{}
	a.Meter = instrument.Meter{
		Gain: 0.02, Offset: 1e-9, OffsetSteps: 3, Steps: 20000, FullScales: []float64{2e-6}, Stepless: true,
	}
	a.Voltmeter = instrument.Voltmeter{Offset: 0.01, Gain: 0.03}
	a.Supply = instrument.Supply{Offset: 0.02, Gain: 0.01}
	const n = 4000
	bench := benchOf(t, a)
	var s sim.Session
	var zero, gain, shownAtZero, shownGain []float64
	for i := range n {
		s.Open(bench, seed, i)
		s.Select(sim.Dark)
		s.Turn(0)
		dark := s.Read(0.5)
		zero = append(zero, dark.Current/1e-9)
		shownAtZero = append(shownAtZero, dark.Retarding)
		s.Turn(-1)
		s.Select(0)
		light := s.Read(0.5)
		gain = append(gain, (light.Current-dark.Current)/1e-6-1)
		shownGain = append(shownGain, -(light.Retarding-dark.Retarding)-1)
	}
	for _, test := range []struct {
		name   string
		values []float64
		// A sum of two uniform errors has both their variances.
		halves [2]float64
	}{
		{"zero", zero, [2]float64{1 + 3*0.1, 0}},
		{"gain", gain, [2]float64{0.02, 0}},
		{"voltage at zero", shownAtZero, [2]float64{0.01, 0.02}},
		{"voltage per volt", shownGain, [2]float64{0.03, 0.01}},
	} {
		want := math.Hypot(test.halves[0], test.halves[1]) / math.Sqrt(3)
		mean, deviation := stat.MeanStdDev(test.values, nil)
		// Five standard errors of the mean, and of a standard deviation of
		// values whose kurtosis is at most a normal one's.
		if math.Abs(mean) > 5*want/math.Sqrt(n) || math.Abs(deviation/want-1) > 5/math.Sqrt(2*n) {
			t.Errorf("seed %d: %s: %g +- %g, want 0 +- %g", seed, test.name, mean, deviation, want)
		}
		for _, v := range test.values {
			// The voltmeter's gain of 3 % also applies to the supply's error.
			if math.Abs(v) > (test.halves[0]+test.halves[1])*1.03 {
				t.Fatalf("seed %d: %s: %g is beyond the specification %v", seed, test.name, v, test.halves)
			}
		}
	}
}
