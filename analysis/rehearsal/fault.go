package rehearsal

import (
	"math"
	"slices"

	"stopvolt/instrument"
	"stopvolt/physics"
	"stopvolt/sim"
)

// A Fault is a flaw that is planted into a bench, to be found by its readings.
type Fault struct {
	// Name is its word in answers and tables.
	Name string
	// plant returns the apparatus with the flaw; the uniform number from 0 to 1
	// says how bad it is and where.
	plant func(a instrument.Apparatus, u float64) instrument.Apparatus
	// wire does what is done to the wiring of a session.
	wire func(*sim.Session)
	// shaken says that the collector's lead makes and breaks contact.
	shaken bool
}

// NoFault is the answer that nothing is wrong.
const NoFault = "none"

// Faults returns the faults that there are, in the order of the choices. To add
// one, write its function, add its line here, and its words in each language.
func Faults() []Fault {
	return []Fault{
		{Name: "loose-lead", shaken: true},
		{Name: "damp-base", plant: dampBase},
		{Name: "tilted-filter", plant: tiltedFilter},
		{Name: "room-light", plant: roomLight},
		{Name: "reversed-polarity", wire: func(s *sim.Session) { s.Cross(true) }},
	}
}

// FaultNamed returns the fault of a name; without one there is none.
func FaultNamed(name string) (Fault, bool) {
	all := Faults()
	i := slices.IndexFunc(all, func(f Fault) bool { return f.Name == name })
	if i < 0 {
		return Fault{}, false
	}
	return all[i], true
}

// Planted returns the apparatus with the flaw, as bad as a uniform number from 0
// to 1 says.
func (f Fault) Planted(a instrument.Apparatus, u float64) instrument.Apparatus {
	if f.plant == nil {
		return a
	}
	return f.plant(a, u)
}

// dampBase gives the socket of the cell a resistance at which a volt drives one to
// three times as much as a dim line frees.
func dampBase(a instrument.Apparatus, u float64) instrument.Apparatus {
	a.Leakage.Conductance += faintest(a) * math.Pow(10, 0.5*u)
	return a
}

// tiltedFilter tilts the filter of one line by some twenty-five degrees. The
// pass band of an interference filter of effective index n moves by
//
//	centre sqrt(1 - (sin(angle)/n)^2)
//
// to shorter waves (H. A. Macleod, Thin-Film Optical Filters, from memory), so
// that the line itself is dimmed while neighbours leak through as before.
func tiltedFilter(a instrument.Apparatus, u float64) instrument.Apparatus {
	const angle, effectiveIndex = 25 * math.Pi / 180, 2
	a.Lights = slices.Clone(a.Lights)
	// The first is the brightest to the eye of a meter, and the last so dim on many
	// a bench that a dimmer one is no sign.
	i := min(1+int(u*float64(len(a.Lights)-2)), len(a.Lights)-1)
	f := &a.Lights[i].Filter
	if f.Width == 0 {
		f.Centre, f.Width, f.Peak = a.Lights[i].Nominal, 10, 0.5
	}
	s := math.Sin(angle) / effectiveIndex
	f.Centre *= math.Sqrt(1 - s*s)
	return a
}

// roomLight lets the lamps of the room shine on the cell: the mercury lines of a
// fluorescent tube that pass its glass, with the continuum as one line (common
// practice, no source).
func roomLight(a instrument.Apparatus, u float64) instrument.Apparatus {
	a.Ambient = instrument.Light{
		Name: "room", Nominal: 545, Neutral: 1,
		Flux: ambientShare * math.Pow(10, 0.3*u) * brightness(a),
		Lines: []physics.SpectralLine{
			{Wavelength: 435.833, Weight: 0.3}, {Wavelength: 546.074, Weight: 0.4}, {Wavelength: 500, Weight: 0.3},
		},
	}
	return a
}

// ambientShare is the power of the room's light over that of the lamp's lines
// that come through their filters: a lit room on a cell that nothing covers.
const ambientShare = 0.25

// brightness returns the greatest power in W that arrives at a setting.
func brightness(a instrument.Apparatus) float64 {
	var most float64
	for _, l := range a.Lights {
		var sum float64
		for _, line := range l.Spectrum() {
			sum += line.Weight
		}
		most = max(most, sum)
	}
	return most
}

// faintest returns roughly the current in A that the dimmest setting frees from
// the emitter, by the stated yield.
func faintest(a instrument.Apparatus) float64 {
	least := math.Inf(1)
	for _, l := range a.Lights {
		var current float64
		for _, line := range l.Spectrum() {
			photon := physics.PhotonEnergy(a.World.HOverE, line.Wavelength)
			excess := max(photon-a.Emitter.WorkFunction, 0)
			scale := max(physics.PhotonEnergy(a.World.HOverE, a.Emitter.YieldWavelength)-a.Emitter.WorkFunction, 0.1)
			// A volt as the photon's energy in eV turns W into A; the yield goes
			// with the square of the excess (R. H. Fowler, Phys. Rev. 38, 45
			// (1931)).
			current += line.Weight / photon * a.Emitter.Yield * (excess / scale) * (excess / scale)
		}
		if current > 0 {
			least = min(least, current)
		}
	}
	if math.IsInf(least, 0) {
		return 1e-11
	}
	return least
}
