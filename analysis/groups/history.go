package groups

import (
	"cmp"
	"math"
	"slices"
	"time"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// An Entry is what one run said of the condition of a bench.
type Entry struct {
	// Date is the day of the run.
	Date time.Time
	// Bench is the bench's name.
	Bench string
	// Sensitivity is the photocurrent at zero volts in A by nominal wavelength in
	// nm.
	Sensitivity map[float64]float64
	// PlateauRatio is the reverse current over the photocurrent of the brightest
	// line at zero volts, Leakage the conductance in siemens that the slope of the
	// plateau shows, and Shift the mean over the lines of the stopping voltage less
	// h/e times the frequency, in V. Each is NaN where the run does not tell it.
	PlateauRatio, Leakage, Shift float64
	// Repair says that something was repaired or exchanged before this run: what
	// was before is then another bench.
	Repair bool
}

// A Quantity is what is followed over the years.
type Quantity int

const (
	// Brightness is the common part of all lines' sensitivities: cell, lamp or
	// amplifier.
	Brightness Quantity = iota
	// LineBrightness is the sensitivity of one line over that of the others: its
	// filter.
	LineBrightness
	// Plateau is the plateau ratio: coating or light on the collector.
	Plateau
	// Base is the leakage conductance: a damp or dirty base.
	Base
	// Cutoff is the shift of the stopping voltages: the contact potential.
	Cutoff
)

// A Warning is a change of a bench that chance does not explain.
type Warning struct {
	Bench    string
	Quantity Quantity
	// Wavelength in nm is that of LineBrightness.
	Wavelength float64
	// Rate is the change a year: relative for all but Cutoff, for which it is in V.
	Rate Estimate
	// From and To are the values at the two ends of the fitted line, in the unit of
	// the quantity (relative to the mean for Brightness).
	From, To float64
	// Days are the first and the last day that it rests on, and N the number of runs.
	Days [2]time.Time
	N    int
	// P is the two-sided p-value of no change.
	P float64
}

// WarningLevel is the chance that any bench at all is warned of where none
// changes.
const WarningLevel = 0.01

// What a change must come to between the first and the last run to be worth a
// warning, however sure it is (a judgement).
const (
	leastRelative = 0.10
	leastShift    = 0.02 // V
)

// fewestRuns is the number of runs from which a trend is looked for.
const fewestRuns = 4

// Warnings looks at every bench since its last repair for a steady change: a
// straight line through each quantity against time (logarithms for all but the
// shift), Student's t of its slope, and Holm's correction at WarningLevel over all
// benches and quantities. Entries need not be in order.
func Warnings(history []Entry) []Warning {
	var all []Warning
	for _, bench := range benches(history) {
		all = append(all, trends(sinceRepair(bench))...)
	}
	ps := make([]float64, len(all))
	for i, w := range all {
		ps[i] = w.P
	}
	var kept []Warning
	for _, i := range smallest(ps, WarningLevel) {
		if all[i].matters() {
			kept = append(kept, all[i])
		}
	}
	return kept
}

// matters says whether a change is large enough.
func (w Warning) matters() bool {
	if w.Quantity == Cutoff {
		return math.Abs(w.To-w.From) >= leastShift
	}
	return math.Abs(math.Log(w.To/w.From)) >= math.Log1p(leastRelative)
}

// benches returns the entries of each bench, in the order of the names and the
// dates.
func benches(history []Entry) [][]Entry {
	sorted := slices.Clone(history)
	slices.SortStableFunc(sorted, func(a, b Entry) int {
		return cmp.Or(cmp.Compare(a.Bench, b.Bench), a.Date.Compare(b.Date))
	})
	var all [][]Entry
	for first := 0; first < len(sorted); {
		end := first
		for end < len(sorted) && sorted[end].Bench == sorted[first].Bench {
			end++
		}
		all = append(all, sorted[first:end])
		first = end
	}
	return all
}

// sinceRepair returns the entries of one bench from its last repair on.
func sinceRepair(entries []Entry) []Entry {
	for i := len(entries) - 1; i > 0; i-- {
		if entries[i].Repair {
			return entries[i:]
		}
	}
	return entries
}

// A series is one quantity of one bench against time.
type series struct {
	quantity   Quantity
	wavelength float64
	logarithm  bool
	days       []time.Time
	values     []float64
}

// trends fits each quantity of one bench.
func trends(entries []Entry) []Warning {
	var all []Warning
	for _, s := range seriesOf(entries) {
		if w, ok := s.trend(); ok {
			w.Bench = entries[0].Bench
			all = append(all, w)
		}
	}
	return all
}

// seriesOf takes the entries of one bench apart. A line's sensitivity counts where
// every entry has it.
func seriesOf(entries []Entry) []series {
	common := commonLines(entries)
	brightness := series{quantity: Brightness, logarithm: true}
	plateau := series{quantity: Plateau, logarithm: true}
	base := series{quantity: Base, logarithm: true}
	cutoff := series{quantity: Cutoff}
	lines := make([]series, len(common))
	for i, nm := range common {
		lines[i] = series{quantity: LineBrightness, wavelength: nm, logarithm: true}
	}
	for _, e := range entries {
		plateau.add(e.Date, e.PlateauRatio)
		base.add(e.Date, e.Leakage)
		cutoff.add(e.Date, e.Shift)
		if len(common) == 0 {
			continue
		}
		logs := make([]float64, len(common))
		for i, nm := range common {
			logs[i] = math.Log(e.Sensitivity[nm])
		}
		middle := median(logs)
		brightness.add(e.Date, math.Exp(middle))
		for i := range lines {
			// With three lines or more the median is not moved by the one.
			if len(common) > 2 {
				lines[i].add(e.Date, math.Exp(logs[i]-middle))
			}
		}
	}
	return append([]series{brightness, plateau, base, cutoff}, lines...)
}

// commonLines returns the wavelengths that all entries have a sensitivity for,
// rising.
func commonLines(entries []Entry) []float64 {
	var common []float64
	for nm := range entries[0].Sensitivity {
		if !slices.ContainsFunc(entries, func(e Entry) bool { return !(e.Sensitivity[nm] > 0) }) {
			common = append(common, nm)
		}
	}
	slices.Sort(common)
	return common
}

// median returns the median of numbers, one or more.
func median(x []float64) float64 {
	sorted := slices.Sorted(slices.Values(x))
	n := len(sorted)
	return (sorted[(n-1)/2] + sorted[n/2]) / 2
}

// add adds a value that is one.
func (s *series) add(day time.Time, value float64) {
	if math.IsNaN(value) || math.IsInf(value, 0) || s.logarithm && value <= 0 {
		return
	}
	s.days, s.values = append(s.days, day), append(s.values, value)
}

// year is the mean length of one in hours.
const year = 365.25 * 24

// trend fits a straight line; false says that there is too little for one.
func (s series) trend() (Warning, bool) {
	n := len(s.values)
	if n < fewestRuns {
		return Warning{}, false
	}
	x, y := make([]float64, n), make([]float64, n)
	for i := range x {
		x[i] = s.days[i].Sub(s.days[0]).Hours() / year
		y[i] = s.values[i]
		if s.logarithm {
			y[i] = math.Log(y[i])
		}
	}
	variance := stat.Variance(x, nil)
	if variance == 0 {
		return Warning{}, false
	}
	height, slope := stat.LinearRegression(x, y, nil, false)
	var squares float64
	for i := range x {
		d := y[i] - height - slope*x[i]
		squares += d * d
	}
	u := math.Sqrt(squares / float64(n-2) / (variance * float64(n-1)))
	w := Warning{
		Quantity: s.quantity, Wavelength: s.wavelength, Rate: Estimate{slope, u},
		From: height, To: height + slope*x[n-1], Days: [2]time.Time{s.days[0], s.days[n-1]}, N: n,
	}
	if s.logarithm {
		w.From, w.To = math.Exp(w.From), math.Exp(w.To)
	}
	w.P = twoSided(slope, u, float64(n-2))
	return w, true
}

// twoSided returns the two-sided p-value of a difference of zero.
func twoSided(difference, u, freedom float64) float64 {
	switch {
	case difference == 0:
		return 1
	case u == 0:
		return 0
	}
	return 2 * distuv.StudentsT{Sigma: 1, Nu: freedom}.CDF(-math.Abs(difference/u))
}

// A Change compares a quantity of a bench before and after its last repair.
type Change struct {
	Bench      string
	Quantity   Quantity
	Wavelength float64
	// Before and After are means with their standard uncertainties: logarithms'
	// means for all but Cutoff, given back as factors to the mean before.
	Before, After float64
	// P is the two-sided p-value of no change by Welch's t (B. L. Welch,
	// Biometrika 34, 28 (1947)); NaN with fewer than two runs on a side.
	P float64
}

// Changes compares before and after the last repair of each bench that had one.
func Changes(history []Entry) []Change {
	var all []Change
	for _, bench := range benches(history) {
		after := sinceRepair(bench)
		before := bench[:len(bench)-len(after)]
		if len(before) == 0 {
			continue
		}
		// What there was before an earlier repair is another bench again.
		before = sinceRepair(before)
		all = append(all, changes(before, after)...)
	}
	return all
}

// changes compares the quantities of one bench.
func changes(before, after []Entry) []Change {
	var all []Change
	earlier, later := seriesOf(before), seriesOf(after)
	for _, a := range earlier {
		for _, b := range later {
			if a.quantity != b.quantity || a.wavelength != b.wavelength || len(a.values) == 0 || len(b.values) == 0 {
				continue
			}
			all = append(all, compare(a, b, before[0].Bench))
		}
	}
	return all
}

// compare compares one quantity.
func compare(a, b series, bench string) Change {
	x, y := a.scaled(), b.scaled()
	c := Change{Bench: bench, Quantity: a.quantity, Wavelength: a.wavelength,
		Before: stat.Mean(x, nil), After: stat.Mean(y, nil), P: math.NaN()}
	if len(x) > 1 && len(y) > 1 {
		vx, vy := stat.Variance(x, nil)/float64(len(x)), stat.Variance(y, nil)/float64(len(y))
		freedom := (vx + vy) * (vx + vy) / (vx*vx/float64(len(x)-1) + vy*vy/float64(len(y)-1))
		c.P = twoSided(c.After-c.Before, math.Sqrt(vx+vy), freedom)
	}
	if a.logarithm {
		c.Before, c.After = math.Exp(c.Before), math.Exp(c.After)
	}
	return c
}

// scaled returns the values as they are compared.
func (s series) scaled() []float64 {
	out := slices.Clone(s.values)
	if s.logarithm {
		for i := range out {
			out[i] = math.Log(out[i])
		}
	}
	return out
}
