package sim

import (
	"fmt"
	"math"
	"runtime"

	"golang.org/x/sync/errgroup"

	"stopvolt/physics"
)

// Electrons is the transport that draws electrons one by one. It takes any
// geometry, and has a counting error.
type Electrons struct {
	// Seed is the user's.
	Seed uint64
	// Number of electrons drawn for each emission, above zero.
	Number int
}

var _ physics.Transport = Electrons{}

// electronCells is the number of cells on either side of zero. They are so
// narrow that a straight line across one is good to 1e-7 of all electrons at
// room temperature.
const electronCells = 4096

// electronBlock is the number of electrons of one random stream.
const electronBlock = 1 << 16

// Prepare draws the electrons of e and counts them by the barrier that stops
// each in the geometry g. Equal arguments give equal counts, on any number of
// cores.
func (t Electrons) Prepare(e physics.Emission, g physics.Geometry) (physics.Collection, error) {
	if t.Number < 1 {
		return nil, fmt.Errorf("%d electrons cannot be drawn; one is the least", t.Number)
	}
	sampler := NewSampler(e)
	highest := max(e.Excess, 0) + reach*e.Thermal
	if highest == 0 {
		// All electrons are at rest, and any range holds them.
		highest = 1
	}
	lowest := g.Lowest(highest)
	if math.IsInf(lowest, 0) || math.IsNaN(lowest) {
		return counted{survivors: []float64{0, 0}, cells: NewCells(0, highest, 1), number: t.Number}, nil
	}
	total := NewCells(lowest, highest, electronCells)
	blocks := (t.Number + electronBlock - 1) / electronBlock
	workers := min(runtime.GOMAXPROCS(0), blocks)
	parts := make([]*Cells, workers)
	var group errgroup.Group
	for w := range workers {
		parts[w] = NewCells(lowest, highest, electronCells)
		group.Go(func() error {
			for b := w; b < blocks; b += workers {
				n := min(electronBlock, t.Number-b*electronBlock)
				sampler.Tally(NewStream(t.block(e, g, b)), g, n, parts[w])
			}
			return nil
		})
	}
	if err := group.Wait(); err != nil {
		return nil, err
	}
	for _, part := range parts {
		total.Merge(part)
	}
	return counted{survivors: total.survivors(), cells: total, number: t.Number}, nil
}

// block names the stream of a block of electrons by the emission and geometry
// that they belong to.
func (t Electrons) block(e physics.Emission, g physics.Geometry, index int) StreamName {
	name := StreamName{
		Seed:      t.Seed,
		Replicate: index,
		Purpose:   fmt.Sprintf("electrons Em=%x kT=%x band=%x %T%x", e.Excess, e.Thermal, e.Band, g, g),
	}
	if e.Film != (physics.Film{}) || e.Loss.Share > 0 {
		name.Purpose += fmt.Sprintf(" film=%x loss=%x", e.Film, e.Loss)
	}
	return name
}

// counted is the collection of electrons that were drawn and counted.
type counted struct {
	cells     *Cells
	survivors []float64
	number    int
}

// Share returns the share of the electrons that a barrier in eV does not stop,
// and its counting error, at least that of one electron.
func (c counted) Share(barrier float64) (share, standardError float64) {
	n := float64(c.number)
	k := interpolate(c.survivors, c.cells.position(barrier))
	return k / n, math.Sqrt(max(k*(1-k/n), 1)) / n
}
