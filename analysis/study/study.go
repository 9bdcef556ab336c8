package study

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"sync"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"stopvolt/analysis"
	"stopvolt/instrument"
	"stopvolt/instrument/population"
	"stopvolt/instrument/run"
	"stopvolt/physics"
	"stopvolt/sim"
)

// BlockSize is the number of replicates that are done together, two at a bench.
// Blocks are told by their index, so that a study may be done in any order and
// in parts.
const (
	BlockSize       = 2 * benchesPerBlock
	benchesPerBlock = 128
)

// waveBlocks is the number of blocks between two looks at the precision. It is
// fixed, so that a study stops at the same replicate on any number of cores.
const waveBlocks = 4

// A Study says what is repeated, and how.
type Study struct {
	// Population are the benches: replicates 2k and 2k+1 are done at bench k of
	// it.
	Population population.Population
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
	// Truth is that about the population's median bench.
	Truth sim.Truth
	// Replicates is the number of experiments that were done, and Benches that
	// of the benches they were done at.
	Replicates, Benches int
	// Rows has one entry for each method and line fit, method by method, of which
	// a joint method has one, whose fit is called joint; and a further one for
	// each method that a person can do, read by a person.
	Rows []Row
	// Ranking orders the rows that qualify to be recommended.
	Ranking []Rank
	// ByHand and ByComputer are what is recommended.
	ByHand, ByComputer Choice
}

// A Row is the performance of one method with one line fit.
type Row struct {
	// Method and Fit are names; ByHand says that a person read the curves.
	Method, Fit string
	ByHand      bool
	// HOverE and WorkFunction are the performance for h/e and for the
	// collector's work function, relative to the truth.
	HOverE, WorkFunction Measures
	// Settings are the performance of the method for the stopping voltage of
	// each setting, in V instead of relative to the truth.
	Settings []SettingRow
	// Correction says how to correct what the row reads.
	Correction Correction
	// Qualifies says that the row answers often enough to be recommended, and
	// Reasons why it is not.
	Qualifies bool
	Reasons   []Reason

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

// benchesOf returns the indices of the first bench of a block and of the one
// after its last.
func (s Study) benchesOf(block int) (first, end int) {
	return block * benchesPerBlock, min((block+1)*benchesPerBlock, s.benchCount())
}

// benchCount returns the number of benches of all parts.
func (s Study) benchCount() int { return (s.Replicates + 1) / 2 }

// sessionsAt returns the number of experiments at a bench: two, or one at the
// last bench of an odd number of replicates.
func (s Study) sessionsAt(bench int) int { return min(2, s.Replicates-2*bench) }

// A line names a row before it has results: the index of its method, and its
// fit.
type line struct {
	method int
	fit    string
}

// rows returns the lines that the methods lead to, method by method: one for
// each fit, or the one that is part of a joint method, in the order of an
// extraction, and then a person's.
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
		if method.Page().ByHand != "" {
			rows = append(rows, line{m, HandLine})
		}
	}
	return rows
}

// check says what is wrong with a study.
func (s Study) check() error {
	switch {
	case s.Replicates < 2:
		return fmt.Errorf("a study of %d replicates has no spread; two are the least", s.Replicates)
	case len(s.lights()) == 0:
		return fmt.Errorf("a study needs a population with a setting of the light")
	case len(s.Methods) == 0 || len(s.Fits) == 0:
		return fmt.Errorf("a study needs a method and a line fit")
	case s.Part.Count != 0 && (s.Part.Index < 1 || s.Part.Index > s.Part.Count):
		return fmt.Errorf("part %d of %d; the first number must be from 1 to the second", s.Part.Index, s.Part.Count)
	case s.Part.Count > 1 && s.Until > 0:
		return fmt.Errorf("a part cannot know when the whole is precise enough; give a number of replicates instead")
	}
	if s.Resume != nil {
		return s.Check(s.Resume)
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
	bench, err := s.onlyBench()
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
	for i := range t.HOverE {
		if e := t.HOverE[i].measures().Bias.Error; e > worst {
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

// worker does experiments one by one, in memory that it keeps.
type worker struct {
	study Study
	rows  []line
	// only is the bench of a population that has one, and bench the one at hand.
	only      *sim.Bench
	bench     *sim.Bench
	truth     sim.Truth
	session   sim.Session
	run       run.Run
	extractor analysis.Extractor
	hand      Hand
	points    []analysis.Point
	// factors are the widths of 95 % intervals by degrees of freedom.
	factors map[int]float64
	// found are the sessions of the bench at hand.
	found [2]findings
}

// findings are what one experiment came to.
type findings struct {
	// hOverE and workFunction are by row, and lost the settings left out.
	hOverE, workFunction []outcome
	lost                 []int
	// stopping is by method and setting.
	stopping [][]outcome
	seen     Observables
}

// worker returns a worker at the bench of all replicates, or at none where each
// pair has its own.
func (s Study) worker(b *sim.Bench) *worker {
	w := &worker{
		study: s, rows: s.rows(), only: b, truth: sim.TruthOf(s.Population.Median()),
		extractor: analysis.Extractor{Methods: s.Methods, Fits: s.Fits},
		factors:   make(map[int]float64),
	}
	for i := range w.found {
		f := &w.found[i]
		f.hOverE, f.workFunction, f.lost = make([]outcome, len(w.rows)), make([]outcome, len(w.rows)), make([]int, len(w.rows))
		for range s.Methods {
			f.stopping = append(f.stopping, make([]outcome, len(s.lights())))
		}
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

// block does the experiments of one block.
func (w *worker) block(ctx context.Context, index int) (*Tally, error) {
	t := w.study.newTally()
	t.Blocks = blockSet{{index, index}}
	first, end := w.study.benchesOf(index)
	var record []byte
	for b := first; b < end; b++ {
		if err := w.stand(b); err != nil {
			return nil, err
		}
		sessions := w.study.sessionsAt(b)
		for i := range sessions {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			w.find(&w.found[i], w.experiment(2*b+i))
			if w.study.Done != nil {
				w.study.Done()
			}
			if index < recordBlocks {
				record = appendRecord(record, &w.found[i])
			}
		}
		t.add(w.found[:sessions])
	}
	if index < recordBlocks {
		t.Records[index] = record
	}
	return t, nil
}

// onlyBench returns the bench of a population that has one only, made ready for
// many experiments, and else nil.
func (s Study) onlyBench() (*sim.Bench, error) {
	if !s.Population.Fixed() {
		return nil, nil
	}
	return sim.NewBench(s.Population.Median(), physics.Quadrature{})
}

// lights returns the settings of the light, of which all benches have the same.
func (s Study) lights() []instrument.Light { return s.Population.Median().Lights }

// stand goes to the bench of an index.
func (w *worker) stand(bench int) error {
	s := &w.study
	if w.only != nil {
		w.bench = w.only.WithVoltages(sim.DrawPhase(s.Population.Median(), s.Seed, bench).Plan)
		return nil
	}
	a, _, err := sim.DrawBench(s.Population, s.Seed, bench)
	if err != nil {
		return err
	}
	if len(a.Lights) != len(w.truth.Stopping) {
		return fmt.Errorf("bench %d has %d settings of the light, and others have %d", bench, len(a.Lights), len(w.truth.Stopping))
	}
	if w.bench, err = sim.NewBenchForFewRuns(sim.DrawPhase(a, s.Seed, bench)); err != nil {
		return fmt.Errorf("bench %d: %w", bench, err)
	}
	w.truth = sim.TruthOf(a)
	return nil
}

// experiment does one experiment and reads it.
func (w *worker) experiment(index int) analysis.Extraction {
	w.session.Open(w.bench, w.study.Seed, index)
	w.session.Acquire(&w.run)
	w.hand.draw(w.study.Seed, index)
	lit, _ := analysis.WithoutDark(w.run)
	return w.extractor.Extract(lit)
}

// find compares what was read with the truth.
func (w *worker) find(f *findings, x analysis.Extraction) {
	computed := x.Lines
	for row, line := range w.rows {
		if line.fit == HandLine {
			w.points, f.lost[row] = w.hand.read(w.points, w.study.Methods[line.method], x.Settings)
			drawn, err := analysis.Ordinary{}.Fit(w.points)
			w.judge(f, row, drawn, err == nil)
			continue
		}
		w.judge(f, row, computed[0].Line, computed[0].Status == analysis.OK)
		f.lost[row] = len(computed[0].LeftOut)
		computed = computed[1:]
	}
	f.seen = Observe(x.Settings)
	light := 0
	for _, setting := range x.Settings {
		if setting.Wavelength == 0 {
			// A dark curve has no cutoff to be right or wrong.
			continue
		}
		for m, c := range setting.Cutoffs {
			f.stopping[m][light] = newOutcome(Estimate{c.Stopping, c.U, normalFactor}, w.truth.Stopping[light], 1)
		}
		light++
	}
}

// judge compares a line, if it is one, with the truth.
func (w *worker) judge(f *findings, row int, line analysis.Line, ok bool) {
	if !ok {
		f.hOverE[row], f.workFunction[row] = failed, failed
		return
	}
	factor := w.factor(line.DegreesOfFreedom)
	phi, u := line.WorkFunction()
	t := &w.truth
	f.hOverE[row] = newOutcome(Estimate{line.Slope, line.USlope, factor}, t.HOverE, t.HOverE)
	f.workFunction[row] = newOutcome(Estimate{phi, u, factor}, t.CollectorWorkFunction, t.CollectorWorkFunction)
}

// add counts what the experiments at one bench came to.
func (t *Tally) add(bench []findings) {
	var pair [2]outcome
	each := func(to *tally, of func(*findings) outcome) {
		for i := range bench {
			pair[i] = of(&bench[i])
		}
		to.add(pair[:len(bench)])
	}
	for row := range t.HOverE {
		each(&t.HOverE[row], func(f *findings) outcome { return f.hOverE[row] })
		each(&t.WorkFunction[row], func(f *findings) outcome { return f.workFunction[row] })
	}
	for m := range t.Stopping {
		for s := range t.Stopping[m] {
			each(&t.Stopping[m][s], func(f *findings) outcome { return f.stopping[m][s] })
		}
	}
}

// normalFactor is the half-width of a normal 95 % interval in standard
// deviations. A cutoff comes without a number of degrees of freedom.
const normalFactor = 1.959963984540054

// Result says what a tally of the study shows.
func (s Study) Result(t *Tally) Result {
	r := Result{Truth: sim.TruthOf(s.Population.Median()), Replicates: t.Replicates(), Benches: int(t.HOverE[0].Benches)}
	settings := make([][]SettingRow, len(s.Methods))
	for m := range s.Methods {
		for i, light := range s.lights() {
			settings[m] = append(settings[m], SettingRow{light.Name, t.Stopping[m][i].measures()})
		}
	}
	for i, row := range s.rows() {
		r.Rows = append(r.Rows, Row{
			Method: s.Methods[row.method].Name(), Fit: row.fit, ByHand: row.fit == HandLine,
			HOverE: t.HOverE[i].measures(), WorkFunction: t.WorkFunction[i].measures(), Settings: settings[row.method],
			method: row.method,
		})
	}
	r.judge(t.benches(s), s)
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
