package check

import (
	"fmt"
	"math"
)

// What a lag must come to: its share of the step that the dial made, and how many
// standard uncertainties it is from none.
const leastLag, surely = 0.03, 4

// findSettling looks for readings that were taken before the meter had settled. Where
// voltages were read several times in a row, the first of them then lags towards the
// reading before; where a sweep went both ways, up and down differ by a lag.
func findSettling(s *sheet) []Finding {
	var all []Finding
	for _, w := range s.sweeps {
		lag, u, ok := w.lag()
		if !ok || lag < leastLag || lag < surely*u {
			continue
		}
		all = append(all, Finding{Setting: w.name,
			Says: fmt.Sprintf("readings still hold %.0f %% of the step before, as those of a meter that has not settled", 100*lag),
			Do:   "wait three times as long after turning the dial, and take the knee again"})
	}
	return all
}

// lag returns the share of the current's last step that a reading lacks, with its
// standard uncertainty; false where the order of the readings does not tell.
func (w sweep) lag() (share, u float64, ok bool) {
	var x, y []float64
	before := math.NaN()
	for first := 0; first < len(w.taken); {
		end := first + 1
		for end < len(w.taken) && w.taken[end].Retarding == w.taken[first].Retarding {
			end++
		}
		if n := end - first; n > 1 && !math.IsNaN(before) {
			var rest float64
			for _, r := range w.taken[first+1 : end] {
				rest += r.Current / float64(n-1)
			}
			x, y = append(x, before-rest), append(y, w.taken[first].Current-rest)
		}
		before = w.taken[end-1].Current
		first = end
	}
	if len(x) < 5 {
		x, y = w.loop()
	}
	return proportion(x, y)
}

// loop returns, for voltages that were read on the way up and on the way down, half
// the difference of the two steps that led there and half that of the currents.
func (w sweep) loop() (steps, differences []float64) {
	type visit struct{ step, current float64 }
	up := make(map[float64]visit)
	for k := 1; k < len(w.taken); k++ {
		r, p := w.taken[k], w.taken[k-1]
		v := visit{p.Current - r.Current, r.Current}
		switch {
		case r.Retarding > p.Retarding:
			up[r.Retarding] = v
		case r.Retarding < p.Retarding:
			if u, ok := up[r.Retarding]; ok {
				steps = append(steps, (u.step-v.step)/2)
				differences = append(differences, (u.current-v.current)/2)
			}
		}
	}
	return steps, differences
}

// proportion fits y = share x and returns the share with its standard uncertainty.
func proportion(x, y []float64) (share, u float64, ok bool) {
	if len(x) < 5 {
		return 0, 0, false
	}
	var xx, xy float64
	for k := range x {
		xx += x[k] * x[k]
		xy += x[k] * y[k]
	}
	if xx == 0 {
		return 0, 0, false
	}
	share = xy / xx
	var squares float64
	for k := range x {
		d := y[k] - share*x[k]
		squares += d * d
	}
	return share, math.Sqrt(squares / float64(len(x)-1) / xx), true
}
