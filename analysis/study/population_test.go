package study_test

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"stopvolt/analysis"
	"stopvolt/analysis/study"
	"stopvolt/instrument"
	"stopvolt/instrument/population"
)

// liar is a method whose cutoffs lie on a line of a slope that the bench itself
// tells it, by the temperature, and of which every experiment scatters.
type liar struct {
	name string
	// factor returns read over true from the bench's own number between 0 and 1.
	factor func(bench float64) float64
	// scatter is the relative standard deviation from experiment to experiment.
	scatter float64
}

func (l liar) Name() string                                                  { return l.name }
func (liar) Page() analysis.Page                                             { return analysis.Page{} }
func (liar) Construct(*analysis.Prepared, analysis.Cutoff) []analysis.Stroke { return nil }

// Cutoff hides the slope in the first cutoff's line: the readings themselves are
// noise of this experiment, and seed the scatter.
func (l liar) Cutoff(p *analysis.Prepared) analysis.Cutoff {
	return analysis.Cutoff{Stopping: 0, U: 0.01}
}

// Together makes liar a joint method, so that one scatter holds for all settings.
func (l liar) Together(settings []*analysis.Prepared, cutoffs []analysis.Cutoff) (analysis.Line, error) {
	p := settings[0]
	var hash uint64
	for _, s := range settings {
		for i := range s.I {
			hash = 31*hash + math.Float64bits(s.I[i]) + math.Float64bits(s.V[i])
		}
	}
	noise := rand.New(rand.NewPCG(hash, 1))
	bench := p.Temperature - 300
	ratio := l.factor(bench) * (1 + l.scatter*noise.NormFloat64())
	const truth = 4.135667696923859e-15
	for i := range cutoffs {
		cutoffs[i] = l.Cutoff(settings[i])
	}
	return analysis.Line{Slope: ratio * truth, Intercept: -2, USlope: 0.01 * truth, UIntercept: 0.01, DegreesOfFreedom: 3}, nil
}

// byTemperature is a population whose benches differ in temperature alone, which
// tells the liars the bench's number.
func byTemperature(t *testing.T) population.Population {
	t.Helper()
	a := apparatus(t)
	a.Plan.Step = 0.25
	return spread(t, a, func(a *instrument.Apparatus, u float64) { a.Emitter.Temperature = 300 + u })
}

// spread returns the population in which one number between 0 and 1 changes an
// apparatus.
func spread(t *testing.T, a instrument.Apparatus, change func(a *instrument.Apparatus, u float64)) population.Population {
	t.Helper()
	law, err := population.NewUniform(0, 1)
	if err != nil {
		t.Fatal(err)
	}
	p, err := population.New("spread", []population.Variable{{Key: "u", Law: law, High: 1}}, nil,
		func(values []float64) (instrument.Apparatus, error) {
			b := a
			change(&b, values[0])
			return b, nil
		})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// ofLiars is a study of methods of known error over a known population.
func ofLiars(t *testing.T, replicates int, methods ...analysis.Method) study.Study {
	return study.Study{
		Population: byTemperature(t), Methods: methods, Fits: analysis.LineFits()[:1],
		Replicates: replicates, Seed: seed,
	}
}

// The ratio read over true is uniform from 0.8 to 1.2 over the benches, with a
// scatter of 1 % from experiment to experiment. So the spread between benches is
// 0.4/sqrt(12), and the factor true over read has the median 1/1, the 95 % range
// from 1/1.19 to 1/0.81, and the two-thirds range from 1/1.1333 to 1/0.8667, but
// for the scatter.
func TestAKnownErrorOverAKnownPopulationIsFound(t *testing.T) {
	s := ofLiars(t, 2400, liar{"uniform", func(u float64) float64 { return 0.8 + 0.4*u }, 0.01})
	row := s.Result(done(t, s)).Rows[0]
	m, f := row.HOverE, row.Correction.Factor
	if m.Benches != 1200 || m.Replicates != 2400 {
		t.Errorf("%d experiments at %d benches", m.Replicates, m.Benches)
	}
	for _, test := range []struct {
		name              string
		got, want, within float64
	}{
		// Five standard errors each: a false alarm in two million. That of the
		// spread of a uniform law is 0.4 % of it, of a quantile p of n = 400
		// benches 0.4*sqrt(p(1-p)/n).
		{"bias", m.Bias.Value, 0, 5 * 0.1155 / math.Sqrt(1200)},
		{"spread between", m.Between.Value, 0.4 / math.Sqrt(12), 0.01},
		{"spread within", m.Within.Value, 0.01, 5 * 0.01 / math.Sqrt(2*1200)},
		{"median size of the error", m.MedianAbsolute.Value, 0.1, 5 * 0.2 * 0.5 / math.Sqrt(1200)},
		{"factor", f.Median, 1, 5 * 0.4 * 0.5 / 20},
		{"factor, low", f.Low, 1 / 1.19, 5 * 0.4 * 0.16 / 20},
		{"factor, high", f.High, 1 / 0.81, 5 * 0.4 * 0.16 / 20 * 1.5},
		{"factor, two thirds low", f.LikelyLow, 1 / 1.1333, 5 * 0.4 * 0.37 / 20},
		{"factor, two thirds high", f.LikelyHigh, 1 / 0.8667, 5 * 0.4 * 0.37 / 20 * 1.4},
		// Calibration and report have 400 benches each.
		{"corrected coverage", row.Correction.Coverage.Value, 0.95, 5 * math.Sqrt(2*0.95*0.05/400)},
	} {
		if math.Abs(test.got-test.want) > test.within {
			t.Errorf("seed %d: %s is %.4f, want %.4f within %.4f", seed, test.name, test.got, test.want, test.within)
		}
	}
	if f.Benches != 400 {
		t.Errorf("the factor rests on %d benches", f.Benches)
	}
	// All intervals of one bench are alike, so that the error of the mean is
	// that of 1200 benches and not of 2400 experiments.
	if want := 0.1155 / math.Sqrt(1200); math.Abs(m.Bias.Error/want-1) > 0.1 {
		t.Errorf("the bias is said to be known to %.5f, want %.5f", m.Bias.Error, want)
	}
}

// The corrected interval keeps its promise whatever the law is: here with a far
// tail to one side. Over 40 studies of 39 to 400 calibrating benches the mean
// coverage lies between the chance and one rank more.
func TestTheCorrectedIntervalHoldsTheTruthAsOftenAsItSays(t *testing.T) {
	src := rand.New(rand.NewPCG(seed, 1))
	draw := func(n int) [][]float64 {
		benches := make([][]float64, n)
		for i := range benches {
			// Read over true: a normal core and an exponential tail.
			own := 1 + 0.03*src.NormFloat64()
			if src.Float64() < 0.2 {
				own -= 0.2 * src.ExpFloat64()
			}
			for range 2 {
				benches[i] = append(benches[i], own*(1+0.01*src.NormFloat64()))
			}
		}
		return benches
	}
	for _, n := range []int{39, 100, 400} {
		const studies, fresh = 300, 200
		holds := 0.
		for range studies {
			f := study.Calibrate(draw(n))
			for _, bench := range draw(fresh) {
				if f.Holds(bench[0]) {
					holds++
				}
			}
		}
		got := holds / studies / fresh
		// The coverage of one calibration has a beta law of standard deviation
		// sqrt(0.05*0.95/n); the factor before it is for five deviations, a false
		// alarm in a million.
		slack := 5 * math.Sqrt(0.05*0.95/float64(n)+0.05*0.95/fresh) / math.Sqrt(studies)
		most := 1 - 2*math.Floor(0.025*float64(n+1))/float64(n+1)
		if got < 0.95-slack || got > most+slack+0.01 {
			t.Errorf("seed %d: %d benches: it holds in %.4f, want 0.95 to %.4f, within %.4f", seed, n, got, most, slack)
		}
	}
	if f := study.Calibrate(draw(38)); !math.IsNaN(f.Low) || math.IsNaN(f.LikelyLow) {
		t.Errorf("38 benches are too few for 95 %% and enough for two thirds: %+v", f)
	}
}

// An h/e of zero or less is corrected by no factor, and the upper end says so.
func TestAReadingOfTheWrongSignIsBeyondEveryFactor(t *testing.T) {
	var benches [][]float64
	for i := range 100 {
		benches = append(benches, []float64{1 - 0.02*float64(i%60)})
	}
	f := study.Calibrate(benches)
	if !math.IsInf(f.High, 1) || f.Holds(-0.1) || f.Holds(0) {
		t.Errorf("%+v", f)
	}
}

// A population without width is the one bench, to the last bit of what is
// counted.
func TestAPopulationOfNoWidthIsTheFixedBench(t *testing.T) {
	a := apparatus(t)
	s := study.Study{Population: only(a), Methods: named(t, "zero-crossing", "tangent", "fowler-fit"), Fits: analysis.LineFits()[:2], Replicates: 60, Seed: seed}
	one := text(t, done(t, s))
	s.Population = spread(t, a, func(*instrument.Apparatus, float64) {})
	p, err := s.Population.With("u", population.Constant(0.5))
	if err != nil {
		t.Fatal(err)
	}
	s.Population = p
	if many := text(t, done(t, s)); many != one {
		t.Error("a population of no width gives another tally than the bench itself")
	}
}

// recommended does a study and returns what it recommends.
func recommended(t *testing.T, s study.Study) study.Result {
	t.Helper()
	return s.Result(done(t, s))
}

func TestTheSmallestCorrectedErrorIsRecommendedAndNotTheSmallestBias(t *testing.T) {
	r := recommended(t, ofLiars(t, 1500,
		liar{"far off and steady", func(u float64) float64 { return 0.7 + 0.01*u }, 0.002},
		liar{"right on the mean", func(u float64) float64 { return 0.9 + 0.2*u }, 0.002},
		liar{"mute", func(float64) float64 { return math.NaN() }, 0},
	))
	if r.ByComputer.Row != 0 || len(r.ByComputer.Equals) != 0 {
		t.Errorf("recommended is row %d, with %v not told apart", r.ByComputer.Row, r.ByComputer.Equals)
	}
	if r.ByHand.Row != -1 {
		t.Errorf("row %d is recommended by hand, though none can be done so", r.ByHand.Row)
	}
	kinds := []study.ReasonKind{-1, study.ErrsMore, study.SeldomAnswers}
	for i, row := range r.Rows {
		if i == 0 && len(row.Reasons) != 0 || i > 0 && row.Reasons[0].Kind != kinds[i] {
			t.Errorf("%v: %v", row, row.Reasons)
		}
	}
}

func TestEqualMethodsAreNotToldApart(t *testing.T) {
	uniform := func(u float64) float64 { return 0.9 + 0.2*u }
	r := recommended(t, ofLiars(t, 1500,
		liar{"one", uniform, 0.02}, liar{"other", func(u float64) float64 { return 1.1 - 0.2*u }, 0.02},
	))
	if len(r.ByComputer.Equals) != 1 {
		t.Errorf("%d rows are not told apart from the recommended one", len(r.ByComputer.Equals))
	}
}

func TestABenchWithOtherSettingsEndsTheStudy(t *testing.T) {
	a := apparatus(t)
	s := study.Study{Methods: named(t, "tangent"), Fits: analysis.LineFits()[:1], Replicates: 100, Seed: seed}
	s.Population = spread(t, a, func(a *instrument.Apparatus, u float64) {
		if u > 0.9 {
			a.Lights = a.Lights[:2]
		}
	})
	if _, err := s.Run(context.Background()); err == nil {
		t.Error("a bench with two settings counts among those with five")
	}
}
