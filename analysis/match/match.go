package match

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strconv"
	"strings"

	"golang.org/x/sync/errgroup"

	"stopvolt/analysis"
	"stopvolt/instrument"
	"stopvolt/instrument/population"
	"stopvolt/instrument/run"
	"stopvolt/physics"
)

// A Match is what is to be done.
type Match struct {
	// Run is the measured one.
	Run run.Run
	// Population is that of the benches.
	Population population.Population
	// Seed makes the same numbers again.
	Seed uint64
	// Train, Calibrate and Elsewhere are the numbers of benches to learn from, to
	// calibrate by, and of each other population; 0 stands for the usual ones.
	Train, Calibrate, Elsewhere int
	// Low and High are the ends of the prior in V s; 0 stands for PriorLow and
	// PriorHigh.
	Low, High float64
	// Done is called after each bench, from any goroutine; it may be nil.
	Done func()
}

const (
	usualTrain     = 5000
	usualCalibrate = 2500
	usualElsewhere = 600
)

// settled returns the match with its usual numbers.
func (m Match) settled() Match {
	set := func(n *int, usual int) {
		if *n == 0 {
			*n = usual
		}
	}
	set(&m.Train, usualTrain)
	set(&m.Calibrate, usualCalibrate)
	set(&m.Elsewhere, usualElsewhere)
	if m.Low == 0 {
		m.Low, m.High = PriorLow, PriorHigh
	}
	return m
}

// Benches returns the number of benches that will be swept.
func (m Match) Benches() int {
	m = m.settled()
	return m.Train + m.Calibrate + len(elsewhere(m.Population))*m.Elsewhere
}

// A Result is what a match says of a run.
type Result struct {
	// Accepted says whether there is an answer; Reason says why not.
	Accepted bool
	Reason   string
	// HOverE, Low and High are in V s; they are the ones found also where the
	// answer is refused.
	HOverE, Low, High float64
	// WorkFunction is the collector's in eV.
	WorkFunction float64
	// RawMethod and Raw are the answer as read, by the weighted line.
	RawMethod string
	Raw       float64
	// Second is the answer of the local linear regression in V s.
	Second float64
	Unlike Unlike
	// Elsewhere has the populations that differ from the one used.
	Elsewhere []Elsewhere
	// Parameters say what the run tells of the bench.
	Parameters []Parameter
	// Alike are pairs of keys that the run cannot tell apart.
	Alike []Pair
	// Near are the benches nearest to the run, with their weights: rows of the
	// population's variables.
	Near    [][]float64
	Weights []float64
	// Remarks say what was left out or widened.
	Remarks []string
	// Band has for each line the voltages in V, the run's current over that near
	// 0 V, and the ends of the band of simulated ones, where this is like the run.
	Band []Band
	// Cloud has predicted and true log(true/raw) of benches that had no part in
	// the learning.
	Cloud []Point
	// Benches is the number of benches swept.
	Benches int
}

// Unlike says how unlike the population a run is.
type Unlike struct {
	// CurvesP and LinesP are p values by Holm's rule, NaN for a test that was not
	// done: of the distance of the curves from the simulated band, and of the
	// largest shift on leaving out a line.
	CurvesP, LinesP float64
	// Line is the name of the line that matters most, and Feature what of it is
	// farthest from the band, Off by so many deviations.
	Line, Feature string
	Off           float64
	// Shift is that of h/e, relative to it, on leaving Line out.
	Shift float64
}

// Elsewhere is how the interval does in another population.
type Elsewhere struct {
	// Name says what differs.
	Name string
	// Coverage is the share of its benches whose truth the interval held before
	// it was widened for them.
	Coverage float64
}

// A Parameter is a number of the bench before and after the match.
type Parameter struct {
	Key, Unit string
	// BeforeLow to AfterHigh are ends of 95 % ranges.
	BeforeLow, BeforeHigh, AfterLow, AfterHigh float64
	// Words are those that the numbers count, where the key holds a word.
	Words []string
}

// A Pair is two keys whose numbers go together among the benches like the run.
type Pair struct {
	A, B        string
	Correlation float64
}

// Band is the simulated band about a curve.
type Band struct {
	Line                  string
	V, Current, Low, High []float64
	Cutoff                float64
}

// Point is a bench in the calibration.
type Point struct{ Predicted, True float64 }

// another is a population that differs in a stated way.
type another struct {
	name       string
	population population.Population
	change     func(*instrument.Apparatus)
}

// elsewhere returns the populations that a match is tried on beside its own. They
// were named before any measured run was matched.
func elsewhere(p population.Population) []another {
	var keys []string
	for _, key := range []string{"emitter.patch_spread_eV", "collector.patch_spread_eV", "collector.emitter_coating"} {
		if p.Index(key) >= 0 {
			keys = append(keys, key)
		}
	}
	var others []another
	for _, o := range []struct {
		name   string
		factor float64
	}{{"half the patches and coating", 0.5}, {"twice the patches and coating", 2}} {
		if scaled, err := p.Scaled(o.factor, keys...); err == nil && len(keys) > 0 {
			others = append(others, another{name: o.name, population: scaled})
		}
	}
	return append(others, another{"spheres for cylinders and cylinders for spheres", p, func(a *instrument.Apparatus) {
		switch g := a.Geometry.(type) {
		case physics.Spheres:
			if g.RadiusRatio > 0.05 && g.RadiusRatio < 20 {
				a.Geometry = physics.Cylinders(g)
			}
		case physics.Cylinders:
			a.Geometry = physics.Spheres(g)
		}
	}})
}

// Do matches. The error says what is wrong with the run or the population.
func (m Match) Do(ctx context.Context) (Result, error) {
	m = m.settled()
	prepared, err := m.prepare()
	if err != nil {
		return Result{}, err
	}
	train, err := prepared.sweep(ctx, m.Population, nil, 0, m.Train)
	if err != nil {
		return Result{}, err
	}
	held, err := prepared.sweep(ctx, m.Population, nil, m.Train, m.Calibrate)
	if err != nil {
		return Result{}, err
	}
	learnt := learn(prepared.layout, train, &prepared.reading)
	c := learnt.calibrate(held)
	r := Result{Remarks: prepared.remarks, Benches: len(train) + len(held)}
	first := m.Train + m.Calibrate
	for _, o := range elsewhere(m.Population) {
		benches, err := prepared.sweep(ctx, o.population, o.change, first, m.Elsewhere)
		if err != nil {
			return Result{}, err
		}
		first += m.Elsewhere
		r.Benches += len(benches)
		r.Elsewhere = append(r.Elsewhere, Elsewhere{o.name, c.alsoFor(learnt, benches)})
	}
	r.answer(m, prepared, learnt, &c)
	r.describe(m.Population, prepared, learnt, train, held)
	return r, nil
}

// ready is a run made ready to be matched.
type ready struct {
	match     Match
	target    run.Run
	reference []int
	index     []int
	own       []bool
	methods   []analysis.Method
	layout    layout
	reading   reading
	noise     []noise
	remarks   []string
}

func (m Match) prepare() (*ready, error) {
	kept, remarks, err := usable(m.Run)
	if err != nil {
		return nil, err
	}
	p := &ready{match: m, target: kept, remarks: remarks, methods: rawMethods()}
	x := analysis.Extract(kept, p.methods)
	raw, answered, err := chooseRaw(x, len(p.methods))
	if err != nil {
		return nil, err
	}
	if slices.Contains(answered, false) {
		var curves []run.Curve
		for i, c := range kept.Curves {
			if answered[i] {
				curves = append(curves, c)
				continue
			}
			p.remarks = append(p.remarks, fmt.Sprintf("%s is left out: %s has no cutoff there", lineName(c), p.methods[raw].Name()))
		}
		p.target.Curves = curves
		x = analysis.Extract(p.target, p.methods)
	}
	for _, c := range p.target.Curves {
		best := 0
		for k, r := range c.Readings {
			if math.Abs(r.Retarding) < math.Abs(c.Readings[best].Retarding) {
				best = k
			}
		}
		if !(c.Readings[best].Current > 0) {
			return nil, fmt.Errorf("%s has a current of %g A at %g V, nearest to 0 V; a match needs a photocurrent there", lineName(c), c.Readings[best].Current, c.Readings[best].Retarding)
		}
		p.reference = append(p.reference, best)
	}
	for _, s := range x.Settings {
		floor, share := s.Prepared.Noise()
		p.noise = append(p.noise, noise{floor: floor, share: share})
	}
	p.layout = newLayout(p.target, raw, p.methods)
	p.reading = readingOf(x, p.target, len(p.methods), p.reference)
	if _, ok := p.layout.line(&p.reading, raw, -1); !ok {
		return nil, errors.New("the cutoffs fall with the frequency, so that there is no h/e to correct")
	}
	median := m.Population.Median()
	if len(median.Lights) == 0 {
		return nil, errors.New("the population has no light")
	}
	var about []string
	p.index, p.own, about = lightsFor(median, p.target)
	p.remarks = append(p.remarks, about...)
	return p, nil
}

// sweep sweeps benches of a population as the run was swept.
func (p *ready) sweep(ctx context.Context, from population.Population, change func(*instrument.Apparatus), first, number int) ([]drawn, error) {
	benches := make([]drawn, number)
	found := make([]bool, number)
	order := make([]int, len(p.target.Curves))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Compare(p.target.Curves[b].Wavelength, p.target.Curves[a].Wavelength)
	})
	group, ctx := errgroup.WithContext(ctx)
	workers := runtime.GOMAXPROCS(0)
	for w := range workers {
		group.Go(func() error {
			s := sweeper{
				raw: p.methods[p.layout.raw], order: order,
				population: from, seed: p.match.Seed, target: p.target, reference: p.reference, index: p.index, own: p.own,
				methods: p.methods, noise: p.noise, low: p.match.Low, high: p.match.High, change: change,
				extractor: analysis.Extractor{Methods: p.methods},
			}
			for i := w; i < number; i += workers {
				if err := ctx.Err(); err != nil {
					return err
				}
				benches[i], found[i] = s.draw(first+i, &p.layout)
				if p.match.Done != nil {
					p.match.Done()
				}
			}
			return nil
		})
	}
	if err := group.Wait(); err != nil {
		return nil, err
	}
	var kept []drawn
	for i := range benches {
		if found[i] {
			kept = append(kept, benches[i])
		}
	}
	if len(kept)*2 < number {
		return nil, fmt.Errorf("%d of %d benches of the population give a cutoff by %s at all of the run's settings and voltages; "+
			"a match needs half of them: this population does not reach such a run", len(kept), number, p.methods[p.layout.raw].Name())
	}
	return kept, nil
}

// answer fills the result with what the model makes of the run.
func (r *Result) answer(m Match, p *ready, learnt *model, c *calibration) {
	row, raw, _ := p.layout.features(nil, &p.reading, -1)
	low, middle, high := c.interval(learnt, row)
	second := learnt.second(row)
	r.RawMethod, r.Raw = p.methods[p.layout.raw].Name(), raw.slope
	r.Second = raw.slope * math.Exp(second)
	// The two regressions' difference, on its own side.
	low, high = low+min(second-middle, 0), high+max(second-middle, 0)
	r.Accepted = true

	square, worst, off := learnt.distance(row)
	curves := rank(c.distances, square)
	lines := math.NaN()
	line, shift := -1, 0.0
	if len(learnt.parts) > 0 {
		var z float64
		z, line, shift = learnt.largestShift(&p.reading)
		lines = rank(c.shifts, z)
	}
	r.Unlike.CurvesP, r.Unlike.LinesP = holm(curves, lines)
	ofLine, what := p.layout.name(worst, -1)
	if what == apartFromOthers {
		if i := learnt.bent(&p.reading, row); i >= 0 {
			ofLine = p.layout.lines[i]
		}
	}
	r.Unlike.Feature, r.Unlike.Off = what, off
	if line >= 0 {
		r.Unlike.Line, r.Unlike.Shift = p.layout.lines[line], math.Expm1(shift)
	}
	// What is off about the slopes of all lines belongs to none; then the line to
	// look at is still the one that the answer hangs on.
	if (!(r.Unlike.LinesP < r.Unlike.CurvesP) || line < 0) && ofLine != "" {
		r.Unlike.Line, r.Unlike.Shift = ofLine, math.Expm1(learnt.shiftOf(&p.reading, slices.Index(p.layout.lines, ofLine)))
	}
	least := math.Inf(1)
	for _, x := range []float64{r.Unlike.CurvesP, r.Unlike.LinesP} {
		if x < least {
			least = x
		}
	}
	if least < DoubtBelow {
		low, high = low-math.Abs(shift), high+math.Abs(shift)
		r.Remarks = append(r.Remarks, fmt.Sprintf("The run is unlike the population (p = %.2g): %s. The interval is wider by the %.2g %% that leaving out one line moves the answer at most.",
			least, r.Unlike.sentence(), 100*math.Abs(math.Expm1(shift))))
	}
	if least < RefuseBelow {
		r.refuse(fmt.Sprintf("the run is unlike anything that the population has (p = %.2g): %s", least, r.Unlike.sentence()))
	}
	r.HOverE = raw.slope * math.Exp(middle)
	r.Low, r.High = raw.slope*math.Exp(low), raw.slope*math.Exp(high)
	r.WorkFunction = raw.workFunction + (r.HOverE-raw.slope)*p.layout.mean - learnt.contact.at(row)*raw.slope*p.layout.mean
	if r.Low <= m.Low || r.High >= m.High {
		r.refuse(fmt.Sprintf("the interval, %.3g to %.3g V s, touches an end of the range in which h/e was looked for, %.3g to %.3g V s", r.Low, r.High, m.Low, m.High))
	}
}

// refuse takes the answer back.
func (r *Result) refuse(reason string) {
	if r.Accepted {
		r.Reason = reason
	}
	r.Accepted = false
}

// sentence says what is unlike.
func (u Unlike) sentence() string {
	var parts []string
	if u.Line != "" {
		parts = append(parts, "look at "+u.Line)
	}
	if u.LinesP < DoubtBelow {
		parts = append(parts, fmt.Sprintf("without it the answer changes by %+.2g %%", 100*u.Shift))
	}
	if u.Feature != "" {
		parts = append(parts, fmt.Sprintf("%s is %+.2g deviations off the simulated band", u.Feature, u.Off))
	}
	return strings.Join(parts, "; ")
}

// formatNumber writes a number with the digits it needs.
func formatNumber(x float64) string { return strconv.FormatFloat(x, 'g', 4, 64) }
