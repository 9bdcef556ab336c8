package sim

import "math"

// Cells counts electrons by the barrier that just stops them. The cells on
// either side of zero have a width of their own, since a small collector
// inside a large emitter sends electrons back from far below zero.
type Cells struct {
	// Lowest and Highest are the ends of the range in eV, Lowest <= 0 <
	// Highest. What lies beyond counts in the cells at the ends.
	Lowest, Highest float64
	// Counts are in the order of the barrier. The first belowZero of them lie
	// below zero.
	Counts    []uint64
	belowZero int
	// scaleBelow and scaleAbove turn a barrier into a cell.
	scaleBelow, scaleAbove float64
}

// NewCells returns n empty cells from zero to highest, and n more from lowest
// to zero if that is below zero. Both are in eV, and highest is above zero.
func NewCells(lowest, highest float64, n int) *Cells {
	c := &Cells{Lowest: min(lowest, 0), Highest: highest, scaleAbove: float64(n) / highest}
	if lowest < 0 {
		c.belowZero = n
		c.scaleBelow = float64(n) / -lowest
		n *= 2
	}
	c.Counts = make([]uint64, n)
	return c
}

// add counts one electron that a barrier in eV just stops.
func (c *Cells) add(barrier float64) {
	var cell int
	if barrier >= 0 {
		cell = min(c.belowZero+int(barrier*c.scaleAbove), len(c.Counts)-1)
	} else {
		cell = max(c.belowZero-1-int(-barrier*c.scaleBelow), 0)
	}
	c.Counts[cell]++
}

// Merge adds the counts of other cells over the same range.
func (c *Cells) Merge(other *Cells) {
	for i, n := range other.Counts {
		c.Counts[i] += n
	}
}

// Edge returns the lower end in eV of a cell; that of the cell after the last
// is Highest.
func (c *Cells) Edge(cell int) float64 {
	if cell < c.belowZero {
		return -float64(c.belowZero-cell) / c.scaleBelow
	}
	return float64(cell-c.belowZero) / c.scaleAbove
}

// position returns the place of a barrier in units of cells, clamped to the
// range.
func (c *Cells) position(barrier float64) float64 {
	x := barrier * c.scaleAbove
	if barrier < 0 {
		x = barrier * c.scaleBelow
	}
	return min(max(float64(c.belowZero)+x, 0), float64(len(c.Counts)))
}

// survivors returns for each edge the number of electrons that its barrier does
// not stop.
func (c *Cells) survivors() []float64 {
	s := make([]float64, len(c.Counts)+1)
	for i := len(c.Counts) - 1; i >= 0; i-- {
		s[i] = s[i+1] + float64(c.Counts[i])
	}
	return s
}

// interpolate returns the value at a place in units of cells of a function that
// is given at the edges.
func interpolate(edges []float64, place float64) float64 {
	i := min(int(math.Floor(place)), len(edges)-2)
	return edges[i] + (edges[i+1]-edges[i])*(place-float64(i))
}
