package instrument

// Leads are the capacitance between the collector, with its lead to the meter,
// and everything that the dial moves. The zero Leads have none.
type Leads struct {
	// Capacitance is that of cell and leads in F, not negative.
	Capacitance float64
	// Absorption is the part of that capacitance, not negative, that each
	// relaxation of the insulation adds; 0 is an insulation without memory.
	Absorption float64
	// AbsorptionTime is the shortest relaxation time in s, above zero where
	// there is Absorption.
	AbsorptionTime float64
}

// Relaxations is the number of relaxation times of the insulation, each ten
// times the one before. Such a ladder makes the current after a step of the
// voltage fall about as 1/t, as it does in polymers and glass (A. K. Jonscher,
// Dielectric Relaxation in Solids, 1983, from memory).
const Relaxations = 3

// A Relaxation is a capacitance in F that charges through a resistance of its
// own with a time constant in s.
type Relaxation struct {
	Capacitance, Time float64
}

// Relaxation returns one of the insulation's relaxations, counted from zero.
func (l Leads) Relaxation(i int) Relaxation {
	time := l.AbsorptionTime
	for range i {
		time *= 10
	}
	return Relaxation{Capacitance: l.Absorption * l.Capacitance, Time: time}
}

// Displacement returns the current in A that flows while the retarding voltage
// rises at a rate in V/s. It has the sign of a leakage: a capacitor carries it
// beside the insulation's resistance.
func (l Leads) Displacement(rate float64) float64 { return -l.Capacitance * rate }
