package sim_test

import (
	"testing"

	"stopvolt/instrument"
)

// laws names for each effect that acts on readings the test that holds it to its
// law. Those of the cell have theirs in instrument.
var laws = map[instrument.EffectID]func(*testing.T){
	instrument.MeterNoise:           TestJohnsonNoiseOfAGigohm,
	instrument.MeterOffset:          TestErrorsOfASessionFillTheirSpecification,
	instrument.Resolution:           TestNeedleIsReadToAFractionOfADivision,
	instrument.MeterGain:            TestErrorsOfASessionFillTheirSpecification,
	instrument.MeterDrift:           TestAllanDeviationTellsTheNoisesApart,
	instrument.SlowResponse:         TestSlowResponseLeavesExpMinusNOfAStep,
	instrument.Burden:               TestBurdenOf100KilohmShiftsTheCurveAtAMicroampereByATenthOfAVolt,
	instrument.FullScale:            TestCurrentBeyondTheRangeIsFlaggedAndShownAsItsEnd,
	instrument.Parallax:             TestParallaxIsTheSameAtEveryDeflection,
	instrument.DisplacementCurrent:  TestTenPicofaradMovedBy50MillivoltInATenthOfASecondCarries5Picoampere,
	instrument.DielectricAbsorption: TestAbsorbedChargeComesBackSlowly,
	instrument.VoltmeterError:       TestErrorsOfASessionFillTheirSpecification,
	instrument.SupplyError:          TestErrorsOfASessionFillTheirSpecification,
	instrument.SupplyRipple:         TestRippleOfTheSupplyRaisesTheTailByABesselFunction,
	instrument.MainsHum:             TestHumIsRejectedAtWholeCycles,
	instrument.LampWarmUp:           TestLampWarmsUpExponentially,
	instrument.LampDrift:            TestLampDriftIsCommonToAllSettingsAndFlickerHasItsAllanDeviation,
	instrument.LampFlicker:          TestLampDriftIsCommonToAllSettingsAndFlickerHasItsAllanDeviation,
	instrument.LampRipple:           TestRippleOfTheLampIsRejectedAtHalfCycles,
}

func TestEveryEffectOnReadingsHasALaw(t *testing.T) {
	readings := make(map[instrument.EffectID]bool)
	for _, e := range instrument.Effects() {
		readings[e.ID] = e.Place >= instrument.ActsOnReadings
		if laws[e.ID] == nil && readings[e.ID] {
			t.Errorf("%q has no test of its law; write one, and name it in laws", e.ID)
		}
	}
	for id := range laws {
		if !readings[id] {
			t.Errorf("laws has %q, which is no effect on readings", id)
		}
	}
}
