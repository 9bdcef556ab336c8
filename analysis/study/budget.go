package study

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"stopvolt/instrument"
	"stopvolt/sim"
)

// A Budget says how much of each row's error of h/e each group of effects makes
// over the benches of a population, and what a change at the bench is worth. All
// experiments at one bench share their random numbers, so that differences
// between them are known far better than the errors themselves.
type Budget struct {
	// Benches is the number of benches, and Groups are those that some bench
	// has.
	Benches int
	Groups  []Group
	// Rows has one entry for each row of the study.
	Rows []BudgetRow
}

// A BudgetRow is the budget of one method with one line fit.
type BudgetRow struct {
	// Method and Fit are names; ByHand says that a person read the curves.
	Method, Fit string
	ByHand      bool
	// Full is the mean of the logarithm of read over true with all effects, and
	// Reference that with none but those of Remains; both over the benches that
	// Shares are.
	Full, Reference Measure
	// Shares are the parts that the groups add: the mean over the benches of
	// L. S. Shapley's value, by a random order of the groups at each bench and
	// its reverse. They are Full less Reference in sum.
	Shares []Measure
	// Orders is the number of orders, and Dropped that of those that were left
	// out because some step had no answer.
	Orders, Dropped int
	// Gains are what changes at the bench are worth, the best first.
	Gains []Gain
	// Answers is the share of the benches where the row has an answer with all
	// effects, and Loss the median error that is left there after correction.
	Answers, Loss float64
}

// A Gain is what a change at the bench is worth to a row: the median size of the
// error that is left when what was read has been corrected by the median factor
// of its own benches.
type Gain struct {
	// Change names the group that is switched off, or is GeometrySwap.
	Change string
	// Loss is the median error with all effects and Left that after the change,
	// and Gap what the change takes off it where both have an answer.
	Loss, Left float64
	Gap        Measure
	// Factor is the factor with all effects, and Changed that after the change.
	Factor, Changed Factor
}

// benchBudget is what the experiments at one bench came to, by row.
type benchBudget struct {
	// full and reference are logarithms of read over true, and shares what the
	// groups add, NaN where no order was kept; kept is the number of them.
	full, reference []float64
	shares          [][]float64
	kept            []int
	// ratios are read over true with all effects and then after each change.
	ratios [][]float64
}

// Budget does the study's budget at as many benches as it has replicates.
func (s Study) Budget(ctx context.Context) (Budget, error) {
	if err := s.check(); err != nil {
		return Budget{}, err
	}
	groups := Groups()
	found := make([]benchBudget, s.Replicates)
	var next atomic.Int64
	team, ctx := errgroup.WithContext(ctx)
	for range runtime.GOMAXPROCS(0) {
		team.Go(func() error {
			b := budgeter{worker: s.worker(nil), groups: groups}
			for i := int(next.Add(1) - 1); i < s.Replicates; i = int(next.Add(1) - 1) {
				var err error
				if found[i], err = b.visit(ctx, i); err != nil {
					return err
				}
				if s.Done != nil {
					s.Done()
				}
			}
			return nil
		})
	}
	if err := team.Wait(); err != nil {
		return Budget{}, err
	}
	return s.budget(groups, found), nil
}

// A budgeter does the experiments of a budget in memory that it keeps.
type budgeter struct {
	*worker
	groups []Group
}

// visit does those at one bench.
func (b *budgeter) visit(ctx context.Context, index int) (benchBudget, error) {
	s := &b.study
	full, _, err := sim.DrawBench(s.Population, s.Seed, index)
	if err != nil {
		return benchBudget{}, err
	}
	full = sim.DrawPhase(full, s.Seed, index)
	b.truth = sim.TruthOf(full)
	var present []int
	all := uint64(0)
	for g, group := range b.groups {
		if !reflect.DeepEqual(group.off(full), full) {
			present = append(present, g)
			all |= 1 << g
		}
	}
	src := rand.New(sim.NewStream(sim.StreamName{Seed: s.Seed, Replicate: index, Purpose: "order of the budget"}))
	order := src.Perm(len(present))

	// The ratios of all rows, by which groups are on.
	done := make(map[uint64][]float64)
	var failure error
	with := func(on uint64) []float64 {
		ratios, ok := done[on]
		if !ok && failure == nil {
			a := full
			for _, g := range present {
				if on&(1<<g) == 0 {
					a = b.groups[g].off(a)
				}
			}
			ratios, failure = b.read(ctx, a, index)
			done[on] = ratios
		}
		return ratios
	}
	out := benchBudget{ratios: [][]float64{with(all)}}
	for g := range b.groups {
		out.ratios = append(out.ratios, with(all&^(1<<g)))
	}
	if failure == nil {
		var other []float64
		other, failure = b.read(ctx, swapped(full), index)
		out.ratios = append(out.ratios, other)
	}
	for row := range b.rows {
		shares, kept := fairShares(order, func(on []bool) float64 {
			mask := uint64(0)
			for i, yes := range on {
				if yes {
					mask |= 1 << present[i]
				}
			}
			ratios := with(mask)
			if failure != nil {
				return math.NaN()
			}
			return logarithm(ratios[row])
		})
		if failure != nil {
			return benchBudget{}, failure
		}
		ofGroups := make([]float64, len(b.groups))
		for i, x := range shares {
			ofGroups[present[i]] = x
		}
		out.shares, out.kept = append(out.shares, ofGroups), append(out.kept, kept)
		out.full, out.reference = append(out.full, logarithm(with(all)[row])), append(out.reference, logarithm(with(0)[row]))
	}
	return out, failure
}

// logarithm returns that of a ratio, NaN for one that is not above zero.
func logarithm(ratio float64) float64 {
	if !(ratio > 0) {
		return math.NaN()
	}
	return math.Log(ratio)
}

// read does the experiment of a bench's index on an apparatus and returns read
// over true by row, NaN for failures.
func (b *budgeter) read(ctx context.Context, a instrument.Apparatus, index int) ([]float64, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	var err error
	if b.worker.bench, err = sim.NewBenchForFewRuns(a); err != nil {
		return nil, fmt.Errorf("bench %d, changed: %w", index, err)
	}
	b.find(&b.found[0], b.experiment(2*index))
	ratios := make([]float64, len(b.rows))
	for row, o := range b.found[0].hOverE {
		ratios[row] = math.NaN()
		if answers(o.x) {
			ratios[row] = 1 + o.x
		}
	}
	return ratios, nil
}

// budget says what was found.
func (s Study) budget(groups []Group, found []benchBudget) Budget {
	b := Budget{Benches: len(found)}
	draws := newResamples(len(found), s.Seed)
	var some []int
	for g := range groups {
		if slices.ContainsFunc(found, func(f benchBudget) bool {
			return slices.ContainsFunc(f.shares, func(shares []float64) bool { return shares[g] != 0 })
		}) {
			some = append(some, g)
			b.Groups = append(b.Groups, groups[g])
		}
	}
	for i, line := range s.rows() {
		row := BudgetRow{Method: s.Methods[line.method].Name(), Fit: line.fit, ByHand: line.fit == HandLine}
		var full, reference []float64
		shares := make([][]float64, len(groups))
		for _, f := range found {
			row.Orders += 2
			row.Dropped += 2 - f.kept[i]
			if f.kept[i] == 0 {
				continue
			}
			full, reference = append(full, f.full[i]), append(reference, f.reference[i])
			for g := range groups {
				shares[g] = append(shares[g], f.shares[i][g])
			}
		}
		row.Full, row.Reference = meanOf(full), meanOf(reference)
		for _, g := range some {
			row.Shares = append(row.Shares, meanOf(shares[g]))
		}
		row.Gains = gains(groups, some, found, i, draws)
		row.Loss = row.Gains[0].Loss
		for _, f := range found {
			if !math.IsNaN(f.ratios[0][i]) {
				row.Answers += 1 / float64(len(found))
			}
		}
		b.Rows = append(b.Rows, row)
	}
	return b
}

// Leads returns the rows that come first: of those that a person reads and of
// those by computer the one of the least median error after correction among
// those that answer as often as a study asks for, and where there is none of
// either, the one of the least error of all. These are the benches that
// calibrated it too; a study keeps them apart, and recommends.
func (b Budget) Leads() []int {
	least := func(want func(BudgetRow) bool) []int {
		best := -1
		for i, row := range b.Rows {
			if want(row) && !math.IsNaN(row.Loss) && (best < 0 || row.Loss < b.Rows[best].Loss) {
				best = i
			}
		}
		if best < 0 {
			return nil
		}
		return []int{best}
	}
	often := func(row BudgetRow) bool { return row.Answers >= answerShare-1e-9 }
	leads := append(least(func(row BudgetRow) bool { return row.ByHand && often(row) }),
		least(func(row BudgetRow) bool { return !row.ByHand && often(row) })...)
	if leads == nil {
		return least(func(BudgetRow) bool { return true })
	}
	return leads
}

// gains returns what the changes are worth to a row, the best first.
func gains(groups []Group, some []int, found []benchBudget, row int, draws resamples) []Gain {
	// Ratios by bench, each with one or none.
	of := func(change int) [][]float64 {
		out := make([][]float64, len(found))
		for b, f := range found {
			if x := f.ratios[change][row]; !math.IsNaN(x) {
				out[b] = []float64{x}
			}
		}
		return out
	}
	left := func(ratios [][]float64, f Factor) []float64 {
		out := make([]float64, len(ratios))
		for i, bench := range ratios {
			out[i] = math.NaN()
			if len(bench) > 0 {
				out[i] = lossOf(bench[0], f.Median)
			}
		}
		return out
	}
	full := of(0)
	factor := Calibrate(full)
	before := left(full, factor)
	var all []Gain
	add := func(name string, change int) {
		changed := of(change)
		g := Gain{Change: name, Factor: factor, Changed: Calibrate(changed), Loss: middleOf(before).Value}
		after := left(changed, g.Changed)
		g.Left, g.Gap = middleOf(after).Value, draws.compare(before, after).Gap
		all = append(all, g)
	}
	for _, g := range some {
		add(groups[g].Name, 1+g)
	}
	add(GeometrySwap, 1+len(groups))
	// What is NaN comes last.
	slices.SortStableFunc(all, func(a, b Gain) int { return cmp.Compare(b.Gap.Value, a.Gap.Value) })
	return all
}
