package check

import (
	"fmt"
	"math"
)

// findSigns looks for a voltage or a current with the wrong sign. The current of
// electrons from emitter to collector is largest where nothing retards them, falls
// as the retarding voltage rises, and is flat where it ends.
func findSigns(s *sheet) []Finding {
	var all []Finding
	for _, w := range s.sweeps {
		if what := w.wrongSign(); what != "" {
			all = append(all, Finding{
				Setting: w.name,
				Says: fmt.Sprintf("the current goes from %s at %.3g V to %s at %.3g V, as it does with %s of the wrong sign",
					amperes(mean(w.i[:3])), w.v[0], amperes(mean(w.i[len(w.i)-3:])), w.v[len(w.v)-1], what),
				Do: "look at the leads and at how the column is headed; take one reading at +1 V and one at -1 V to be sure, and say it in the file",
			})
		}
	}
	return all
}

// wrongSign says which sign is wrong, or nothing.
func (w sweep) wrongSign() string {
	if !w.usable {
		return ""
	}
	n := len(w.i)
	first, last := mean(w.i[:3]), mean(w.i[n-3:])
	if math.Abs(first-last) < 5*w.noise {
		return ""
	}
	third := max(n/3, 3)
	begin, okBegin := straight(w.v[:third], w.i[:third])
	end, okEnd := straight(w.v[n-third:], w.i[n-third:])
	switch {
	case first > last:
		if okBegin && okEnd && math.Abs(last) > 3*math.Abs(first) && math.Abs(end.slope) > 2*math.Abs(begin.slope)+surely*begin.uSlope {
			return "both the voltage and the current"
		}
		return ""
	case math.Abs(last) >= math.Abs(first):
		return "the voltage"
	}
	return "the current"
}

// mean returns the mean of numbers, one or more.
func mean(x []float64) float64 {
	var sum float64
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

// amperes writes a current with a prefix that suits it.
func amperes(a float64) string {
	size := math.Abs(a)
	for _, u := range []struct {
		scale float64
		name  string
	}{{1, "A"}, {1e-3, "mA"}, {1e-6, "uA"}, {1e-9, "nA"}, {1e-12, "pA"}} {
		if size >= u.scale {
			return fmt.Sprintf("%.3g %s", a/u.scale, u.name)
		}
	}
	return fmt.Sprintf("%.3g fA", a/1e-15)
}
