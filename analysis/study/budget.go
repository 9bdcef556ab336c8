package study

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"stopvolt/analysis"
	"stopvolt/instrument"
	"stopvolt/physics"
	"stopvolt/sim"
)

// A Budget says how much of each row's bias of h/e each effect makes. All
// experiments of one replicate share their random numbers, so that differences
// between them are known far better than the biases themselves.
type Budget struct {
	// Effects are those that the apparatus has.
	Effects []instrument.Effect
	// Rows has one entry for each method and line fit, method by method.
	Rows []BudgetRow
}

// A BudgetRow is the budget of one method with one line fit. All shifts are
// relative to h/e, and NaN where the method has no answer to one of the
// experiments that a shift is the difference of.
type BudgetRow struct {
	// Method and Fit are names.
	Method, Fit string
	// Full is the bias on the apparatus as it is, and Ideal that with all
	// effects off.
	Full, Ideal Measure
	// Alone has for each effect the shift from the ideal apparatus when that
	// effect alone is on, and Without the shift that goes when that effect
	// alone is switched off on the full apparatus.
	Alone, Without []Measure
	// Interaction is the shift from ideal to full less the sum of Alone: what
	// no effect makes by itself.
	Interaction Measure
}

// variant is an apparatus of a budget, made ready.
type variant struct {
	study Study
	bench *sim.Bench
}

// Budget does the study's replicates on its apparatus, on the ideal one, and for
// each effect on those with that effect alone and without it.
func (s Study) Budget(ctx context.Context) (Budget, error) {
	if err := s.check(); err != nil {
		return Budget{}, err
	}
	present := instrument.Present(s.Apparatus)
	variants, err := s.variants(present)
	if err != nil {
		return Budget{}, err
	}
	t := newBudgetTally(len(s.rows()), len(present))
	var mutex sync.Mutex
	var next atomic.Int64
	group, ctx := errgroup.WithContext(ctx)
	for range runtime.GOMAXPROCS(0) {
		group.Go(func() error {
			part := newBudgetTally(len(s.rows()), len(present))
			workers := make([]*worker, len(variants))
			for i, v := range variants {
				workers[i] = v.study.worker(v.bench)
			}
			for i := int(next.Add(1) - 1); i < s.Replicates; i = int(next.Add(1) - 1) {
				if err := ctx.Err(); err != nil {
					return err
				}
				part.add(workers, i)
				if s.Done != nil {
					s.Done()
				}
			}
			mutex.Lock()
			defer mutex.Unlock()
			t.merge(part)
			return nil
		})
	}
	if err := group.Wait(); err != nil {
		return Budget{}, err
	}
	return s.budget(present, t), nil
}

// variants returns the full apparatus, the ideal one, those with one effect
// alone, and those without one effect.
func (s Study) variants(present []instrument.Effect) ([]variant, error) {
	but := func(keep int) instrument.Apparatus {
		a := s.Apparatus
		for i, e := range present {
			if i != keep {
				a = e.Off(a)
			}
		}
		return a
	}
	apparatus := []instrument.Apparatus{s.Apparatus, but(-1)}
	names := []string{"all effects", "no effect"}
	for i, e := range present {
		apparatus = append(apparatus, but(i))
		names = append(names, "only "+string(e.ID))
	}
	for _, e := range present {
		apparatus = append(apparatus, e.Off(s.Apparatus))
		names = append(names, "all but "+string(e.ID))
	}
	var variants []variant
	for i, a := range apparatus {
		v := variant{study: s}
		v.study.Apparatus = a
		var err error
		if v.bench, err = sim.NewBench(a, physics.Quadrature{}); err != nil {
			return nil, fmt.Errorf("with %s: %w", names[i], err)
		}
		variants = append(variants, v)
	}
	return variants, nil
}

// budgetTally has for each row the shifts in the order full, ideal, alone...,
// without..., interaction.
type budgetTally struct {
	effects int
	rows    [][]differences
}

func newBudgetTally(rows, effects int) *budgetTally {
	t := &budgetTally{effects: effects}
	for range rows {
		t.rows = append(t.rows, make([]differences, 2*effects+3))
	}
	return t
}

func (t *budgetTally) merge(other *budgetTally) {
	for r := range t.rows {
		for i := range t.rows[r] {
			t.rows[r][i].merge(other.rows[r][i])
		}
	}
}

// add does one replicate on each variant and counts the differences.
func (t *budgetTally) add(workers []*worker, index int) {
	errors := make([][]float64, len(workers))
	for i, w := range workers {
		errors[i] = w.hOverEErrors(index)
	}
	for r := range t.rows {
		row := t.rows[r]
		full, ideal := errors[0][r], errors[1][r]
		row[0].add(full)
		row[1].add(ideal)
		interaction := full - ideal
		for e := range t.effects {
			alone := errors[2+e][r] - ideal
			row[2+e].add(alone)
			row[2+t.effects+e].add(full - errors[2+t.effects+e][r])
			interaction -= alone
		}
		row[2+2*t.effects].add(interaction)
	}
}

// hOverEErrors does one replicate and returns the relative errors of h/e by row,
// NaN for failures.
func (w *worker) hOverEErrors(index int) []float64 {
	for row, line := range w.experiment(index).Lines {
		w.errors[row] = math.NaN()
		if line.Status != analysis.OK {
			continue
		}
		if x := line.Line.Slope/w.truth.HOverE - 1; math.Abs(x) < mostOff {
			w.errors[row] = x
		}
	}
	return w.errors
}

// budget says what a tally shows.
func (s Study) budget(present []instrument.Effect, t *budgetTally) Budget {
	b := Budget{Effects: present}
	for i, line := range s.rows() {
		shifts := t.rows[i]
		row := BudgetRow{
			Method: s.Methods[line.method].Name(), Fit: line.fit,
			Full: shifts[0].measure(), Ideal: shifts[1].measure(),
			Interaction: shifts[2+2*t.effects].measure(),
		}
		for e := range present {
			row.Alone = append(row.Alone, shifts[2+e].measure())
			row.Without = append(row.Without, shifts[2+t.effects+e].measure())
		}
		b.Rows = append(b.Rows, row)
	}
	return b
}
