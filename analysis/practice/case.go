package practice

import (
	"math"
	"slices"
	"sort"
	"time"

	"stopvolt/analysis"
	"stopvolt/instrument/run"
	"stopvolt/physics"
)

// A Case is one student's answer beside what the marker recomputes from it and
// from the student's own readings. Checks look at cases.
type Case struct {
	Public
	Student Student
	Truth   Truth
	Answer  Answer
	// References are those of all methods, on this student's readings.
	References []Reference
	// Named is the index of the method that the student names, and Nearest that
	// of the method whose stopping voltages are nearest to the student's; -1
	// for none.
	Named, Nearest int
	// Line is the ordinary line through the student's own stopping voltages, but
	// for those left out by the student's word; nil without two of them, and without
	// a scatter where there are two. Where
	// the student typed the voltages wrong and went on with the right ones, it
	// is the line through the right ones.
	Line *analysis.Line

	// own is the answer with a slip of the voltages that runs through the rest
	// of it set right: the same unit or sign in slope and intercept. factor is
	// what was taken out, 1 for nothing.
	own    Answer
	factor float64
	// points are those of Line, and lines are the lines through them by every fit of
	// the program that the student's slope agrees with; Line alone where none does.
	points []analysis.Point
	lines  []analysis.Line
	// onCurve says of each setting that the student's voltage lies where the curve has
	// come down, for what no method has a cutoff for.
	onCurve []bool
	// late is how long after the end of the student's time the answer came.
	late time.Duration
	// alike is another student with the same voltages or the same line; empty for
	// none.
	alike string
	// sameCurrent is the current in A at which all curves are at the student's
	// voltages, NaN if they differ, and unequal says that the lights do.
	sameCurrent float64
	unequal     bool
	// others are the cases of the class, for what two sheets have in common.
	others []*Case
}

// newCase recomputes what it can from an answer.
func newCase(p Public, r Record, a Answer, references []Reference) *Case {
	c := &Case{Public: p, Student: r.Student, Truth: r.Truth, Answer: a, References: references, Named: -1, Nearest: -1}
	c.Named = slices.IndexFunc(references, func(x Reference) bool { return x.Method == a.Method })
	least := math.Inf(1)
	for m, x := range references {
		if d, n := c.distance(c.volts(), x.Stopping); n >= 2 && d < least {
			least, c.Nearest = d, m
		}
	}
	c.lookAtCurrents(r.Run)
	c.takeOwnCurrent(r)
	c.drawLine()
	c.lookAtCurves(r.Run)
	return c
}

// points returns those settings as points for which a function has a voltage.
func (t Truth) points(voltage func(i int) (float64, bool)) []analysis.Point {
	var points []analysis.Point
	for i, s := range t.Settings {
		if v, ok := voltage(i); ok {
			points = append(points, analysis.Point{Setting: s.Name, Frequency: physics.Frequency(s.Wavelength), Stopping: v})
		}
	}
	return points
}

// place returns the index of the setting of a name, -1 if there is none.
func (t Truth) place(setting string) int {
	return slices.IndexFunc(t.Settings, func(s SettingTruth) bool { return s.Name == setting })
}

// volts returns the student's stopping voltages, NaN where there is none.
func (c *Case) volts() []float64 { return values(c.Answer.Stopping) }

// values returns the numbers of quantities.
func values(q []Quantity) []float64 {
	v := make([]float64, len(q))
	for i := range q {
		v[i] = q[i].Value
	}
	return v
}

// counts reports whether a setting is one whose voltage says something.
func (c *Case) counts(i int) bool { return c.Truth.Settings[i].Frees }

// distance returns the root mean square difference in V between voltages and
// those of a method, over the n settings that have both.
func (c *Case) distance(v, reference []float64) (rms float64, n int) {
	var sum float64
	for i := range v {
		if d := v[i] - reference[i]; c.counts(i) && !math.IsNaN(d) {
			sum += d * d
			n++
		}
	}
	return math.Sqrt(sum / float64(n)), n
}

// near reports whether a voltage is as near to a method's as a careful person
// with a ruler comes: within some steps of the dial, or some of the method's own
// standard uncertainties, as the scheme says.
func (c *Case) near(v, reference, u float64) bool {
	t := c.Scheme.Tolerances
	return math.Abs(v-reference) <= max(t.VoltageSteps*c.Step, t.VoltageU*orZero(u))*(1+1e-9)
}

// orZero returns an uncertainty, and 0 where there is none.
func orZero(u float64) float64 {
	if u > 0 {
		return u
	}
	return 0
}

// agreement returns how many of the voltages agree with those of a method, of
// how many that both have.
func (c *Case) agreement(v []float64, x Reference) (agree, of int) {
	for i := range v {
		if !c.counts(i) || math.IsNaN(v[i]) || math.IsNaN(x.Stopping[i]) {
			continue
		}
		of++
		if c.near(v[i], x.Stopping[i], x.U[i]) {
			agree++
		}
	}
	return agree, of
}

// agrees reports whether all voltages agree with a method's.
func (c *Case) agrees(v []float64, x Reference) bool {
	agree, of := c.agreement(v, x)
	return of >= 2 && agree == of
}

// agreesWithNamed reports whether all of the student's voltages agree with the
// method that the student names.
func (c *Case) agreesWithNamed() bool {
	return c.Named >= 0 && c.agrees(c.volts(), c.References[c.Named])
}

// compared returns the method that the student's voltages are compared with:
// the one named, or the nearest where none is.
func (c *Case) compared() (Reference, bool) {
	switch {
	case c.Named >= 0:
		return c.References[c.Named], true
	case c.Nearest >= 0:
		return c.References[c.Nearest], true
	}
	return Reference{}, false
}

// Compared returns the method that the student's voltages are compared with, the
// one named or else the nearest, and the settings in which they differ; ok is
// false without any.
func (c *Case) Compared() (method string, differ []string, ok bool) {
	x, ok := c.compared()
	if !ok {
		return "", nil, false
	}
	for i, s := range c.Truth.Settings {
		v := c.Answer.Stopping[i].Value
		if c.counts(i) && !math.IsNaN(v-x.Stopping[i]) && !c.near(v, x.Stopping[i], x.U[i]) ||
			c.counts(i) && !math.IsNaN(v) && math.IsNaN(x.Stopping[i]) && !c.onCurve[i] {
			differ = append(differ, s.Name)
		}
	}
	return x.Method, differ, true
}

// candidates returns the methods that a pattern is tried with: the one named,
// or all where none is.
func (c *Case) candidates() []Reference {
	if c.Named >= 0 {
		return c.References[c.Named : c.Named+1]
	}
	return c.References
}

// lookAtCurrents finds out whether the student's voltages are where all curves
// have one current, while the lights do not have one power.
func (c *Case) lookAtCurrents(r run.Run) {
	c.sameCurrent = math.NaN()
	curves := lit(r, true).Curves
	var there, whole []float64
	for i, curve := range curves {
		if !c.counts(i) || !c.Answer.Stopping[i].Given() {
			continue
		}
		sortByVoltage(curve.Readings)
		there = append(there, currentAt(curve.Readings, c.Answer.Stopping[i].Value))
		whole = append(whole, curve.Readings[0].Current)
	}
	if len(there) < 3 {
		return
	}
	c.unequal = slices.Max(whole) > 1.5*slices.Min(whole)
	slices.Sort(there)
	level := there[len(there)/2]
	// The common current has to stand clear of the last digit; any method
	// leaves some digits of current at its cutoff. Whoever says that it is a fixed
	// current is believed sooner.
	digits := 10.
	if c.isFixedCurrent() {
		digits = 3
	}
	if !(level > digits*c.Resolution) {
		return
	}
	at := 0
	for i, curve := range curves {
		if !c.counts(i) || !c.Answer.Stopping[i].Given() {
			continue
		}
		if d := c.Answer.Stopping[i].Value - voltageAt(curve.Readings, level); !(math.Abs(d) <= 0.3*c.Step) {
			return
		}
		at++
	}
	c.sameCurrent = level
}

// takeOwnCurrent compares somebody who reads by a fixed current with the curves at that
// current: which one is chosen is the student's own choice.
func (c *Case) takeOwnCurrent(r Record) {
	if !c.isFixedCurrent() || math.IsNaN(c.sameCurrent) {
		return
	}
	x := c.References[c.Named]
	x.Stopping = slices.Clone(x.Stopping)
	for i, curve := range lit(r.Run, true).Curves {
		if c.counts(i) && !math.IsNaN(x.Stopping[i]) {
			sortByVoltage(curve.Readings)
			x.Stopping[i] = voltageAt(curve.Readings, c.sameCurrent)
		}
	}
	x.draw(r.Truth)
	c.References = slices.Clone(c.References)
	c.References[c.Named] = x
}

// sortByVoltage puts readings in the order of their voltages.
func sortByVoltage(readings []run.Reading) {
	sort.SliceStable(readings, func(a, b int) bool { return readings[a].Retarding < readings[b].Retarding })
}

// lookAtCurves finds out which of the student's voltages lie within the sweep, where
// the current has come down to a third of its height or less.
func (c *Case) lookAtCurves(r run.Run) {
	const third = 1. / 3
	c.onCurve = make([]bool, len(c.Answer.Stopping))
	for i, curve := range lit(r, true).Curves {
		sortByVoltage(curve.Readings)
		top := 0.0
		for _, x := range curve.Readings {
			top = max(top, x.Current)
		}
		if i < len(c.onCurve) {
			// Beyond the sweep there is no current, and the comparison fails.
			c.onCurve[i] = currentAt(curve.Readings, c.Answer.Stopping[i].Value) <= third*top
		}
	}
}

// currentAt returns the current in A between readings in the order of their
// voltage, NaN beyond them.
func currentAt(readings []run.Reading, v float64) float64 {
	for i := 1; i < len(readings); i++ {
		a, b := readings[i-1], readings[i]
		if a.Retarding <= v && v <= b.Retarding && a.Retarding < b.Retarding {
			return a.Current + (b.Current-a.Current)*(v-a.Retarding)/(b.Retarding-a.Retarding)
		}
	}
	return math.NaN()
}

// voltageAt returns the last voltage in V at which the current of readings falls
// through a level in A, NaN if it does not.
func voltageAt(readings []run.Reading, level float64) float64 {
	for i := len(readings) - 1; i > 0; i-- {
		a, b := readings[i-1], readings[i]
		if a.Current >= level && b.Current < level {
			return a.Retarding + (b.Retarding-a.Retarding)*(a.Current-level)/(a.Current-b.Current)
		}
	}
	return math.NaN()
}

// HOverE returns the h/e in V s that the student answered, without UnitFactor;
// NaN for no answer. It is not that of the own line where the two differ.
func (c *Case) HOverE() float64 { return c.Answer.HOverE.Value / c.UnitFactor() }

// UnitFactor returns the factor of a unit, a sign or the elementary charge that
// a finding has named and that stands in the answered h/e; 1 for none. Without
// it the number tells more of the work.
func (c *Case) UnitFactor() float64 {
	h := c.Answer.HOverE
	if !h.Given() || near(h, c.slope()) {
		return 1
	}
	if c.resultFollows() {
		factor := c.factor
		if e, ok := slopePower(c); ok {
			factor *= math.Pow10(e.Power)
		}
		return factor
	}
	if n, ok := powerOfTen(h.Value, c.slope(), 0.01); ok {
		return math.Pow10(n)
	}
	if factor, ok := c.chargeFactor(); ok {
		return factor
	}
	return 1
}

// U returns the stated standard uncertainty of h/e in V s, NaN for none: an expanded
// one is divided by the coverage factor that it is stated with. Where h/e has a
// UnitFactor, it is taken out of an uncertainty that has it too.
func (c *Case) U() float64 {
	u, h := c.Answer.U.Value, math.Abs(c.HOverE())
	if k := c.Answer.CoverageFactor.Value; k > 0 {
		u /= k
	}
	believable := func(u float64) bool { return u > 1e-5*h && u < h }
	if scaled := u / math.Abs(c.UnitFactor()); !believable(u) && believable(scaled) {
		return scaled
	}
	return u
}

// Deviation returns how far the h/e that the student answered is from the
// truth, relative to it, and in units of the stated uncertainty; NaN for what is
// not given.
func (c *Case) Deviation() (relative, inU float64) { return c.deviation(c.HOverE()) }

// deviation is that of any h/e in V s.
func (c *Case) deviation(h float64) (relative, inU float64) {
	d := h - c.Truth.HOverE
	relative, inU = d/c.Truth.HOverE, math.NaN()
	if c.U() > 0 {
		inU = d / c.U()
	}
	return relative, inU
}
