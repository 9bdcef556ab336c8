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

// finestCurrent is the least current in A that an axis is stretched to show, six
// electrons in a second.
const finestCurrent = 1e-18

// currentAxis returns the range of an axis for a range of currents in A, and
// its unit.
func currentAxis(amount extent) (extent, unit) {
	if math.Max(amount.high, -amount.low) < finestCurrent {
		amount = extent{-finestCurrent, finestCurrent}
	}
	u := currentUnit(math.Max(amount.high, -amount.low))
	return extent{amount.low / u.size, amount.high / u.size}.padded(0.06, 1), u
}

// ticks marks an axis at multiples of 1, 2 or 5, at most as many as said, or as
// many as have room where nothing is said.
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
// numbers as have room, at powers of ten if it is logarithmic.
type levelTicks struct {
	length      vg.Length
	logarithmic bool
}

// Ticks returns the marks between two values.
func (t levelTicks) Ticks(low, high float64) []plot.Tick {
	for most := 9; ; most-- {
		var marks []plot.Tick
		if t.logarithmic {
			marks = decades{most}.Ticks(low, high)
		} else {
			marks = ticks{most}.Ticks(low, high)
		}
		if t.spaced(marks, low, high) || most == 2 {
			return marks
		}
	}
}

// spaced drops the numbers that would stick out far beyond the ends of the
// axis, and says whether no two of the others come near one another.
func (t levelTicks) spaced(marks []plot.Tick, low, high float64) bool {
	const out, apart = 10, 7
	var scale plot.Normalizer = plot.LinearScale{}
	if t.logarithmic {
		scale = plot.LogScale{}
	}
	style := lettering(tickSize, ink)
	free, good := vg.Length(math.Inf(-1)), true
	for i, m := range marks {
		if m.Label == "" {
			continue
		}
		middle, half := vg.Length(scale.Normalize(low, high, m.Value))*t.length, style.Width(m.Label)/2
		if middle-half < -out || middle+half > t.length+out {
			marks[i].Label = ""
			continue
		}
		good = good && middle-half >= free
		free = middle + half + apart
	}
	return good
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

// decades marks a logarithmic axis at powers of ten, at most as many of them
// with a number as said, and in between where there are few.
type decades struct{ most int }

// Ticks returns the marks between two values above zero.
func (d decades) Ticks(low, high float64) []plot.Tick {
	first, last := math.Ceil(math.Log10(low)-1e-9), math.Floor(math.Log10(high)+1e-9)
	every := math.Max(1, math.Ceil((last-first+1)/float64(max(d.most, 2))))
	// Below two decades the powers alone would leave the axis bare.
	few := high/low < 100
	var marks []plot.Tick
	for k := first - 1; k <= last; k++ {
		for m := 1.; m < 10; m++ {
			v := m * math.Pow(10, k)
			if v < low*(1-1e-9) || v > high*(1+1e-9) {
				continue
			}
			label := ""
			if m == 1 && math.Mod(last-k, every) == 0 || few && (m == 2 || m == 5) {
				label = number(v, max(0, int(-k)))
			}
			if label != "" || every == 1 {
				marks = append(marks, plot.Tick{Value: v, Label: label})
			}
		}
	}
	return marks
}

// number writes a value with a count of decimals and a true minus sign; what
// rounds to zero has no sign. What would be too long is written with a power of
// ten, as in "1e−9".
func number(v float64, decimals int) string {
	if v == 0 && decimals > 5 {
		return "0"
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if v != 0 && (decimals > 5 || math.Abs(v) >= 1e5) {
		s = strings.NewReplacer("e+0", "e", "e+", "e", "e-0", "e-").Replace(strconv.FormatFloat(v, 'g', 3, 64))
	}
	if strings.HasPrefix(s, "-") && strings.Trim(s, "-0.") == "" {
		s = s[1:]
	}
	return strings.ReplaceAll(s, "-", "−")
}

// decimalsFor returns how many decimals show two figures of an uncertainty, at
// most five.
func decimalsFor(u float64) int {
	if !(u > 0) || math.IsInf(u, 0) {
		return 3
	}
	return min(max(1-int(math.Floor(math.Log10(u))), 0), 5)
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

// threeFigures writes a value to three significant figures.
func threeFigures(v float64) string {
	if v == 0 || !finite(v) {
		return number(v, 0)
	}
	return number(v, max(0, 2-int(math.Floor(math.Log10(math.Abs(v))))))
}

// extent is the range of values on an axis.
type extent struct{ low, high float64 }

// nowhere is the extent of no values.
func nowhere() extent { return extent{math.Inf(1), math.Inf(-1)} }

// with returns the extent that also holds values; those that are not finite
// are passed over.
func (e extent) with(values ...float64) extent {
	for _, v := range values {
		if !finite(v) {
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

// drawable returns the extent, widened where it is too short for its numbers to
// be told apart from one another or from zero.
func (e extent) drawable() extent {
	size := math.Max(math.Abs(e.low), math.Abs(e.high))
	switch {
	case size < 1e-30:
		return extent{-1, 1}
	case e.high-e.low > 1e-9*size:
		return e
	}
	return extent{e.low - size/100, e.high + size/100}
}

// holds says whether a value lies in the extent.
func (e extent) holds(v float64) bool { return v >= e.low && v <= e.high }

// beyondDrawing is a size at which no quantity of this package makes sense, and
// arithmetic on it may overflow.
const beyondDrawing = 1e100

// unbounded says whether any value is infinite or too large to be drawn; what
// is not a number is not unbounded, but not known.
func unbounded(values ...float64) bool {
	for _, v := range values {
		if math.Abs(v) >= beyondDrawing {
			return true
		}
	}
	return false
}

// finite says whether all values are finite and can be drawn.
func finite(values ...float64) bool {
	for _, v := range values {
		if !(math.Abs(v) < beyondDrawing) {
			return false
		}
	}
	return true
}
