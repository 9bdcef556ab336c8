package instrument

import "stopvolt/physics"

// An Apparatus is everything that stands on the bench, and the world in which
// the bench stands.
type Apparatus struct {
	World     World
	Emitter   Emitter
	Collector Collector
	// Geometry is that of the electrons that leave the emitter.
	Geometry physics.Geometry
	// Reverse is the way of the electrons that leave the collector.
	Reverse Reverse
	Leakage Leakage
	// Lights are the settings of the light, in the order of the sweep.
	Lights []Light
	// Ambient is light that reaches the cell at every setting, also with the
	// shutter closed.
	Ambient Light
	Lamp    Lamp
	Supply  Supply
	Leads   Leads
	Mains   Mains
	// Meter reads the current, and Voltmeter the supply.
	Meter     Meter
	Voltmeter Voltmeter
	Plan      Plan
}

// World holds what the experiment is after. It is a property of the apparatus
// and not of the program, so that practice data can come from another world.
type World struct {
	// HOverE is h/e in V s; it must be above zero.
	HOverE float64
}

// Reverse is where the emission of the collector differs from that of the
// surface that collects. The zero Reverse does not differ.
type Reverse struct {
	// Geometry is that of the electrons which leave the spot that the stray
	// light falls on; nil is the cell's own, reversed.
	Geometry physics.Geometry
	// Threshold is the work function of that spot in eV; 0 is the collector's.
	Threshold float64
}

// Leakage is the current that flows whether there is light or not.
type Leakage struct {
	// Conductance is that between the electrodes' leads in siemens, not
	// negative; 0 is a perfect insulator.
	Conductance float64
	// Dark is a constant current in A, of either sign.
	Dark float64
}

// Current returns the leakage in A at a retarding voltage in V; a retarding
// voltage drives it backwards.
func (l Leakage) Current(retarding float64) float64 {
	return -retarding*l.Conductance + l.Dark
}

// FlowsInTheDark reports whether electrons cross the gap with the shutter
// closed, driven by ambient light or by heat.
func (a Apparatus) FlowsInTheDark() bool {
	return len(a.Ambient.Spectrum()) > 0 || a.Emitter.Area > 0 || a.Collector.Area > 0
}
