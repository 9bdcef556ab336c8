package groups

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

// years invents the history of benches over so many years, two runs a year, with
// a scatter of a few per cent; change alters an entry, t years after the first.
func years(src *rand.Rand, benches, n int, change func(e *Entry, t float64)) []Entry {
	var all []Entry
	for b := range benches {
		for i := range 2 * n {
			t := float64(i) / 2
			e := Entry{
				Date:         time.Date(2020, 3, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 6*i, 0),
				Bench:        fmt.Sprint("bench ", b+1),
				Sensitivity:  make(map[float64]float64),
				PlateauRatio: 0.01 * math.Exp(0.05*src.NormFloat64()),
				Leakage:      1e-12 * math.Exp(0.1*src.NormFloat64()),
				Shift:        -1.6 + 0.005*src.NormFloat64(),
			}
			lamp := math.Exp(0.03 * src.NormFloat64())
			for _, nm := range []float64{365, 404.7, 435.8, 546.1, 578} {
				e.Sensitivity[nm] = 1e-9 * lamp * math.Exp(0.02*src.NormFloat64())
			}
			change(&e, t)
			all = append(all, e)
		}
	}
	return all
}

func TestWhatAgesIsNamed(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(e *Entry, t float64)
		want   Quantity
		nm     float64
	}{
		{"a cell that loses a tenth a year", func(e *Entry, t float64) {
			for nm := range e.Sensitivity {
				e.Sensitivity[nm] *= math.Exp(-0.1 * t)
			}
		}, Brightness, 0},
		{"a filter that fades", func(e *Entry, t float64) { e.Sensitivity[546.1] *= math.Exp(-0.1 * t) }, LineBrightness, 546.1},
		{"a collector that is coated", func(e *Entry, t float64) { e.PlateauRatio *= math.Exp(0.2 * t) }, Plateau, 0},
		{"a base that leaks", func(e *Entry, t float64) { e.Leakage *= math.Exp(0.4 * t) }, Base, 0},
		{"a contact potential that drifts", func(e *Entry, t float64) { e.Shift += 0.02 * t }, Cutoff, 0},
	} {
		history := years(rand.New(rand.NewPCG(30, 0)), 4, 6, func(e *Entry, t float64) {
			if e.Bench == "bench 2" {
				c.change(e, t)
			}
		})
		warnings := Warnings(history)
		if len(warnings) != 1 || warnings[0].Bench != "bench 2" || warnings[0].Quantity != c.want || warnings[0].Wavelength != c.nm {
			t.Errorf("%s: %+v", c.name, warnings)
		}
	}
}

// With nothing changing, one of a hundred histories is warned of. Of 1000, more
// than 25 would be in fewer than one run of 10^4.
func TestSteadyBenchesAreSeldomWarnedOf(t *testing.T) {
	const seed = 31
	warned := 0
	for k := range 1000 {
		if len(Warnings(years(rand.New(rand.NewPCG(seed, uint64(k))), 4, 6, func(*Entry, float64) {}))) > 0 {
			warned++
		}
	}
	if warned > 25 {
		t.Errorf("seed %d: %d of 1000 steady histories were warned of", seed, warned)
	}
}

func TestARepairBeginsANewHistory(t *testing.T) {
	repaired := func(e *Entry, t float64) {
		if t >= 3 {
			e.PlateauRatio /= 4
		}
		e.Repair = t == 3
	}
	history := years(rand.New(rand.NewPCG(32, 0)), 1, 6, repaired)
	if w := Warnings(history); len(w) != 0 {
		t.Errorf("a repair was taken for ageing: %+v", w)
	}
	found := false
	for _, c := range Changes(history) {
		if c.Quantity == Plateau {
			found = true
			if math.Abs(c.After/c.Before*4-1) > 0.1 || c.P > 1e-6 {
				t.Errorf("plateau ratio before %v, after %v (p %v), want a quarter", c.Before, c.After, c.P)
			}
		} else if c.P < 1e-4 {
			t.Errorf("%+v changed, and only the plateau should", c)
		}
	}
	if !found {
		t.Error("the plateau is not compared")
	}
}

// A change that is sure but small is no reason to open a cell.
func TestATrifleIsNoWarning(t *testing.T) {
	history := years(rand.New(rand.NewPCG(33, 0)), 1, 20, func(e *Entry, t float64) { e.Shift += 0.0009 * t })
	if w := Warnings(history); len(w) != 0 {
		t.Errorf("%+v", w)
	}
}
