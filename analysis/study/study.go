package study

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"stopvolt/analysis"
	"stopvolt/instrument"
	"stopvolt/instrument/run"
	"stopvolt/physics"
	"stopvolt/sim"
)

// BlockSize is the number of replicates that are done together. Blocks are told
// by the absolute index of their first replicate, so that a study may be done
// in any order.
const BlockSize = 256

// A Study says what is repeated, and how.
type Study struct {
	// Apparatus is that of the scenario.
	Apparatus instrument.Apparatus
	// Methods are the ways of reading the cutoff, and Fits those of putting a
	// line through the stopping voltages.
	Methods []analysis.Method
	Fits    []analysis.LineFit
	// Replicates is the number of experiments, at least two.
	Replicates int
	// Seed names the random streams.
	Seed uint64
	// Done, where not nil, is told after each replicate; it may be called from
	// several goroutines.
	Done func()
}

// A Result is what a study found.
type Result struct {
	// Truth is what every replicate should have found.
	Truth sim.Truth
	// Rows has one entry for each method and line fit, method by method.
	Rows []Row
	// Recommendation is drawn from the rows.
	Recommendation Recommendation
}

// A Row is the performance of one method with one line fit.
type Row struct {
	// Method and Fit are names; ByHand says that a person can do the method.
	Method, Fit string
	ByHand      bool
	// HOverE and WorkFunction are the performance for h/e and for the
	// collector's work function, relative to the truth.
	HOverE, WorkFunction Measures
	// Settings are the performance for the stopping voltage of each setting.
	Settings []SettingRow

	estimates []Estimate
}

// A SettingRow is the performance of one method for one setting of the light.
type SettingRow struct {
	// Name is that of the setting.
	Name string
	// Dropouts is the number of replicates in which the method had no cutoff.
	Dropouts int
	// Bias is the mean error of the stopping voltage and SD its standard
	// deviation over the replicates, both in V.
	Bias, SD Measure
}

// block is what one block of replicates gave.
type block struct {
	// hOverE and workFunction are indexed by row and replicate, stopping by
	// method, setting and replicate; there are NaN for failures.
	hOverE, workFunction [][]Estimate
	stopping             [][][]float64
}

// Run does the study on all cores. Its result depends on nothing but the Study.
// It stops early with the context's error.
func (s Study) Run(ctx context.Context) (Result, error) {
	if s.Replicates < 2 {
		return Result{}, fmt.Errorf("a study of %d replicates has no spread; two are the least", s.Replicates)
	}
	bench, err := sim.NewBench(s.Apparatus, physics.Closed{})
	if err != nil {
		return Result{}, err
	}
	blocks := make([]block, (s.Replicates+BlockSize-1)/BlockSize)
	var next atomic.Int64
	group, ctx := errgroup.WithContext(ctx)
	for range min(runtime.GOMAXPROCS(0), len(blocks)) {
		group.Go(func() error {
			w := s.worker(bench)
			for i := int(next.Add(1) - 1); i < len(blocks); i = int(next.Add(1) - 1) {
				first := i * BlockSize
				blocks[i] = s.newBlock(min(BlockSize, s.Replicates-first))
				if err := w.fill(ctx, &blocks[i], first); err != nil {
					return err
				}
			}
			return nil
		})
	}
	if err := group.Wait(); err != nil {
		return Result{}, err
	}
	return s.result(blocks), nil
}

// newBlock returns a block of n replicates.
func (s Study) newBlock(n int) block {
	var b block
	for range s.Methods {
		stopping := make([][]float64, len(s.Apparatus.Lights))
		for i := range stopping {
			stopping[i] = make([]float64, n)
		}
		b.stopping = append(b.stopping, stopping)
		for range s.Fits {
			b.hOverE = append(b.hOverE, make([]Estimate, n))
			b.workFunction = append(b.workFunction, make([]Estimate, n))
		}
	}
	return b
}

// worker does replicates one by one, in memory that it keeps.
type worker struct {
	study     Study
	bench     *sim.Bench
	session   sim.Session
	run       run.Run
	extractor analysis.Extractor
	// factors are the widths of 95 % intervals by degrees of freedom.
	factors []float64
}

// worker returns a worker at a bench.
func (s Study) worker(b *sim.Bench) *worker {
	w := &worker{study: s, bench: b, extractor: analysis.Extractor{Methods: s.Methods, Fits: s.Fits}}
	for freedom := range len(s.Apparatus.Lights) {
		w.factors = append(w.factors, analysis.Coverage(freedom, 0.95))
	}
	return w
}

// fill does the replicates of a block from an absolute index on.
func (w *worker) fill(ctx context.Context, b *block, first int) error {
	for i := range b.hOverE[0] {
		if err := ctx.Err(); err != nil {
			return err
		}
		w.session.Open(w.bench, w.study.Seed, first+i)
		w.session.Acquire(&w.run)
		x := w.extractor.Extract(w.run)
		for row, line := range x.Lines {
			b.hOverE[row][i], b.workFunction[row][i] = w.estimates(line)
		}
		light := 0
		for _, setting := range x.Settings {
			if setting.Wavelength == 0 {
				// A dark curve has no cutoff to be right or wrong.
				continue
			}
			for m, c := range setting.Cutoffs {
				b.stopping[m][light][i] = c.Stopping
			}
			light++
		}
		if w.study.Done != nil {
			w.study.Done()
		}
	}
	return nil
}

// failure is the estimate of a replicate without an answer.
var failure = Estimate{math.NaN(), math.NaN(), math.NaN()}

// estimates returns those of h/e and of the collector's work function.
func (w *worker) estimates(line analysis.MethodLine) (hOverE, workFunction Estimate) {
	if line.Status != analysis.OK {
		return failure, failure
	}
	factor := w.factors[line.Line.DegreesOfFreedom]
	phi, u := line.Line.WorkFunction()
	return Estimate{line.Line.Slope, line.Line.USlope, factor}, Estimate{phi, u, factor}
}

// result puts the blocks together in the order of their replicates.
func (s Study) result(blocks []block) Result {
	r := Result{Truth: sim.TruthOf(s.Apparatus)}
	for m, method := range s.Methods {
		settings := s.settings(blocks, m, r.Truth)
		for f, fit := range s.Fits {
			i := m*len(s.Fits) + f
			row := Row{Method: method.Name(), Fit: fit.Name(), ByHand: method.Page().ByHand != "", Settings: settings}
			var phi []Estimate
			for _, b := range blocks {
				row.estimates = append(row.estimates, b.hOverE[i]...)
				phi = append(phi, b.workFunction[i]...)
			}
			row.HOverE = Summarise(row.estimates, r.Truth.HOverE)
			row.WorkFunction = Summarise(phi, r.Truth.CollectorWorkFunction)
			r.Rows = append(r.Rows, row)
		}
	}
	r.Recommendation = recommend(r.Rows, r.Truth.HOverE)
	return r
}

// settings returns the performance of a method for each setting.
func (s Study) settings(blocks []block, method int, truth sim.Truth) []SettingRow {
	var rows []SettingRow
	for i, light := range s.Apparatus.Lights {
		row := SettingRow{Name: light.Name}
		var estimates []Estimate
		for _, b := range blocks {
			for _, v := range b.stopping[method][i] {
				// The error of the estimate, plus one, is measured against a
				// truth of one, since a stopping voltage may be zero.
				estimates = append(estimates, Estimate{Value: 1 + v - truth.Stopping[i]})
			}
		}
		m := Summarise(estimates, 1)
		row.Dropouts, row.Bias, row.SD = m.Failures, m.Bias, m.EmpiricalSE
		rows = append(rows, row)
	}
	return rows
}
