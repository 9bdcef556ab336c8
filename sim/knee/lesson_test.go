package knee_test

import (
	"math"
	"testing"

	"stopvolt/instrument"
	"stopvolt/physics"
	"stopvolt/sim/knee"
)

// The response against frequency is Fowler's law at equal photon flux (R. H.
// Fowler, Phys. Rev. 38, 45 (1931)): proportional to T^2 f((hv - phi)/kT), here
// by gonum's dilogarithm.
func TestThresholdFollowsFowlersLaw(t *testing.T) {
	b := bench(t)
	const temperature = 295
	kT := physics.ThermalEnergy(temperature)
	frequency, current, err := b.Threshold(temperature)
	if err != nil {
		t.Fatal(err)
	}
	law := func(i int) float64 {
		return fowler((b.Apparatus.World.HOverE*frequency[i] - b.Apparatus.Emitter.WorkFunction) / kT)
	}
	last := len(frequency) - 1
	for i := range frequency {
		// The wavelength in air is good to 1e-9 of itself on the way there and
		// back, and below the threshold the response has the steepness 1/kT.
		if got, want := current[i]/current[last], law(i)/law(last); math.Abs(got-want) > 1e-6*want {
			t.Errorf("at %g Hz the response is %g, not %g", frequency[i], got, want)
		}
	}
}

// A cold emitter has no response below its threshold.
func TestColdThresholdIsSharp(t *testing.T) {
	b := bench(t)
	frequency, current, err := b.Threshold(0)
	if err != nil {
		t.Fatal(err)
	}
	edge := b.Apparatus.Emitter.WorkFunction / b.Apparatus.World.HOverE
	for i, f := range frequency {
		if below := f < edge*(1-1e-6); below && current[i] != 0 {
			t.Errorf("%g A at %g Hz, below the threshold of %g Hz", current[i], f, edge)
		}
	}
}

// Dimmed light draws a current smaller by the same fraction, as long as nothing
// but light drives it.
func TestCurrentGoesWithIntensity(t *testing.T) {
	b := bench(t)
	a := b.Dimmed([]knee.Intensity{{Name: "full", Fraction: 1}, {Name: "a tenth", Fraction: 0.1}})
	a.Leakage = instrument.Leakage{}
	b.Apparatus = a
	currents, err := b.Currents(0.3)
	if err != nil {
		t.Fatal(err)
	}
	if ratio := currents[1] / currents[0]; math.Abs(ratio-0.1) > 1e-12 {
		t.Errorf("a tenth of the light draws %g of the current", ratio)
	}
}

// The second emitter has the first one's collector, a higher threshold, and
// three lights or more above it.
func TestSecondEmitterLeavesTheCollectorAlone(t *testing.T) {
	b := bench(t)
	second, ok := b.SecondEmitter()
	if !ok {
		t.Fatal("the default bench has room for a second emitter")
	}
	if second.Collector != b.Apparatus.Collector {
		t.Error("the collector changed")
	}
	if second.Emitter.WorkFunction <= b.Apparatus.Emitter.WorkFunction || len(second.Lights) < 3 {
		t.Errorf("%g eV with %d lights", second.Emitter.WorkFunction, len(second.Lights))
	}
	for _, l := range second.Lights {
		if e := physics.PhotonEnergy(second.World.HOverE, l.Nominal); e < second.Emitter.WorkFunction {
			t.Errorf("%s has %g eV", l.Name, e)
		}
	}
}

func TestScalesAreRound(t *testing.T) {
	for _, c := range []struct{ largest, want float64 }{
		{0.7e-9, 1e-9}, {1e-9, 1e-9}, {1.1e-9, 3e-9}, {2.9e-9, 3e-9}, {4e-9, 1e-8}, {0, 1e-15},
	} {
		if got := knee.RoundScale(c.largest).FullScale; math.Abs(got-c.want) > 1e-9*c.want {
			t.Errorf("for %g A the scale ends at %g A, not %g", c.largest, got, c.want)
		}
	}
}
