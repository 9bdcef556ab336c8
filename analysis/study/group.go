package study

import (
	"slices"

	"stopvolt/instrument"
	"stopvolt/physics"
)

// A Group is some effects that are told together in a budget, since one thing is
// done about them at the bench.
type Group struct {
	// Name is what the trade calls it, and IDs are the effects.
	Name string
	IDs  []instrument.EffectID
}

// Groups returns the groups of a budget. What belongs to none stays in what
// remains: see Remains.
func Groups() []Group {
	return []Group{
		{"band and wavelength", []instrument.EffectID{instrument.BandAndMultiplet, instrument.NominalWavelength}},
		{"neighbour line", []instrument.EffectID{instrument.NeighbourLine}},
		{"shifts of single lines", []instrument.EffectID{instrument.ShiftOfLine}},
		{"patches", []instrument.EffectID{instrument.Patches}},
		{"emission of the cathode", []instrument.EffectID{instrument.FilmEmission, instrument.InelasticLoss, instrument.TwoEmitters}},
		{"emitter metal on the collector", []instrument.EffectID{instrument.EmitterMetal}},
		{"reverse emission", []instrument.EffectID{instrument.ReverseEmission, instrument.ReverseThreshold, instrument.ReverseGeometry, instrument.StrayByWavelength}},
		{"leakage", []instrument.EffectID{instrument.LeakageCurrent}},
		{"ambient light and heat", []instrument.EffectID{instrument.AmbientLight, instrument.ThermionicEmission}},
		{"electrons in the gap", []instrument.EffectID{instrument.Reflection, instrument.MagneticField, instrument.EmissionBeyondThreshold}},
		{"zero and scale of the meter", []instrument.EffectID{instrument.MeterOffset, instrument.MeterGain, instrument.MeterDrift, instrument.FullScale, instrument.Parallax}},
		{"haste, leads and hum", []instrument.EffectID{instrument.SlowResponse, instrument.DisplacementCurrent, instrument.DielectricAbsorption, instrument.MainsHum}},
		{"burden", []instrument.EffectID{instrument.Burden}},
		{"voltage", []instrument.EffectID{instrument.VoltmeterError, instrument.SupplyError, instrument.SupplyRipple}},
		{"lamp", []instrument.EffectID{instrument.LampWarmUp, instrument.LampDrift, instrument.LampFlicker, instrument.LampRipple}},
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
