package match

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"stopvolt/analysis"
	"stopvolt/instrument/run"
)

// fewest is the number of curves that a match needs: a line with one left over.
const fewest = 3

// fewestReadings is the number of readings that a curve needs.
const fewestReadings = 8

// usable returns the run with what a match can use: curves of light whose
// wavelength is known, with enough readings within the meter's range, each
// setting once. The remarks say what was left out and why; the error, that too
// little is left.
func usable(r run.Run) (kept run.Run, remarks []string, err error) {
	kept.Facts = r.Facts
	lit, _ := analysis.WithoutDark(r)
	for _, c := range lit.Curves {
		name := c.Setting
		if name == "" {
			name = fmt.Sprintf("%g nm", c.Wavelength)
		}
		if !(c.Wavelength > 0) {
			remarks = append(remarks, fmt.Sprintf("%s is left out: its wavelength is not known", name))
			continue
		}
		if slices.ContainsFunc(kept.Curves, func(o run.Curve) bool { return math.Abs(o.Wavelength-c.Wavelength) < 0.5 }) {
			remarks = append(remarks, fmt.Sprintf("%s is left out: a curve of %g nm stands before it; give one run at a time", name, c.Wavelength))
			continue
		}
		readings := slices.Clone(c.Readings)
		readings = slices.DeleteFunc(readings, func(r run.Reading) bool {
			return r.Flags&run.Overload != 0 || math.IsNaN(r.Current) || math.IsInf(r.Current, 0)
		})
		if n := saturated(readings); n > 0 {
			readings = withoutLargest(readings)
			remarks = append(remarks, fmt.Sprintf("%s: %d readings that stand at the same largest current are left out as the end of the meter's range", name, n))
		} else if n := len(c.Readings) - len(readings); n > 0 {
			remarks = append(remarks, fmt.Sprintf("%s: %d readings beyond the meter's range are left out", name, n))
		}
		slices.SortStableFunc(readings, func(a, b run.Reading) int { return cmp.Compare(a.Retarding, b.Retarding) })
		c.Readings = readings
		switch largest := largestOf(c); {
		case len(readings) < fewestReadings:
			remarks = append(remarks, fmt.Sprintf("%s is left out: it has %d usable readings, and a match needs %d", name, len(readings), fewestReadings))
			continue
		case !(largest > 3*r.Facts.Resolution):
			remarks = append(remarks, fmt.Sprintf("%s is left out: its largest current is %.3g A, which is no light for this meter", name, largest))
			continue
		}
		kept.Curves = append(kept.Curves, c)
	}
	if len(kept.Curves) < fewest {
		err = fmt.Errorf("a match needs %d curves of different light, and %d of these can be used", fewest, len(kept.Curves))
		for _, remark := range remarks {
			err = fmt.Errorf("%w; %s", err, remark)
		}
		return kept, remarks, err
	}
	if kept.Facts.Resolution == 0 {
		kept.Facts.Resolution = lastDigit(kept)
	}
	return kept, remarks, nil
}

// largestOf returns the largest current of a curve in A.
func largestOf(c run.Curve) float64 {
	var largest float64
	for _, r := range c.Readings {
		largest = max(largest, r.Current)
	}
	return largest
}

// saturated returns the number of readings, four or more at different voltages,
// that stand at exactly the largest current, and 0 where there are fewer.
func saturated(readings []run.Reading) int {
	var largest float64
	for _, r := range readings {
		largest = max(largest, r.Current)
	}
	n, at := 0, math.Inf(-1)
	for _, r := range readings {
		if r.Current == largest && r.Retarding != at {
			n, at = n+1, r.Retarding
		}
	}
	// A curve that the last digit shows in few steps has such a stretch too.
	if n < 4 || distinct(readings) < 12 {
		return 0
	}
	return n
}

// distinct returns the number of different currents.
func distinct(readings []run.Reading) int {
	currents := make([]float64, len(readings))
	for i, r := range readings {
		currents[i] = r.Current
	}
	slices.Sort(currents)
	return len(slices.Compact(currents))
}

// withoutLargest returns the readings below the largest current.
func withoutLargest(readings []run.Reading) []run.Reading {
	largest := math.Inf(-1)
	for _, r := range readings {
		largest = max(largest, r.Current)
	}
	return slices.DeleteFunc(readings, func(r run.Reading) bool { return r.Current == largest })
}

// lastDigit returns in A the step of which the currents of a run are multiples,
// as far as that can be seen: the least difference between two of them.
func lastDigit(r run.Run) float64 {
	var currents []float64
	for _, c := range r.Curves {
		for _, reading := range c.Readings {
			currents = append(currents, reading.Current)
		}
	}
	slices.Sort(currents)
	least := math.Inf(1)
	for i := 1; i < len(currents); i++ {
		if d := currents[i] - currents[i-1]; d > 1e-9*math.Abs(currents[i]) {
			least = min(least, d)
		}
	}
	if math.IsInf(least, 1) {
		return 0
	}
	return least
}

// rawMethods returns the methods by which a run may be read, in the order of
// preference that is settled for all runs, but for those that take long, and those
// that seldom tell more than the others.
func rawMethods() []analysis.Method {
	without := []string{
		analysis.CellFit{}.Name(), analysis.JointFit{}.Name(), analysis.SecondDerivative{}.Name(),
		analysis.PowerLaw{}.Name(), analysis.FixedCurrent{}.Name(),
	}
	var methods []analysis.Method
	for _, name := range analysis.Preference() {
		if m, err := analysis.ByName(name); err == nil && !slices.Contains(without, name) {
			methods = append(methods, m)
		}
	}
	return methods
}

var errNoRaw = errors.New("no method has a cutoff at three settings; see what stopvolt extract says of these curves")

// chooseRaw returns the index of the first method that has a cutoff at the most
// settings or at one less, and whether each setting has one.
func chooseRaw(x analysis.Extraction, methods int) (index int, answered []bool, err error) {
	numbers := make([]int, methods)
	for m := range numbers {
		for _, s := range x.Settings {
			if s.Cutoffs[m].Status == analysis.OK {
				numbers[m]++
			}
		}
	}
	most := slices.Max(numbers)
	if most < fewest {
		return 0, nil, errNoRaw
	}
	best := slices.IndexFunc(numbers, func(n int) bool { return n >= max(most-1, fewest) })
	for _, s := range x.Settings {
		answered = append(answered, s.Cutoffs[best].Status == analysis.OK)
	}
	return best, answered, nil
}
