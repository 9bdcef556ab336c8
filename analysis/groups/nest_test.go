package groups

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// A term invents results of groups at benches: the benches differ by a standard
// deviation, and so do the groups at one bench, relative to one.
func invent(src *rand.Rand, benches, groups int, betweenBenches, betweenGroups, u float64) []Result {
	var all []Result
	for b := range benches {
		bench := 1 + betweenBenches*src.NormFloat64()
		for g := range groups {
			// A line through five points knows its scatter with three degrees
			// of freedom.
			var squares float64
			for range 3 {
				x := src.NormFloat64()
				squares += x * x
			}
			value := bench + betweenGroups*src.NormFloat64() + u*src.NormFloat64()
			all = append(all, Result{fmt.Sprint("group ", b*groups+g+1), fmt.Sprint("bench ", b+1), Estimate{value, u * math.Sqrt(squares/3)}})
		}
	}
	return all
}

// Four benches and not a thousand groups set the uncertainty. False alarms: none,
// the seed is fixed; by the normal law the means lie within a factor of 1.6.
func TestMoreGroupsAtTheSameBenchesDoNotMakeTheMeanSurer(t *testing.T) {
	const seed = 20
	var few, many float64
	for k := range 40 {
		src := rand.New(rand.NewPCG(seed, uint64(k)))
		a, err := Nest(invent(src, 4, 3, 0.03, 0, 0.01), DerSimonianLaird)
		if err != nil {
			t.Fatal(err)
		}
		b, err := Nest(invent(src, 4, 250, 0.03, 0, 0.01), DerSimonianLaird)
		if err != nil {
			t.Fatal(err)
		}
		few += a.Mean.U / 40
		many += b.Mean.U / 40
	}
	if many < few/1.6 || many < 0.6*0.03/2 {
		t.Errorf("seed %d: uncertainty %.4f with 12 groups, %.4f with 1000; want about 0.015 both", seed, few, many)
	}
}

// The 95 % interval of the mean holds the truth in 95 % of invented terms, or more
// where the benches are alike, since it is never made narrower than the groups'
// own uncertainties allow. With 4000 terms a share of 95 % shows as less than
// 93.5 % in fewer than one run of 10^4.
func TestIntervalOfATermHoldsTheTruth(t *testing.T) {
	const seed, terms = 21, 4000
	for _, c := range []struct{ benches, groups, most float64 }{
		{0.03, 0, 0.97}, {0.03, 0.02, 0.98}, {0, 0.02, 1}, {0, 0, 1},
	} {
		held := 0
		for k := range terms {
			src := rand.New(rand.NewPCG(seed, uint64(k)))
			term, err := Nest(invent(src, 4, 3, c.benches, c.groups, 0.01), DerSimonianLaird)
			if err != nil {
				t.Fatal(err)
			}
			if low, high := term.Mean.Interval(0.95); low < 1 && 1 < high {
				held++
			}
		}
		if share := float64(held) / terms; share < 0.935 || share > c.most {
			t.Errorf("seed %d, %+v: the interval holds the truth in %.1f %% of the terms", seed, c, 100*share)
		}
	}
}

// A thousand groups that share a method's bias are no nearer to the truth than
// one: the corrected interval is at least as wide as that of the factor.
func TestTheCommonBiasOfAMethodNeverAveragesAway(t *testing.T) {
	c := Correction{1.03, 0.98, 1.2}
	for _, groups := range []int{1, 10, 1000} {
		term, err := Nest(invent(rand.New(rand.NewPCG(22, 0)), 4, groups, 1e-4, 0, 0.01), DerSimonianLaird)
		if err != nil {
			t.Fatal(err)
		}
		value, low, high := c.Apply(term.Mean)
		if math.Abs(value/term.Mean.Mean-1.03) > 1e-12 || value-low < (c.Factor-c.Low)*term.Mean.Mean || high-value < (c.High-c.Factor)*term.Mean.Mean {
			t.Errorf("%d groups: %v (%v to %v) from %v", 4*groups, value, low, high, term.Mean.Mean)
		}
	}
}

// In terms without an outlier one is named in about one of a hundred; of 1000
// terms more than 25 would be named in fewer than one run of 10^5, were the rate
// exact. A planted one, ten times the scatter away, is found in all but a few terms
// in which its own line says by chance that it scatters as much.
func TestOutliersAreFoundAndSeldomInvented(t *testing.T) {
	const seed, terms = 23, 1000
	named, found, others := 0, 0, 0
	for k := range terms {
		src := rand.New(rand.NewPCG(seed, uint64(k)))
		results := invent(src, 4, 3, 0.02, 0.01, 0.01)
		sound, err := Outliers(results, DerSimonianLaird)
		if err != nil {
			t.Fatal(err)
		}
		if len(sound) > 0 {
			named++
		}
		results[5].HOverE.Value += 0.25
		out, err := Outliers(results, DerSimonianLaird)
		if err != nil {
			t.Fatal(err)
		}
		if slices.Contains(out, 5) {
			found++
		}
		if len(slices.DeleteFunc(out, func(i int) bool { return i == 5 })) > 0 {
			others++
		}
	}
	if named > 25 || found < 970 || others > 25 {
		t.Errorf("seed %d: of %d terms %d had an outlier named without one, %d planted ones were found, %d had another named", seed, terms, named, found, others)
	}
}

func TestOneBenchSaysThatItIsAlone(t *testing.T) {
	term, err := Nest(invent(rand.New(rand.NewPCG(24, 0)), 1, 5, 0.02, 0, 0.01), DerSimonianLaird)
	if err != nil || !term.OneBench || term.BetweenBenches != 0 || len(term.Benches) != 1 {
		t.Errorf("%+v, %v", term, err)
	}
}
