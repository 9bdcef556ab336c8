package study

import (
	"context"
	"fmt"
	"reflect"

	"stopvolt/instrument"
	"stopvolt/physics"
)

// A Variation is a change of the cell that breaks the law which the simulator
// shares with the fits. A method that is right only because it knows that law
// shows it here.
type Variation struct {
	// Name describes the changed cell.
	Name string
	// Slow says that it takes many seconds to prepare, so that it is left out
	// unless all cells are asked for.
	Slow bool
	// Change returns the changed apparatus, or the same where the change does
	// not apply. The argument is not changed.
	Change func(instrument.Apparatus) instrument.Apparatus
}

// Variations returns the changes over whose worst case a method is recommended.
// To add one, add it here. Patches go only with cells that have a closed form
// for them, since integrals over all pairs of patches take minutes: a patchy
// cell loses them to the first two, and other cells do not get them.
func Variations() []Variation {
	return []Variation{
		{"coaxial cylinders", false, func(a instrument.Apparatus) instrument.Apparatus {
			if s, ok := a.Geometry.(physics.Spheres); ok && s.RadiusRatio > 0 {
				a.Geometry = physics.Cylinders(s)
				a.Emitter.PatchSpread, a.Collector.PatchSpread = 0, 0
			}
			return a
		}},
		{"ring over a disk", true, func(a instrument.Apparatus) instrument.Apparatus {
			if _, ok := a.Geometry.(*physics.RingOverDisk); !ok {
				// As far from concentric as a cell that is sold may be: the
				// ring stands eight tenths of the disk's radius above it, in
				// glass of twice that radius.
				a.Geometry = physics.NewRingOverDisk(0.8, 2)
				a.Emitter.PatchSpread, a.Collector.PatchSpread = 0, 0
			}
			return a
		}},
		{"escape factor", false, func(a instrument.Apparatus) instrument.Apparatus {
			if a.Emitter.FermiEnergy == 0 {
				// That of caesium, 1.59 eV (C. Kittel, Introduction to Solid
				// State Physics, table of free electrons; from memory).
				a.Emitter.FermiEnergy = 1.59
				a.Emitter.PatchSpread, a.Collector.PatchSpread = 0, 0
			}
			return a
		}},
		{"patches of 50 meV", false, func(a instrument.Apparatus) instrument.Apparatus {
			const spread = 0.05
			thermal := physics.ThermalEnergy(a.Emitter.Temperature)
			patches := physics.Patches{Emitter: spread, Collector: spread}
			if _, ok := (physics.Quadrature{}).Patchwork(thermal, patches, a.Geometry); !ok || a.Emitter.FermiEnergy != 0 {
				return a
			}
			a.Emitter.PatchSpread = max(a.Emitter.PatchSpread, spread)
			a.Collector.PatchSpread = max(a.Collector.PatchSpread, spread)
			return a
		}},
	}
}

// cellReplicates is the number of experiments on each changed cell. The
// methods' errors there are mostly bias, which few experiments show.
const cellReplicates = 64

// A Cell is what a study found on one cell.
type Cell struct {
	// Name is that of the variation, asItIs for the scenario's own cell.
	Name string
	// HOverE is the performance for h/e, by row.
	HOverE []Measures

	tally *Tally
}

// asItIs is the name of the scenario's own cell.
const asItIs = "the cell as it is"

// cells does the study in little on each changed cell that applies, and returns
// them after the scenario's own, whose tally is given.
func (s Study) cells(ctx context.Context, t *Tally) ([]Cell, error) {
	cells := []Cell{s.cell(asItIs, t)}
	for _, v := range Variations() {
		changed := s
		changed.Apparatus = v.Change(s.Apparatus)
		if v.Slow && !s.AllCells || reflect.DeepEqual(changed.Apparatus, s.Apparatus) {
			continue
		}
		changed.Replicates, changed.Part, changed.Until = cellReplicates, Part{}, 0
		changed.Resume, changed.Save, changed.Done = nil, nil, nil
		tally, err := changed.Run(ctx)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", v.Name, err)
		}
		cells = append(cells, changed.cell(v.Name, tally))
	}
	return cells, nil
}

// cell names a tally.
func (s Study) cell(name string, t *Tally) Cell {
	c := Cell{Name: name, tally: t}
	for i := range s.rows() {
		c.HOverE = append(c.HOverE, t.row(i).measures())
	}
	return c
}

// row returns the tally of all replicates of h/e by a row.
func (t *Tally) row(i int) *tally {
	all := t.whole(func(h half) tally { return h.HOverE[i] })
	return &all
}
