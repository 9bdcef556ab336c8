package practicetest

import (
	"cmp"
	"math"
	"slices"
	"time"

	"stopvolt/analysis/practice"
	"stopvolt/instrument/run"
	"stopvolt/physics"
)

// A Slip is what a student does to an honest answer. It is to be found, and Nothing
// else but what is allowed beside it.
type Slip struct {
	// Check is the name of the check that is to find it, and Beside are those that
	// may find something, too.
	Check  string
	Beside []string
	// Level is that of the set on which it can be made, empty for any, and Blind says
	// that each student's world needs an h/e of its own.
	Level string
	Blind bool
	// Method is the one by which the student reads.
	Method string
	// Least is the root mean square change of the voltages in V below which the
	// slip does Nothing on a sheet, and cannot be found.
	Least float64
	// Costs is the most that it may cost, 3 points where it is 0.
	Costs float64
	// Make makes the slip at desk i of a room.
	Make func(r Room, i int, a *Work)
}

func each(f func(float64) float64) func(Room, int, *Work) {
	return func(_ Room, _ int, a *Work) {
		for k := range a.Stopping {
			a.Stopping[k].Value = f(a.Stopping[k].Value)
		}
		a.Conclude()
	}
}

// fit returns the slope of y against x.
func fit(x, y []float64) float64 {
	var mx, my, xx, xy float64
	for i := range x {
		mx, my = mx+x[i]/float64(len(x)), my+y[i]/float64(len(x))
	}
	for i := range x {
		xx += (x[i] - mx) * (x[i] - mx)
		xy += (x[i] - mx) * (y[i] - my)
	}
	return xy / xx
}

// against returns the slope of the voltages against a function of the frequency.
func against(a *Work, f func(float64) float64) float64 {
	var x, y []float64
	for _, p := range a.Points() {
		x, y = append(x, f(p.Frequency)), append(y, p.Stopping)
	}
	return fit(x, y)
}

const light = physics.SpeedOfLight

// Slips returns all slips, at least one for each check.
func Slips() []Slip {
	slope := func(f func(a *Work) float64) func(Room, int, *Work) {
		return func(_ Room, _ int, a *Work) {
			a.Slope = To(f(a), 3)
			a.HOverE = a.Slope
		}
	}
	return []Slip{
		{Check: "voltage-sign", Method: "tangent", Make: each(func(v float64) float64 { return -v })},
		{Check: "contact-in-voltages", Method: "tangent", Make: func(_ Room, _ int, a *Work) {
			for k := range a.Stopping {
				a.Stopping[k] = Volt(a.Stopping[k].Value + a.Desk.Contact)
			}
			a.Conclude()
		}},
		{Check: "wrong-decade", Method: "tangent", Make: each(func(v float64) float64 { return 1000 * v })},
		{Check: "wrong-decade", Method: "null-reading", Make: func(_ Room, _ int, a *Work) {
			a.Stopping[1].Value *= 10
			a.Conclude()
		}},
		{Check: "neighbours-swapped", Method: "two-tangent", Make: func(_ Room, _ int, a *Work) {
			a.Stopping[1], a.Stopping[2] = a.Stopping[2], a.Stopping[1]
			a.Conclude()
		}},
		{Check: "other-sheet", Blind: true, Beside: []string{"alike"}, Method: "tangent", Make: func(r Room, i int, a *Work) {
			// The sheet that is least like the own one; two may be alike by
			// chance.
			own := a.Stopping[0].Value
			far := slices.MaxFunc(r, func(x, y *Desk) int {
				off := func(d *Desk) float64 { return math.Abs(d.Reads("tangent", false).Stopping[0].Value - own) }
				return cmp.Compare(off(x), off(y))
			})
			a.Stopping = far.Reads("tangent", i%2 == 1).Stopping
			a.Conclude()
		}},
		{Check: "other-method", Level: "awkward", Method: "tangent", Make: func(r Room, i int, a *Work) {
			a.Stopping = r[i].Reads("square-root", i%2 == 1).Stopping
			a.Conclude()
		}},
		{Check: "zero-crossing-reverse", Level: "awkward", Method: "zero-crossing", Make: func(Room, int, *Work) {}},
		{Check: "fixed-current-unequal", Level: "awkward", Method: "fixed-current", Make: func(Room, int, *Work) {}},
		{Check: "dark-kept", Level: "awkward", Least: 0.02, Method: "zero-crossing", Beside: []string{"zero-crossing-reverse"}, Make: func(r Room, i int, a *Work) {
			kept := r[i].Reading("zero-crossing").Kept
			for k := range a.Stopping {
				if a.Stopping[k].Given() {
					a.Stopping[k] = Volt(kept[k])
				}
			}
			a.Conclude()
		}},
		{Check: "fixed-current", Level: "awkward", Least: 0.05, Method: "tangent", Make: func(r Room, i int, a *Work) {
			a.Stopping = r[i].AtCurrent(4e-12).Stopping
			a.Conclude()
		}},
		{Check: "rounded-to-step", Beside: []string{"alike"}, Method: "tangent", Make: each(func(v float64) float64 { return math.Round(v/0.05) * 0.05 })},
		{Check: "below-threshold-kept", Level: "awkward", Method: "tangent", Make: func(_ Room, _ int, a *Work) {
			last := len(a.Stopping) - 1
			a.Stopping[last], a.LeftOut[last] = practice.Quantity{Value: 0, Half: 0.5}, false
			a.Conclude()
		}},
		{Check: "wavelength-axis", Method: "tangent", Make: slope(func(a *Work) float64 {
			return against(a, func(f float64) float64 { return 1e9 * light / f })
		})},
		{Check: "reciprocal-axis", Method: "tangent", Make: slope(func(a *Work) float64 {
			return against(a, func(f float64) float64 { return f / light / 1e9 })
		})},
		{Check: "power-of-ten", Method: "tangent", Make: slope(func(a *Work) float64 { return a.Slope.Value * 1e14 })},
		{Check: "power-of-ten", Method: "null-reading", Make: slope(func(a *Work) float64 { return a.Slope.Value * 1e9 })},
		{Check: "axes-swapped", Method: "tangent", Make: slope(func(a *Work) float64 {
			var x, y []float64
			for _, p := range a.Points() {
				x, y = append(x, p.Frequency), append(y, p.Stopping)
			}
			return fit(y, x)
		})},
		{Check: "through-origin", Method: "tangent", Make: func(_ Room, _ int, a *Work) {
			var fv, ff float64
			for _, p := range a.Points() {
				fv += p.Frequency * p.Stopping
				ff += p.Frequency * p.Frequency
			}
			a.Slope, a.Intercept = To(fv/ff, 3), practice.Quantity{Value: 0, Half: 0.5}
			a.Result()
		}},
		{Check: "point-dropped", Method: "null-reading", Make: func(_ Room, _ int, a *Work) {
			// A point is read a step off, away from the line of the others,
			// looks odd, and is gone.
			a.LeftOut[3] = true
			a.Conclude()
			a.LeftOut[3] = false
			off := a.Stopping[3].Value - a.Slope.Value*physics.Frequency(a.Desk.Settings[3].Wavelength) - a.Intercept.Value
			a.Stopping[3].Value += math.Copysign(0.05, off)
		}},
		{Check: "joules", Method: "tangent", Make: func(_ Room, _ int, a *Work) {
			a.HOverE = To(a.Slope.Value*physics.ElementaryCharge, 3)
		}},
		{Check: "result-power", Method: "tangent", Make: func(_ Room, _ int, a *Work) {
			a.HOverE = To(a.Slope.Value*10, 3)
		}},
		{Check: "not-a-number", Method: "tangent", Make: func(_ Room, _ int, a *Work) {
			a.U = Nothing
			a.Unreadable = []practice.Unreadable{{Column: "u_h_over_e_Vs", Text: "small"}}
		}},
		{Check: "unknown-method", Method: "tangent", Make: func(_ Room, _ int, a *Work) {
			a.Method = "by-eye"
		}},
		{Check: "off-own-line", Blind: true, Method: "tangent", Make: func(_ Room, _ int, a *Work) {
			a.HOverE = To(a.Slope.Value*0.87, 3)
		}},
		{Check: "near-book-value", Method: "tangent", Make: func(_ Room, _ int, a *Work) {
			a.HOverE = To(4.14e-15, 3)
		}},
		{Check: "near-book-value", Blind: true, Beside: []string{"alike"}, Method: "tangent", Costs: 7, Make: func(_ Room, _ int, a *Work) {
			for k, s := range a.Desk.Settings {
				a.Stopping[k] = Volt(physics.HOverE*physics.Frequency(s.Wavelength) - 2.3)
			}
			a.Conclude()
		}},
		{Check: "intercept-sign", Method: "tangent", Make: func(_ Room, _ int, a *Work) {
			a.CollectorWorkFunction.Value = a.Intercept.Value
			a.EmitterWorkFunction = Nothing
		}},
		{Check: "intercept-of-emitter", Method: "tangent", Make: func(_ Room, _ int, a *Work) {
			a.EmitterWorkFunction, a.CollectorWorkFunction = a.CollectorWorkFunction, Nothing
		}},
		{Check: "contact-sign", Method: "tangent", Make: func(_ Room, _ int, a *Work) {
			a.EmitterWorkFunction = Volt(a.CollectorWorkFunction.Value + a.Desk.Contact)
		}},
		{Check: "method-bias", Level: "awkward", Method: "tangent", Make: func(Room, int, *Work) {}},
		{Check: "alike", Method: "tangent", Beside: []string{"other-sheet"}, Make: func(r Room, i int, a *Work) {
			// A neighbour's numbers, all of them.
			student := a.Student
			a.Answer = r[i&^1].Reads("tangent", false).Answer
			a.Student = student
		}},
		{Check: "late", Method: "tangent", Make: func(_ Room, _ int, a *Work) { a.Time = Due.Add(time.Minute) }},
	}
}

// AtCurrent returns the answer of an honest student who chose a fixed current in A.
func (d *Desk) AtCurrent(level float64) Work {
	a := d.Reads("fixed-current", false)
	for k, curve := range d.Run.Curves[1 : 1+len(a.Stopping)] {
		if a.Stopping[k].Given() {
			a.Stopping[k] = Volt(fallsTo(curve, d.Run.Curves[0], level))
		}
	}
	a.Conclude()
	return a
}

// fallsTo returns where a curve less the dark one falls to a current in A.
func fallsTo(c, dark run.Curve, level float64) float64 {
	for i := len(c.Readings) - 1; i > 0; i-- {
		a, b := c.Readings[i-1].Current-dark.Readings[i-1].Current, c.Readings[i].Current-dark.Readings[i].Current
		if a >= level && b < level {
			v, w := c.Readings[i-1].Retarding, c.Readings[i].Retarding
			return v + (w-v)*(a-level)/(a-b)
		}
	}
	return math.NaN()
}
