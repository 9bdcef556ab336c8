package groups

import (
	"math"

	"stopvolt/instrument/run"
)

// A Likeness is a pair of runs of which one setting has the same readings.
type Likeness struct {
	// First and Second are the indexes of the runs, and Setting is the name that the
	// first has for the setting.
	First, Second int
	Setting       string
	// Same of Compared readings that are large enough to differ are equal.
	Same, Compared int
}

// What makes two sets of readings the same: so many of them or more, nearly all equal,
// and none counted that a coarse digit alone makes equal. With a lamp that scatters by a
// thousandth, the least there is on a teaching bench (a judgement), two readings of
// leastSteps are equal in two cases of three, and twenty of them in one of a thousand.
const (
	fewestCompared = 20
	leastSame      = 0.9
	leastSteps     = 300
)

// Alike returns the pairs of runs that have the same readings at a setting. Two groups
// that measured do not agree to the last digit; but a file may have been handed in
// under the wrong name, so that a pair is a question and no verdict.
func Alike(runs []run.Run) []Likeness {
	var all []Likeness
	for i := range runs {
		for j := i + 1; j < len(runs); j++ {
			for _, a := range runs[i].Curves {
				for _, b := range runs[j].Curves {
					if a.Dark || b.Dark || a.Wavelength != b.Wavelength {
						continue
					}
					same, compared := sameReadings(a, b)
					if compared >= fewestCompared && float64(same) >= leastSame*float64(compared) {
						all = append(all, Likeness{i, j, a.Setting, same, compared})
					}
				}
			}
		}
	}
	return all
}

// sameReadings counts the readings that two curves have at the same place in their
// order and at the same voltage, and those among them that are equal.
func sameReadings(a, b run.Curve) (same, compared int) {
	digit := smallestStep(a)
	for k := range min(len(a.Readings), len(b.Readings)) {
		x, y := a.Readings[k], b.Readings[k]
		if math.Abs(x.Current) < leastSteps*digit || math.Abs(x.Retarding-y.Retarding) > 1e-6 {
			continue
		}
		compared++
		if math.Abs(x.Current-y.Current) <= 1e-6*math.Abs(x.Current) {
			same++
		}
	}
	return same, compared
}

// smallestStep returns the smallest difference between currents of a curve that
// differ, in A: a step of the last digit, or the noise.
func smallestStep(c run.Curve) float64 {
	least := math.Inf(1)
	for k := 1; k < len(c.Readings); k++ {
		if d := math.Abs(c.Readings[k].Current - c.Readings[k-1].Current); d > 0 {
			least = min(least, d)
		}
	}
	return least
}
