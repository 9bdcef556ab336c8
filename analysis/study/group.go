package study

import (
	"slices"

	"stopvolt/instrument"
	"stopvolt/physics"
)

// A Group is some effects that are told together in a budget, since one thing is
// done about them at the bench.
type Group struct {
	// Name is what the trade calls it, Cure says what to do about it, and IDs are
	// the effects.
	Name, Cure string
	IDs        []instrument.EffectID
}

// Groups returns the groups of a budget. What belongs to none stays in what
// remains: see Remains.
func Groups() []Group {
	return []Group{
		{"band and wavelength", "narrow the band and take its true wavelength", []instrument.EffectID{instrument.BandAndMultiplet, instrument.NominalWavelength}},
		{"neighbour line", "keep the neighbour line out", []instrument.EffectID{instrument.NeighbourLine}},
		{"shifts of single lines", "keep the spot of light in its place from line to line", []instrument.EffectID{instrument.ShiftOfLine}},
		{"patches", "take the patches away", []instrument.EffectID{instrument.Patches}},
		{"emission of the cathode", "take a cathode of plain metal", []instrument.EffectID{instrument.FilmEmission, instrument.InelasticLoss, instrument.TwoEmitters}},
		{"emitter metal on the collector", "take the emitter metal off the collector", []instrument.EffectID{instrument.EmitterMetal}},
		{"reverse emission", "keep the light off the collector", []instrument.EffectID{instrument.ReverseEmission, instrument.ReverseThreshold, instrument.ReverseGeometry, instrument.StrayByWavelength}},
		{"leakage", "stop the leakage", []instrument.EffectID{instrument.LeakageCurrent}},
		{"ambient light and heat", "keep ambient light and heat out", []instrument.EffectID{instrument.AmbientLight, instrument.ThermionicEmission}},
		{"electrons in the gap", "keep fields and reflections out of the gap", []instrument.EffectID{instrument.Reflection, instrument.MagneticField, instrument.EmissionBeyondThreshold}},
		{"zero and scale of the meter", "set the meter's zero and scale right", []instrument.EffectID{instrument.MeterOffset, instrument.MeterGain, instrument.MeterDrift, instrument.FullScale, instrument.Parallax}},
		{"haste, leads and hum", "wait at each voltage and screen the leads", []instrument.EffectID{instrument.SlowResponse, instrument.DisplacementCurrent, instrument.DielectricAbsorption, instrument.MainsHum}},
		{"burden", "take the meter's burden away", []instrument.EffectID{instrument.Burden}},
		{"voltage", "set the voltage's error right", []instrument.EffectID{instrument.VoltmeterError, instrument.SupplyError, instrument.SupplyRipple}},
		{"lamp", "steady the lamp", []instrument.EffectID{instrument.LampWarmUp, instrument.LampDrift, instrument.LampFlicker, instrument.LampRipple}},
	}
}

// Remains returns the effects of the reference from which a budget starts:
// without them a knee is singular, and so is what the others add to it.
func Remains() []instrument.EffectID {
	return []instrument.EffectID{
		instrument.AngularSpread, instrument.ThermalSmearing, instrument.ContactPotential,
		instrument.MeterNoise, instrument.Resolution,
	}
}

// off returns an apparatus without the effects of the group.
func (g Group) off(a instrument.Apparatus) instrument.Apparatus {
	for _, e := range instrument.Effects() {
		if slices.Contains(g.IDs, e.ID) {
			a = e.Off(a)
		}
	}
	return a
}

// swapRatio is that of a cell in which nearly all of an electron's energy counts.
const swapRatio = 0.2

// GeometrySwap is the name of the change to another cell: a small ball in a large
// sphere.
const GeometrySwap = "another cell"

// swapped returns an apparatus with a small ball in a large sphere for its gap.
func swapped(a instrument.Apparatus) instrument.Apparatus {
	a.Geometry = physics.Spheres{RadiusRatio: swapRatio}
	return a
}
