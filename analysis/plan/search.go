package plan

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"stopvolt/analysis"
	"stopvolt/instrument/population"
	"stopvolt/instrument/run"
	"stopvolt/sim"
)

// A Search looks for the best way to spend a time.
type Search struct {
	// Population is that of the benches.
	Population population.Population
	// Method reads the cutoffs and Fit puts the line.
	Method analysis.Method
	Fit    analysis.LineFit
	// Seconds is the time that there is, and Hand the time in s that turning the dial
	// and writing down take at each voltage.
	Seconds, Hand float64
	// Seed names the random streams; equal benches have equal noise under every
	// candidate.
	Seed uint64
	// Benches is the number on which candidates are compared, and Judges that of others
	// on which the chosen one is. Both are eight or more.
	Benches, Judges int
	// Done, where not nil, is told after each bench; it may be called from several
	// goroutines.
	Done func()
}

// mostError is what an error counts at the most, relative to h/e, and what no answer
// counts.
const mostError = 0.3

// A Loss is what a candidate does on some benches.
type Loss struct {
	// Error is the mean over the benches of the error of h/e, relative to it, that is
	// left after the median of all has been corrected for; none counts more than 30 %.
	Error float64
	// Width is the half-width of the interval about the corrected value that holds two
	// thirds of the benches, relative to h/e; infinite where fewer have an answer.
	Width float64
	// Answers is the share of the benches with an answer.
	Answers float64

	errors []float64
}

// A Tried is a candidate with what it does.
type Tried struct {
	Candidate Candidate
	// Minutes is the mean time that it takes.
	Minutes float64
	Loss    Loss
}

// A Result is what a search found. Its losses are on benches that had no part in the
// choice.
type Result struct {
	// Best is the best candidate, and Equal the best of those with equal steps.
	Best, Equal Tried
	// Ratio is the error of Best over that of Equal, and Low and High are the ends of
	// its 95 % interval, by a bootstrap over the benches.
	Ratio, Low, High float64
	// Candidates is the number that were compared.
	Candidates int
}

// Better reports whether the best candidate is told apart from equal steps.
func (r Result) Better() bool { return r.High < 1 }

// check says what is wrong with a search.
func (s Search) check() error {
	switch {
	case s.Method == nil || s.Fit == nil:
		return errors.New("a search needs a method and a line fit")
	case s.Benches < 8 || s.Judges < 8:
		return fmt.Errorf("%d benches to compare on and %d to judge by; eight of each are the least", s.Benches, s.Judges)
	case !(s.Seconds > 0) || math.IsInf(s.Seconds, 0) || !(s.Hand >= 0):
		return fmt.Errorf("a time of %g s and a hand that needs %g s; the one must be above zero and the other not below", s.Seconds, s.Hand)
	}
	return nil
}

// Run compares the candidates that the time allows on benches of the population,
// halving their number as the number of benches doubles, and judges the best one on
// others.
func (s Search) Run(ctx context.Context) (Result, error) {
	if err := s.check(); err != nil {
		return Result{}, err
	}
	field, err := s.candidates()
	if err != nil {
		return Result{}, err
	}
	count := len(field)
	for i, benches := range s.rounds() {
		if i > 0 {
			field = survivors(field)
		}
		if err := s.try(ctx, field, 0, benches); err != nil {
			return Result{}, err
		}
		slices.SortStableFunc(field, func(a, b Tried) int { return cmp.Compare(a.Loss.Error, b.Loss.Error) })
	}
	best := field[0]
	equal := field[slices.IndexFunc(field, func(t Tried) bool { return t.Candidate.EqualSteps() })]
	judged := []Tried{best, equal}
	if err := s.try(ctx, judged, s.Benches, s.Judges); err != nil {
		return Result{}, err
	}
	r := Result{Best: judged[0], Equal: judged[1], Candidates: count}
	r.Ratio, r.Low, r.High = s.compare(r.Best.Loss, r.Equal.Loss)
	return r, nil
}

// rounds returns the number of benches of each round of the comparison: an eighth of
// them at first, then twice as many each time.
func (s Search) rounds() []int {
	var all []int
	for benches := max(s.Benches/8, 8); benches < s.Benches; benches *= 2 {
		all = append(all, benches)
	}
	return append(all, s.Benches)
}

// Total returns how often Run tells Done.
func (s Search) Total() int {
	total := s.Judges
	for _, benches := range s.rounds() {
		total += benches
	}
	return total
}

// survivors returns the better half of sorted candidates, with the best of equal steps
// among them whatever its place.
func survivors(field []Tried) []Tried {
	kept := field[:max(len(field)/2, 2)]
	if !slices.ContainsFunc(kept, func(t Tried) bool { return t.Candidate.EqualSteps() }) {
		i := slices.IndexFunc(field, func(t Tried) bool { return t.Candidate.EqualSteps() })
		kept = append(slices.Clone(kept), field[i])
	}
	return kept
}

// try fills the losses of candidates on so many benches from the first.
func (s Search) try(ctx context.Context, field []Tried, first, benches int) error {
	var next atomic.Int64
	group, ctx := errgroup.WithContext(ctx)
	reads := make([][]float64, len(field))
	for i := range field {
		reads[i] = make([]float64, benches)
	}
	for range min(runtime.GOMAXPROCS(0), benches) {
		group.Go(func() error {
			w := worker{search: s, extractor: analysis.Extractor{Methods: []analysis.Method{s.Method}, Fits: []analysis.LineFit{s.Fit}}}
			for k := int(next.Add(1) - 1); k < benches; k = int(next.Add(1) - 1) {
				for i, t := range field {
					if err := ctx.Err(); err != nil {
						return err
					}
					x, err := w.read(t.Candidate, first+k)
					if err != nil {
						return err
					}
					reads[i][k] = x
				}
				if s.Done != nil {
					s.Done()
				}
			}
			return nil
		})
	}
	if err := group.Wait(); err != nil {
		return err
	}
	for i := range field {
		field[i].Loss = loss(reads[i])
	}
	return nil
}

// A worker takes runs and reads them, in memory that it keeps.
type worker struct {
	search    Search
	session   sim.Session
	run       run.Run
	extractor analysis.Extractor
}

// read returns the logarithm of read over true h/e that a candidate gives at a bench,
// NaN for no answer.
func (w *worker) read(c Candidate, bench int) (float64, error) {
	s := w.search
	a, _, err := sim.DrawBench(s.Population, s.Seed, bench)
	if err != nil {
		return 0, err
	}
	truth := a.World.HOverE
	a = sim.DrawPhase(c.Apply(a, s.Hand), s.Seed, bench)
	b, err := sim.NewBenchForFewRuns(a)
	if err != nil {
		return 0, fmt.Errorf("bench %d: %w", bench, err)
	}
	w.session.Open(b, s.Seed, bench)
	w.session.Acquire(&w.run)
	lit, _ := analysis.WithoutDark(w.run)
	line := w.extractor.Extract(lit).Lines[0]
	if line.Status != analysis.OK || !(line.Line.Slope > 0) {
		return math.NaN(), nil
	}
	return math.Log(line.Line.Slope / truth), nil
}

// loss returns what logarithms of read over true mean.
func loss(reads []float64) Loss {
	l := Loss{errors: make([]float64, len(reads)), Width: math.Inf(1)}
	answers := slices.DeleteFunc(slices.Sorted(slices.Values(reads)), math.IsNaN)
	l.Answers = float64(len(answers)) / float64(len(reads))
	middle := math.NaN()
	if n := len(answers); n > 0 {
		middle = (answers[(n-1)/2] + answers[n/2]) / 2
	}
	var sizes []float64
	for i, x := range reads {
		size := math.Abs(math.Expm1(x - middle))
		if math.IsNaN(size) {
			size = math.Inf(1)
		}
		sizes = append(sizes, size)
		l.errors[i] = min(size, mostError)
		l.Error += l.errors[i] / float64(len(reads))
	}
	slices.Sort(sizes)
	if n := len(sizes); n > 0 {
		l.Width = sizes[min((2*n+2)/3, n)-1]
	}
	return l
}

// draws is the number of resamplings of a comparison.
const draws = 2000

// compare returns the ratio of two losses on the same benches, with its 95 % interval.
func (s Search) compare(a, b Loss) (ratio, low, high float64) {
	n := len(a.errors)
	src := sim.NewStream(sim.StreamName{Seed: s.Seed, Purpose: "plan comparison"})
	ratios := make([]float64, 0, draws)
	for range draws {
		var x, y float64
		for range n {
			k := int(src.Uint64() % uint64(n))
			x += a.errors[k]
			y += b.errors[k]
		}
		ratios = append(ratios, over(x, y))
	}
	slices.Sort(ratios)
	return over(a.Error, b.Error), ratios[draws/40], ratios[draws-1-draws/40]
}

// over returns x over y, one where both are zero.
func over(x, y float64) float64 {
	if x == y {
		return 1
	}
	return x / y
}
