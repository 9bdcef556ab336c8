package instrument

// A Span is a range of values, from Low to High.
type Span struct {
	Low, High float64
}

// Fixed reports whether the range holds one value only.
func (s Span) Fixed() bool { return s.Low == s.High }

// Middle returns the value half way.
func (s Span) Middle() float64 { return (s.Low + s.High) / 2 }

// A Variation says within what limits the benches of a class differ from the
// one that a scenario describes. Each value is drawn anew for each bench.
type Variation struct {
	// Name says how hard the benches are to work with, such as "ordinary".
	Name string
	// Lights are the names of the settings of the light in use, in the order of
	// the scenario.
	Lights []string
	// HOverE is a factor of the scenario's h/e, for worlds in which the book
	// value does not hold. The work functions go with it, so that the same
	// light frees electrons in each of them.
	HOverE Span
	// EmitterWorkFunction is in eV, and ContactPotential, the collector's work
	// function less the emitter's, in V; both are of the scenario's own world.
	EmitterWorkFunction, ContactPotential Span
	// StrayLight and EmitterCoating are the collector's, from 0 to 1.
	StrayLight, EmitterCoating Span
	// LeakageResistance is in ohm, drawn on a logarithmic scale; zero is a
	// perfect insulator.
	LeakageResistance Span
	// DarkCurrent is in A, of either sign.
	DarkCurrent Span
	// Intensity is a factor of the power of each light, drawn on a logarithmic
	// scale for each, above zero.
	Intensity Span
}
