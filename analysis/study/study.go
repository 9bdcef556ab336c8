package study

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"stopvolt/analysis"
	"stopvolt/instrument"
	"stopvolt/instrument/run"
	"stopvolt/physics"
	"stopvolt/sim"
)

// BlockSize is the number of replicates that are done together. Blocks are told
// by their index, so that a study may be done in any order and in parts.
const BlockSize = 256

// waveBlocks is the number of blocks between two looks at the precision. It is
// fixed, so that a study stops at the same replicate on any number of cores.
const waveBlocks = 4

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
	// Part is the share of the blocks that is done here; the zero Part is all
	// of them.
	Part Part
	// AllCells asks for the slow variations too when a method is recommended.
	AllCells bool
	// Until, where above zero, ends the study when the Monte Carlo standard
	// error of every bias of h/e, relative to h/e, is below it. Replicates is
	// then the most there may be. It does not go with a Part.
	Until float64

	// Resume, where not nil, is the tally of blocks that have been done; it is
	// added to.
	Resume *Tally
	// Save, where not nil, is called after each block with the tally so far,
	// never by two goroutines at a time, and with last when there is nothing
	// more to come.
	Save func(t *Tally, last bool) error
	// Done, where not nil, is told after each replicate; it may be called from
	// several goroutines.
	Done func()
}

// A Part is share Index of Count, counted from one.
type Part struct {
	Index, Count int
}

// has reports whether a block belongs to the part.
func (p Part) has(block int) bool { return p.Count == 0 || block%p.Count == p.Index-1 }

// A Result is what a study found.
type Result struct {
	// Truth is what every replicate should have found.
	Truth sim.Truth
	// Replicates is the number of experiments that were done.
	Replicates int
	// Rows has one entry for each method and line fit, method by method; a
	// joint method has one, whose fit is called joint.
	Rows []Row
	// Ranking orders the rows.
	Ranking []Rank
}

// A Row is the performance of one method with one line fit.
type Row struct {
	// Method and Fit are names; ByHand says that a person can do the method.
	Method, Fit string
	ByHand      bool
	// HOverE and WorkFunction are the performance for h/e and for the
	// collector's work function, relative to the truth.
	HOverE, WorkFunction Measures
	// Settings are the performance for the stopping voltage of each setting,
	// in V instead of relative to the truth.
	Settings []SettingRow

	method int
}

// A SettingRow is the performance of one method for one setting of the light.
type SettingRow struct {
	// Name is that of the setting.
	Name string
	// Stopping is the performance for its stopping voltage, in V; failures are
	// the replicates in which the setting dropped out.
	Stopping Measures
}

// blockCount returns the number of blocks of all parts.
func (s Study) blockCount() int { return (s.Replicates + BlockSize - 1) / BlockSize }

// A line names a row before it has results: the index of its method, and its
// fit.
type line struct {
	method int
	fit    string
}

// rows returns the lines that the methods lead to, in the order of an
// extraction: one for each fit, or the one that is part of a joint method.
func (s Study) rows() []line {
	var rows []line
	for m, method := range s.Methods {
		if _, ok := method.(analysis.Joint); ok {
			rows = append(rows, line{m, analysis.JointLine})
			continue
		}
		for _, fit := range s.Fits {
			rows = append(rows, line{m, fit.Name()})
		}
	}
	return rows
}

// check says what is wrong with a study.
func (s Study) check() error {
	switch {
	case s.Replicates < 2:
		return fmt.Errorf("a study of %d replicates has no spread; two are the least", s.Replicates)
	case len(s.Methods) == 0 || len(s.Fits) == 0:
		return fmt.Errorf("a study needs a method and a line fit")
	case s.Part.Count != 0 && (s.Part.Index < 1 || s.Part.Index > s.Part.Count):
		return fmt.Errorf("part %d of %d; the first number must be from 1 to the second", s.Part.Index, s.Part.Count)
	case s.Part.Count > 1 && s.Until > 0:
		return fmt.Errorf("a part cannot know when the whole is precise enough; give a number of replicates instead")
	}
	if s.Resume != nil {
		return s.Resume.fits(s)
	}
	return nil
}

// Run does the study, or its part, on all cores, and returns its tally. That
// depends on nothing but the Study, whatever was resumed. When the context is
// done, Run saves the finished blocks and returns the context's error.
func (s Study) Run(ctx context.Context) (*Tally, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	bench, err := sim.NewBench(s.Apparatus, physics.Quadrature{})
	if err != nil {
		return nil, err
	}
	c := collector{tally: s.newTally(), save: s.Save}
	if s.Resume != nil {
		c.tally = s.Resume
	}
	wave := s.blockCount()
	if s.Until > 0 {
		wave = waveBlocks
	}
	for first := 0; first < s.blockCount(); first += wave {
		if err := s.wave(ctx, bench, &c, first, min(first+wave, s.blockCount())); err != nil {
			if !errors.Is(err, context.Canceled) {
				return nil, err
			}
			// What is done when the user stops is kept.
			return nil, errors.Join(err, c.finish())
		}
		if s.Until > 0 && s.Precise(c.tally) {
			break
		}
	}
	return c.tally, c.finish()
}

// precision returns the largest Monte Carlo standard error of a bias of h/e,
// over rows that have more than one answer, relative to h/e.
func (t *Tally) precision() float64 {
	var worst float64
	for i := range t.Halves[0].HOverE {
		if e := t.row(i).measures().Bias.Error; e > worst {
			worst = e
		}
	}
	return worst
}

// collector gathers blocks from several goroutines.
type collector struct {
	mutex sync.Mutex
	tally *Tally
	save  func(t *Tally, last bool) error
}

// add merges a block.
func (c *collector) add(block *Tally) error {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	if err := c.tally.Merge(block); err != nil {
		return err
	}
	if c.save == nil {
		return nil
	}
	return c.save(c.tally, false)
}

// finish saves what there is at the end.
func (c *collector) finish() error {
	if c.save == nil {
		return nil
	}
	return c.save(c.tally, true)
}

// wave does those blocks of the part from first to before end that are not done.
func (s Study) wave(ctx context.Context, bench *sim.Bench, c *collector, first, end int) error {
	var todo []int
	for b := first; b < end; b++ {
		if s.Part.has(b) && !c.tally.Blocks.has(b) {
			todo = append(todo, b)
		}
	}
	var next atomic.Int64
	group, ctx := errgroup.WithContext(ctx)
	for range min(runtime.GOMAXPROCS(0), len(todo)) {
		group.Go(func() error {
			w := s.worker(bench)
			for i := int(next.Add(1) - 1); i < len(todo); i = int(next.Add(1) - 1) {
				block, err := w.block(ctx, todo[i])
				if err != nil {
					return err
				}
				if err := c.add(block); err != nil {
					return err
				}
			}
			return nil
		})
	}
	return group.Wait()
}

// worker does replicates one by one, in memory that it keeps.
type worker struct {
	study     Study
	bench     *sim.Bench
	truth     sim.Truth
	session   sim.Session
	run       run.Run
	extractor analysis.Extractor
	// factors are the widths of 95 % intervals by degrees of freedom.
	factors map[int]float64
	// errors are those of h/e by row in the replicate at hand.
	errors []float64
}

// worker returns a worker at a bench.
func (s Study) worker(b *sim.Bench) *worker {
	w := &worker{
		study:     s,
		bench:     b,
		truth:     sim.TruthOf(s.Apparatus),
		extractor: analysis.Extractor{Methods: s.Methods, Fits: s.Fits},
		factors:   make(map[int]float64),
		errors:    make([]float64, len(s.rows())),
	}
	return w
}

// factor returns the number of standard uncertainties on either side that make
// a 95 % interval. Finding one takes longer than an experiment.
func (w *worker) factor(degreesOfFreedom int) float64 {
	f, ok := w.factors[degreesOfFreedom]
	if !ok {
		f = analysis.Coverage(degreesOfFreedom, 0.95)
		w.factors[degreesOfFreedom] = f
	}
	return f
}

// block does the replicates of one block.
func (w *worker) block(ctx context.Context, index int) (*Tally, error) {
	t := w.study.newTally()
	t.Blocks = blockSet{{index, index}}
	for i := index * BlockSize; i < min((index+1)*BlockSize, w.study.Replicates); i++ {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		w.replicate(&t.Halves[i%2], i)
		if w.study.Done != nil {
			w.study.Done()
		}
	}
	return t, nil
}

// experiment does one experiment and reads it.
func (w *worker) experiment(index int) analysis.Extraction {
	w.session.Open(w.bench, w.study.Seed, index)
	w.session.Acquire(&w.run)
	lit, _ := analysis.WithoutDark(w.run)
	return w.extractor.Extract(lit)
}

// replicate does one experiment and counts its outcome.
func (w *worker) replicate(h *half, index int) {
	x := w.experiment(index)
	for row, line := range x.Lines {
		hOverE, phi := w.estimates(line)
		w.errors[row] = h.HOverE[row].add(hOverE, w.truth.HOverE, w.truth.HOverE)
		h.WorkFunction[row].add(phi, w.truth.CollectorWorkFunction, w.truth.CollectorWorkFunction)
	}
	rows := len(w.errors)
	for i, x := range w.errors {
		for j := i + 1; j < rows; j++ {
			h.Pairs[i*rows+j].add(x*x - w.errors[j]*w.errors[j])
		}
	}
	light := 0
	for _, setting := range x.Settings {
		if setting.Wavelength == 0 {
			// A dark curve has no cutoff to be right or wrong.
			continue
		}
		for m, c := range setting.Cutoffs {
			h.Stopping[m][light].add(Estimate{c.Stopping, c.U, normalFactor}, w.truth.Stopping[light], 1)
		}
		light++
	}
}

// normalFactor is the half-width of a normal 95 % interval in standard
// deviations. A cutoff comes without a number of degrees of freedom.
const normalFactor = 1.959963984540054

// failure is the estimate of a replicate without an answer.
var failure = Estimate{math.NaN(), math.NaN(), math.NaN()}

// estimates returns those of h/e and of the collector's work function.
func (w *worker) estimates(line analysis.MethodLine) (hOverE, workFunction Estimate) {
	if line.Status != analysis.OK {
		return failure, failure
	}
	factor := w.factor(line.Line.DegreesOfFreedom)
	phi, u := line.Line.WorkFunction()
	return Estimate{line.Line.Slope, line.Line.USlope, factor}, Estimate{phi, u, factor}
}

// Result says what a tally of the study shows.
func (s Study) Result(t *Tally) Result {
	r := Result{Truth: sim.TruthOf(s.Apparatus), Replicates: t.Replicates()}
	settings := make([][]SettingRow, len(s.Methods))
	for m := range s.Methods {
		for i, light := range s.Apparatus.Lights {
			all := t.whole(func(h half) tally { return h.Stopping[m][i] })
			settings[m] = append(settings[m], SettingRow{light.Name, all.measures()})
		}
	}
	for i, row := range s.rows() {
		phi := t.whole(func(h half) tally { return h.WorkFunction[i] })
		method := s.Methods[row.method]
		r.Rows = append(r.Rows, Row{
			Method: method.Name(), Fit: row.fit, ByHand: method.Page().ByHand != "",
			HOverE: t.row(i).measures(), WorkFunction: phi.measures(), Settings: settings[row.method],
			method: row.method,
		})
	}
	r.Ranking = t.rank(r.Rows)
	return r
}

// Precise reports whether a tally is as precise as Until asks.
func (s Study) Precise(t *Tally) bool { return t.precision() < s.Until }

// Complete says which block a tally lacks to be that of the whole study.
func (s Study) Complete(t *Tally) error {
	for b := range s.blockCount() {
		if !t.Blocks.has(b) {
			return fmt.Errorf("block %d of %d is missing", b+1, s.blockCount())
		}
	}
	if n := t.Replicates(); n != s.Replicates {
		return fmt.Errorf("they hold %d replicates, and the study has %d", n, s.Replicates)
	}
	return nil
}
