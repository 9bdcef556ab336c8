package instrument

import "stopvolt/physics"

// Table is a mean current that is read off quickly: piecewise polynomials made
// once from At, accurate to 1e-9 of the largest current in their range. Beyond
// the range it asks the mean current itself.
type Table struct {
	mean             source
	forward, reverse *physics.Piecewise
}

// source is what a table is made of.
type source interface {
	At(retarding float64) Currents
	// leak returns the leakage alone.
	leak(retarding float64) float64
}

const (
	tableError = 1e-10
	// tableSamples is the number of voltages at which the largest current is
	// looked for.
	tableSamples = 256
)

// NewTable returns the table of a mean current between two voltages in V, of
// which low must be less than high.
func NewTable(m source, low, high float64) *Table {
	var largest float64
	for i := range tableSamples + 1 {
		c := m.At(low + (high-low)*float64(i)/tableSamples)
		largest = max(largest, c.Forward, c.Reverse)
	}
	within := physics.Tolerance{Absolute: tableError * largest}
	return &Table{
		mean:    m,
		forward: physics.NewPiecewise(func(v float64) float64 { return m.At(v).Forward }, low, high, within),
		reverse: physics.NewPiecewise(func(v float64) float64 { return m.At(v).Reverse }, low, high, within),
	}
}

// At returns the mean currents at a voltage across the cell in V.
func (t *Table) At(retarding float64) Currents {
	if !t.forward.Holds(retarding) {
		return t.mean.At(retarding)
	}
	return Currents{
		Forward: max(t.forward.At(retarding), 0),
		Reverse: max(t.reverse.At(retarding), 0),
		Leakage: t.mean.leak(retarding),
	}
}
