package sim_test

import (
	"math"
	"testing"

	"stopvolt/instrument"
	"stopvolt/physics"
	"stopvolt/sim"
)

// With a resistance and a constant current alone the collector is a capacitor
// behind a resistor: V = I R (1 - exp(-t/(R C))), as in any textbook of
// electricity.
func TestFloatingCollectorInTheDarkIsACapacitorBehindAResistor(t *testing.T) {
	bench := benchOf(t, plain())
	f := sim.Floating{Capacitance: 2e-11, Resistance: 1e12, Bias: 1e-12}
	points, limit, err := f.Charge(bench, sim.Dark)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(limit-1) > 1e-12 {
		t.Errorf("the limit is %g V, want 1", limit)
	}
	if last := points[len(points)-1]; last.Retarding < 1-2e-6 {
		t.Errorf("the last point is at %g V", last.Retarding)
	}
	for _, p := range points {
		want := 1 - math.Exp(-p.Time/(f.Resistance*f.Capacitance))
		if math.Abs(p.Retarding-want) > 1e-9 {
			t.Fatalf("at %g s %.12g V, want %.12g", p.Time, p.Retarding, want)
		}
	}
}

// Beyond the cutoff the electrons are the tail of the Fermi distribution, whose
// current falls e-fold for each kT/e: ten times the light moves the balance
// with a constant current by kT/e ln(10), 58.2 mV at 293 K.
func TestFloatingPotentialRisesWithTheLogarithmOfTheLight(t *testing.T) {
	bench := benchOf(t, plain())
	f := sim.Floating{Capacitance: 2e-11, Resistance: math.Inf(1), Bias: -1e-15}
	limits, err := f.Limits(bench, 0, []float64{0.01, 0.1, 1})
	if err != nil {
		t.Fatal(err)
	}
	want := physics.ThermalEnergy(293) * math.Ln10
	for i := 1; i < len(limits); i++ {
		if got := limits[i] - limits[i-1]; math.Abs(got-want) > 0.002*want {
			t.Errorf("ten times the light: %.5f V, want %.5f", got, want)
		}
	}
}

// Where the collector's own emission is all that balances, both currents go
// with the light.
func TestFloatingPotentialDoesNotDependOnTheLightWhenReverseEmissionBalances(t *testing.T) {
	a := plain()
	a.Collector.StrayLight, a.Collector.Yield, a.Collector.YieldWavelength = 0.02, 0.005, 365
	bench := benchOf(t, a)
	limits, err := (sim.Floating{Capacitance: 2e-11, Resistance: math.Inf(1)}).Limits(bench, 0, []float64{0.01, 1, 100})
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range limits {
		if math.Abs(v-limits[0]) > 1e-12 {
			t.Errorf("limits %v V", limits)
		}
	}
}

// A finite resistance costs a part of the stopping voltage: in the limit the
// current that arrives is V/R.
func TestFloatingCollectorRestsWhereTheLeakIsFed(t *testing.T) {
	bench := benchOf(t, plain())
	f := sim.Floating{Capacitance: 2e-11, Resistance: 1e11, Intensity: 1}
	limit, err := f.Limit(bench, 0)
	if err != nil {
		t.Fatal(err)
	}
	mean, err := instrument.NewMeanCurrent(plain(), plain().Lights[0], physics.Closed{})
	if err != nil {
		t.Fatal(err)
	}
	if got, want := mean.At(limit).Forward, limit/f.Resistance; math.Abs(got-want) > 1e-6*want {
		t.Errorf("at %g V %g A arrive and %g A leak", limit, got, want)
	}
}

func TestFloatingCollectorThatNeverRestsIsAnError(t *testing.T) {
	bench := benchOf(t, plain())
	for _, f := range []sim.Floating{
		{Capacitance: 1e-11, Resistance: math.Inf(1), Bias: 1e-12},
		{Capacitance: 1e-11, Resistance: math.Inf(1), Bias: -1e-12},
		{Capacitance: 0, Resistance: 1},
		{Capacitance: 1e-11},
		{Capacitance: 1e-11, Resistance: math.NaN()},
		{Capacitance: 1e-11, Resistance: 1e12, Intensity: math.NaN()},
		{Capacitance: 1e-11, Resistance: 1e12, Bias: math.NaN()},
	} {
		if v, err := f.Limit(bench, sim.Dark); err == nil {
			t.Errorf("%+v rests at %g V", f, v)
		}
	}
}
