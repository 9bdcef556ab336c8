package practice

import (
	"slices"

	"stopvolt/instrument"
	"stopvolt/instrument/population"
)

// A Fault is a flaw that is planted into a bench for a student to find.
type Fault struct {
	// Name is the word for it in answers.
	Name string
	// Local says that the fault is one of a setting of the light, which an
	// answer has to name.
	Local bool
	// Plant returns the bench with the fault, and the setting that it spoils
	// where it is Local. The setting's index is at, which is always one that
	// has an upper neighbour.
	plant func(a instrument.Apparatus, at int, d draw) (instrument.Apparatus, string)
}

// NoFault is the word in answers for a bench without a fault.
const NoFault = "none"

// Faults returns the faults that there are. To add one, write its function and
// add its line here.
func Faults() []Fault {
	return []Fault{
		{"wrong-filter", true, wrongFilter},
		{"leaking-cell", false, leakingCell},
		{"warm-up", false, warmUp},
	}
}

// wrongFilter puts before one setting the filter of its neighbour in the
// spectrum; its label stays.
func wrongFilter(a instrument.Apparatus, at int, _ draw) (instrument.Apparatus, string) {
	a.Lights = slices.Clone(a.Lights)
	spoilt, name := &a.Lights[at], a.Lights[at].Name
	spoilt.Filter = a.Lights[at+1].Filter
	spoilt.Lines = a.Lights[at+1].Lines
	return a, name
}

// leakingCell gives the insulation of the cell a resistance at which a volt
// drives some ten picoamperes.
func leakingCell(a instrument.Apparatus, _ int, d draw) (instrument.Apparatus, string) {
	a.Leakage.Conductance = 1 / d.of(population.LogUniform{Low: 3e10, High: 1e11}, "leak")
	return a, ""
}

// warmUp lights the lamp just before the first reading, so that the light grows
// while the first curves are taken.
func warmUp(a instrument.Apparatus, _ int, d draw) (instrument.Apparatus, string) {
	p := a.Plan
	curve := float64(len(p.Voltages(p.Start))*p.Repeats) * (p.Turn + p.Settle + p.Dwell)
	a.Lamp.WarmUp = d.of(population.Uniform{Low: 0.4, High: 0.6}, "warm-up")
	a.Lamp.WarmUpTime = curve * d.of(population.Uniform{Low: 1, High: 2}, "time of the warm-up")
	a.Lamp.Lead, a.Lamp.Colour = 0, 0
	return a, ""
}
