package check_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"stopvolt/analysis"
	"stopvolt/analysis/check"
	"stopvolt/instrument/run"
	"stopvolt/scenarios"
	"stopvolt/sim"
)

// zeroCurrent returns the size of the current of the reading nearest to zero volts.
func zeroCurrent(c run.Curve) float64 {
	return math.Abs(slices.MinFunc(c.Readings, func(a, b run.Reading) int {
		if math.Abs(a.Retarding) < math.Abs(b.Retarding) {
			return -1
		}
		return 1
	}).Current)
}

// plantedSlips are what a hand does to a reading: it moves the point, or adds or drops
// a good part of the current at zero volts.
var plantedSlips = []struct {
	name string
	slip func(current, zero float64) float64
	// anywhere says that it may be at an accelerating voltage.
	anywhere bool
}{
	{"the decimal point moved", func(current, _ float64) float64 { return 10 * current }, true},
	{"0.3 of the current at zero volts too much", func(current, zero float64) float64 { return current + 0.3*zero }, false},
	{"0.3 of the current at zero volts too little", func(current, zero float64) float64 { return current - 0.3*zero }, false},
}

// On the default population, with filters, meters, steps and lamps as they come, at most
// one curve in a hundred is said to have a slip that nobody made (1 of the 1500 of this
// seed was), and at least nine slips of ten are found, as the only one, where they move a
// reading between the ends by a quarter of the current at zero volts, twenty of its
// uncertainties and ten of the meter's steps. Of 850 slips of a kind and more, 0.95 are
// found or more; a search that finds so many falls below 0.9 in fewer than one seed of
// a million.
func TestSlipsAreFoundAndSoundCurvesSeldomAccused(t *testing.T) {
	const seed, benches = 7, 300
	s, err := scenarios.Load(scenarios.DefaultPopulation, nil)
	if err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(seed, 0))
	curves, accused := 0, 0
	tried, found := make([]int, len(plantedSlips)), make([]int, len(plantedSlips))
	for k := range benches {
		a, _, err := sim.DrawBench(s.Population, seed, k)
		if err != nil {
			t.Fatal(err)
		}
		b, err := sim.NewBenchForFewRuns(a)
		if err != nil {
			t.Fatal(err)
		}
		var session sim.Session
		session.Open(b, seed, k)
		var r run.Run
		session.Acquire(&r)
		for _, c := range r.Curves {
			curves++
			if len(analysis.Slips(c, r.Facts)) > 0 {
				accused++
			}
			var p analysis.Prepared
			if err := p.Prepare(c, r.Facts); err != nil {
				t.Fatal(err)
			}
			zero := zeroCurrent(c)
			for n, kind := range plantedSlips {
				i := 1 + random.IntN(len(c.Readings)-2)
				was := c.Readings[i]
				slipped := c
				slipped.Readings = slices.Clone(c.Readings)
				slipped.Readings[i].Current = kind.slip(was.Current, zero)
				moved := math.Abs(slipped.Readings[i].Current - was.Current)
				if was.Retarding < -0.01 && !kind.anywhere || moved < max(0.25*zero, 20*was.Uncertainty, 10*p.Resolution) {
					continue
				}
				tried[n]++
				if got := analysis.Slips(slipped, r.Facts); len(got) == 1 && got[0].Reading == slipped.Readings[i] {
					found[n]++
				}
			}
		}
	}
	t.Logf("seed %d: %d of %d sound curves accused; of slips %v, %v found", seed, accused, curves, tried, found)
	if accused*100 > curves {
		t.Errorf("seed %d: %d of %d sound curves are said to have a slip, want at most one in a hundred", seed, accused, curves)
	}
	for n, kind := range plantedSlips {
		if tried[n] < 500 || found[n]*10 < tried[n]*9 {
			t.Errorf("seed %d: %s: %d found of %d, want nine of ten of 500 or more", seed, kind.name, found[n], tried[n])
		}
	}
}

// A curve of a table by hand: volts, and an invented current in pA that falls smoothly.
func byHand(current func(v float64) float64) run.Curve {
	c := run.Curve{Setting: "blue", Wavelength: 436}
	for k := range 16 {
		v := float64(k) / 10
		c.Readings = append(c.Readings, run.Reading{Retarding: v, Current: math.Round(current(v)) * 1e-12})
	}
	return c
}

func knee(v float64) float64 { return 260*math.Pow(max(1.2-v, 0)/1.2, 2) - 2 }

func TestASlipIsNamedWithWhatItsNeighboursSuggest(t *testing.T) {
	c := byHand(knee)
	if got := analysis.Slips(c, run.Facts{}); len(got) > 0 {
		t.Errorf("a smooth table has slips %+v", got)
	}
	was := c.Readings[7].Current
	c.Readings[7].Current *= 10
	got := analysis.Slips(c, run.Facts{})
	if len(got) != 1 || got[0].Setting != "blue" || got[0].Reading != c.Readings[7] {
		t.Fatalf("slips %+v, want the reading at 0.7 V", got)
	}
	if math.Abs(got[0].Suggested-was) > 0.05*was {
		t.Errorf("the neighbours suggest %g A, want %g A", got[0].Suggested, was)
	}
	rest, _ := analysis.WithoutSlips(c, run.Facts{})
	if len(rest.Readings) != len(c.Readings)-1 || len(analysis.Slips(rest, run.Facts{})) > 0 {
		t.Errorf("without its slip the curve has %d readings of %d", len(rest.Readings), len(c.Readings))
	}
}

// Next to an end two readings are out of order together, and the rest of the curve tells
// which of them is wrong. Three voltages out of order are no slips of a hand.
func TestTheRestOfACurveTellsWhichReadingIsTheSlip(t *testing.T) {
	for _, i := range []int{0, 1} {
		c := byHand(knee)
		c.Readings[i].Current /= 10
		if got := analysis.Slips(c, run.Facts{}); len(got) != 1 || got[0].Reading != c.Readings[i] {
			t.Errorf("slips %+v, want the reading at %g V", got, c.Readings[i].Retarding)
		}
	}
	c := byHand(knee)
	c.Readings[1].Current *= 10
	if got := analysis.Slips(c, run.Facts{}); len(got) != 1 || got[0].Reading != c.Readings[1] {
		t.Errorf("slips %+v, want the reading at 0.1 V", got)
	}
	for _, i := range []int{5, 9} {
		c.Readings[i].Current *= 10
	}
	if got := analysis.Slips(c, run.Facts{}); len(got) > 0 {
		t.Errorf("three voltages out of order are slips: %+v", got)
	}
}

// Of two readings at a voltage one may be wrong, though both lie between the neighbours.
func TestAReadingFarFromItsRepeatIsASlip(t *testing.T) {
	c := byHand(knee)
	c.Readings = append(c.Readings, c.Readings...)
	c.Readings[20].Current -= 25e-12
	got := analysis.Slips(c, run.Facts{})
	if len(got) != 1 || got[0].Reading != c.Readings[20] {
		t.Fatalf("slips %+v, want the second reading at 0.4 V", got)
	}
	if want := c.Readings[4].Current; math.Abs(got[0].Suggested-want) > 0.05*want {
		t.Errorf("the repeat suggests %g A, want %g A", got[0].Suggested, want)
	}
}

// What is no single reading is no slip: a step where the range was changed, a curve with
// its sign reversed, and a sweep whose first voltage alone is before the end of the light.
func TestStepsAndRisesAreNoSlips(t *testing.T) {
	for name, current := range map[string]func(v float64) float64{
		"a step of the range": func(v float64) float64 {
			if v > 0.55 {
				return knee(v) + 60
			}
			return knee(v)
		},
		"a rise":                   func(v float64) float64 { return -knee(v) },
		"light that stops at once": func(v float64) float64 { return 300*max(0.05-v, 0) - 10*v },
	} {
		if got := analysis.Slips(byHand(current), run.Facts{}); len(got) > 0 {
			t.Errorf("%s is said to be %+v", name, got)
		}
	}
}

// A lamp that flickered once by some per cent, where the current hardly falls and
// nothing else moves it, is no slip of a hand; a tenfold or twofold reading there is.
func TestAFlickerIsNoSlip(t *testing.T) {
	saturated := func(v float64) float64 { return 20000 - 100*v }
	for factor, want := range map[float64]int{0.977: 0, 1.03: 0, 0.93: 0, 2: 1, 10: 1} {
		c := byHand(saturated)
		c.Readings[5].Current *= factor
		if got := analysis.Slips(c, run.Facts{}); len(got) != want {
			t.Errorf("a reading %g times its neighbours: slips %+v, want %d", factor, got, want)
		}
	}
}

// One wrong digit at the end of a sweep is no noise: it is named, and the rest is looked
// at without it.
func TestASlipIsNoNoise(t *testing.T) {
	r := taken(t, "lanternfell", 3)
	c := setting(r, "green")
	c.Readings[len(c.Readings)-6].Current = 0.4 * zeroCurrent(*c)
	found := check.Run(r)
	if len(found) != 1 || found[0].Check != "slip" || found[0].Setting != "green" {
		t.Errorf("found %+v, want a slip of green alone", found)
	}
}
