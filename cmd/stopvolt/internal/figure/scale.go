package figure

import (
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
)

// A unit is a unit with a prefix that suits the numbers at hand.
type unit struct {
	// name is such as "pA", and size is what it is in the plain unit.
	name string
	size float64
}

// currentUnit returns the unit in which the largest of some currents in A is
// between 1 and 1000.
func currentUnit(largest float64) unit {
	for _, u := range []unit{{"A", 1}, {"mA", 1e-3}, {"µA", 1e-6}, {"nA", 1e-9}, {"pA", 1e-12}} {
		// A little less than one counts, so that 0.99 nA is not 990 pA.
		if largest >= 0.9*u.size {
			return u
		}
	}
	return unit{"fA", 1e-15}
}

// ticks marks an axis at multiples of 1, 2 or 5, at most as many as said, and
// with a minus sign that is as wide as a figure.
type ticks struct{ most int }

// Ticks returns the marks between two values.
func (t ticks) Ticks(low, high float64) []plot.Tick {
	step := niceStep((high - low) / float64(max(t.most, 2)))
	decimals := max(0, -int(math.Floor(math.Log10(step)+1e-9)))
	var marks []plot.Tick
	for k := math.Ceil(low/step - 1e-9); k <= high/step+1e-9; k++ {
		marks = append(marks, plot.Tick{Value: k * step, Label: number(k*step, decimals)})
	}
	return marks
}

// levelTicks marks a horizontal axis of a length in points with as many
// numbers as have room.
type levelTicks struct{ length vg.Length }

// Ticks returns the marks between two values.
func (t levelTicks) Ticks(low, high float64) []plot.Tick {
	style := lettering(tickSize, ink)
	for most := 9; ; most-- {
		marks := ticks{most}.Ticks(low, high)
		var widest vg.Length
		for _, m := range marks {
			widest = max(widest, style.Width(m.Label))
		}
		if most == 2 || vg.Length(len(marks))*(widest+8) <= t.length {
			return marks
		}
	}
}

// niceStep returns the least of 1, 2 and 5 times a power of ten that is not
// below a length.
func niceStep(least float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(least)))
	for _, m := range []float64{1, 2, 5} {
		if m*power >= least*(1-1e-9) {
			return m * power
		}
	}
	return 10 * power
}

// number writes a value with a count of decimals and a true minus sign; what
// rounds to zero has no sign.
func number(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.HasPrefix(s, "-") {
		s = s[1:]
		if strings.Trim(s, "0.") != "" {
			s = "−" + s
		}
	}
	return s
}

// decimalsFor returns how many decimals show two figures of an uncertainty, at
// most six.
func decimalsFor(u float64) int {
	if !(u > 0) || math.IsInf(u, 0) {
		return 3
	}
	return min(max(1-int(math.Floor(math.Log10(u))), 0), 6)
}

// measured writes a value with its standard uncertainty, to two figures of the
// latter, such as "0.842 ± 0.013"; without an uncertainty above zero the value
// stands alone.
func measured(v, u float64) string {
	d := decimalsFor(u)
	if !(u > 0) || math.IsInf(u, 0) {
		return number(v, d)
	}
	return number(v, d) + " ± " + number(u, d)
}

// extent is the range of values on an axis.
type extent struct{ low, high float64 }

// nowhere is the extent of no values.
func nowhere() extent { return extent{math.Inf(1), math.Inf(-1)} }

// with returns the extent that also holds values; those that are not finite
// are passed over.
func (e extent) with(values ...float64) extent {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			continue
		}
		e.low, e.high = math.Min(e.low, v), math.Max(e.high, v)
	}
	return e
}

// padded returns the extent with a fraction of its length added at both ends.
// An extent without length grows by least on both sides instead.
func (e extent) padded(fraction, least float64) extent {
	if e.low > e.high {
		return extent{-least, least}
	}
	by := math.Max((e.high-e.low)*fraction, 0)
	if e.high-e.low == 0 {
		by = least
	}
	return extent{e.low - by, e.high + by}
}

// holds says whether a value lies in the extent.
func (e extent) holds(v float64) bool { return v >= e.low && v <= e.high }

// finite says whether all values are finite.
func finite(values ...float64) bool {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}
