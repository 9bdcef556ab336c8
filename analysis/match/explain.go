package match

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"

	"stopvolt/analysis"
	"stopvolt/instrument/population"
	"stopvolt/instrument/run"
	"stopvolt/sim"
)

// An Explain looks for what may stand behind stopping voltages of which no curves
// are left.
type Explain struct {
	// Points are the stopping voltages, at least four.
	Points []analysis.Point
	// HOverE in V s is that by which the slope is called wrong.
	HOverE float64
	// Population is that of the benches; what is known of the own one has been
	// settled in it.
	Population population.Population
	Seed       uint64
	// Benches is the number of them, 0 for the usual one.
	Benches int
}

const (
	usualExplained = 800
	// likeShare is the share of all readings, those most like the table, that stand
	// for it.
	likeShare = 0.05
	// slopeUnit and residualUnit in V are the differences that count as one.
	slopeUnit, residualUnit = 0.02, 0.015
	// fewestExplained is the number of points below which residuals say nothing.
	fewestExplained = 4
)

// An Explanation has the candidates, the most telling first.
type Explanation struct {
	// Error is that of the slope, relative to h/e, and Residuals are in V.
	Error     float64
	Residuals []float64
	// Like is the number of simulated readings that are most like the table, and
	// Of of how many.
	Like, Of   int
	Candidates []Candidate
}

// A Candidate is what may stand behind it.
type Candidate struct {
	// Name says what it is, and Settle what takes ten minutes and settles it.
	Name, Settle string
	// Among is the share of the readings like the table that have it, and Before
	// that of all readings.
	Among, Before float64
	// Told says that the two differ by more than chance.
	Told bool
}

// suspect is a property of a bench, or of how it was read.
type suspect struct {
	name, settle string
	has          func(value func(key string) float64, method string) bool
}

// suspects are the properties that are looked for; the measurements are common
// practice, no source.
func suspects() []suspect {
	above := func(key string, limit float64) func(func(string) float64, string) bool {
		return func(value func(string) float64, _ string) bool { return value(key) > limit }
	}
	read := func(names ...string) func(func(string) float64, string) bool {
		return func(_ func(string) float64, method string) bool { return slices.Contains(names, method) }
	}
	return []suspect{
		{"reading the zero of the current while a reverse current flows", "read the current 1 V beyond the cutoff of the brightest and the dimmest line: where it is below zero, the zero crossing is early by what it takes off",
			func(value func(string) float64, method string) bool {
				return value("collector.reverse_ratio") > 0.02 && slices.Contains([]string{"zero-crossing", "null-reading"}, method)
			}},
		{"a tangent taken for the cutoff", "plot the root of the current of one line instead, and see where its straight part points", read("two-tangent", "tangent")},
		{"emitter metal on more than 3 % of the collector", "sweep the brightest line in steps of 20 mV about its cutoff: a second, fainter knee beyond the first belongs to the coating", above("collector.emitter_coating", 0.03)},
		{"patches of more than 0.1 eV on the collector", "compare the width of the knee of two lines: patches round all knees by the same tenth of a volt", above("collector.patch_spread_eV", 0.1)},
		{"a collector smaller than the emitter", "read the current at 0, 3 and 9 V that accelerate: it still rises where the collector is small", above("geometry.radius_ratio", 1)},
		{"a filter that lets more than 1e-4 of a neighbour line through", "hold a yellow or orange glass before the green and yellow filters: their cutoffs must not move",
			func(value func(string) float64, _ string) bool {
				return max(value("light.green.filter.blocking"), value("light.yellow.filter.blocking")) > 1e-4
			}},
		{"lines that do not light one spot (shifts of more than 15 mV)", "take one line again with the lamp moved by a few millimetres: the cutoff must come back", above("shared.line_shift_V", 0.015)},
		{"steps of more than 0.1 V", "take one line again in steps of 20 mV about its cutoff", above("plan.step_V", 0.1)},
	}
}

// likeness is one simulated reading beside the table.
type likeness struct {
	apart float64
	has   []bool
}

// Do looks for candidates.
func (e Explain) Do(ctx context.Context) (Explanation, error) {
	if len(e.Points) < fewestExplained {
		return Explanation{}, fmt.Errorf("%d stopping voltages; four are needed before their pattern can say anything", len(e.Points))
	}
	line, err := analysis.Ordinary{}.Fit(e.Points)
	if err != nil {
		return Explanation{}, err
	}
	if e.Benches == 0 {
		e.Benches = usualExplained
	}
	out := Explanation{Error: line.Slope/e.HOverE - 1, Residuals: slices.Clone(line.Residuals)}
	found := make([][]likeness, e.Benches)
	group, ctx := errgroup.WithContext(ctx)
	workers := runtime.GOMAXPROCS(0)
	for w := range workers {
		group.Go(func() error {
			var session sim.Session
			var r run.Run
			x := analysis.Extractor{Methods: rawMethods()}
			for i := w; i < e.Benches; i += workers {
				if err := ctx.Err(); err != nil {
					return err
				}
				values, a, _, err := sim.DrawValues(e.Population, e.Seed, i)
				if err != nil {
					continue
				}
				b, err := sim.NewBenchForFewRuns(a)
				if err != nil {
					continue
				}
				session.Open(b, e.Seed, i)
				session.Acquire(&r)
				lit, _ := analysis.WithoutDark(r)
				found[i] = e.compare(x.Extract(lit), out, a.World.HOverE, func(key string) float64 {
					if k := e.Population.Index(key); k >= 0 {
						return values[k]
					}
					return math.NaN()
				})
			}
			return nil
		})
	}
	if err := group.Wait(); err != nil {
		return Explanation{}, err
	}
	return out.judged(slices.Concat(found...))
}

// compare returns how a bench reads by each method beside the table, for those that
// have a cutoff at all of the table's settings.
func (e Explain) compare(x analysis.Extraction, table Explanation, hOverE float64, value func(string) float64) []likeness {
	var out []likeness
	for m, method := range rawMethods() {
		points := e.same(x, m)
		line, err := analysis.Ordinary{}.Fit(points)
		if len(points) != len(e.Points) || err != nil {
			continue
		}
		l := likeness{apart: math.Pow((line.Slope/hOverE-1-table.Error)/slopeUnit, 2)}
		for k, r := range line.Residuals {
			l.apart += math.Pow((r-table.Residuals[k])/residualUnit, 2) / float64(len(points))
		}
		for _, s := range suspects() {
			l.has = append(l.has, s.has(value, method.Name()))
		}
		out = append(out, l)
	}
	return out
}

// same returns the cutoffs of a method at the settings nearest to the table's, at
// the table's frequencies.
func (e Explain) same(x analysis.Extraction, method int) []analysis.Point {
	var points []analysis.Point
	for _, p := range e.Points {
		for _, s := range x.Settings {
			// 12 nm in the middle of the visible.
			if math.Abs(s.Frequency/p.Frequency-1) > 0.022 || s.Cutoffs[method].Status != analysis.OK {
				continue
			}
			points = append(points, analysis.Point{Frequency: s.Frequency, Stopping: s.Cutoffs[method].Stopping})
			break
		}
	}
	return points
}

// judged counts the suspects among the readings most like the table.
func (out Explanation) judged(all []likeness) (Explanation, error) {
	if len(all) < 100 {
		return out, errors.New("the population has no light at these wavelengths, or gives no cutoffs there; name one that has, by --population")
	}
	slices.SortStableFunc(all, func(a, b likeness) int { return cmp.Compare(a.apart, b.apart) })
	out.Of, out.Like = len(all), max(int(likeShare*float64(len(all))), 30)
	share := func(of []likeness, s int) float64 {
		n := 0.0
		for _, l := range of {
			if l.has[s] {
				n++
			}
		}
		return n / float64(len(of))
	}
	for s, suspect := range suspects() {
		c := Candidate{Name: suspect.name, Settle: suspect.settle, Among: share(all[:out.Like], s), Before: share(all, s)}
		if c.Before == 0 {
			continue
		}
		// Three standard deviations; several readings of one bench are not
		// independent, which halves their number.
		c.Told = c.Among-c.Before > 3*math.Sqrt(2*c.Before*(1-c.Before)/float64(out.Like))
		out.Candidates = append(out.Candidates, c)
	}
	slices.SortStableFunc(out.Candidates, func(a, b Candidate) int {
		if a.Told != b.Told {
			if a.Told {
				return -1
			}
			return 1
		}
		return cmp.Compare(b.Among/b.Before, a.Among/a.Before)
	})
	return out, nil
}
