package check

import (
	"fmt"
	"math"
)

// stillFalling is the slope at the end of a sweep, as a share of the steepest, from
// which the plateau is not reached, and hardlyFalling that from which its level is not
// to be relied on.
const stillFalling, hardlyFalling = 0.08, 0.01

// stillFlowing is the share of the current on the accelerating side that is forward
// current for certain where a sweep ends with it: a plateau lies below zero, or hardly
// above.
const stillFlowing = 0.15

// findPlateau looks for a sweep that stops before the current has stopped falling.
// A leak makes a plateau slope for ever; so the slope must also change from one
// stretch to the next.
func findPlateau(s *sheet) []Finding {
	var all []Finding
	for _, w := range s.sweeps {
		if share := w.falling(); share > stillFalling {
			all = append(all, Finding{Setting: w.name,
				Says: fmt.Sprintf("at %.3g V, where the sweep ends, the current still falls at %.0f %% of its steepest", w.v[len(w.v)-1], 100*share),
				Do:   "go on to half a volt beyond where the current no longer changes"})
		}
	}
	return all
}

// falling returns the slope at the end of the sweep as a share of the steepest where it
// is sure that it changes still, or 0.
func (w sweep) falling() float64 {
	if !w.usable || w.photocurrent() < 10*w.noise {
		return 0
	}
	n := len(w.v)
	k := min(max(n/10, 3), n/2)
	end, okEnd := straight(w.v[n-k:], w.i[n-k:])
	before, okBefore := straight(w.v[n-2*k:n-k], w.i[n-2*k:n-k])
	if !okEnd || !okBefore {
		return 0
	}
	var steepest float64
	for j := 0; j+k <= n; j++ {
		if l, ok := straight(w.v[j:j+k], w.i[j:j+k]); ok {
			steepest = max(steepest, -l.slope)
		}
	}
	// What the scatter alone makes of a slope.
	width := w.v[n-1] - w.v[n-k]
	u := max(end.uSlope, 2*max(w.noise, w.digit)/width)
	if last := mean(w.i[n-3:]); last > stillFlowing*w.at(max(attracting, w.v[0])) && last > surely*w.noise {
		// Straight or not, what falls from here is forward current.
		return max(-end.slope/steepest, 2*stillFalling)
	}
	if -end.slope < surely*u || math.Abs(before.slope-end.slope) < surely*math.Hypot(u, before.uSlope)/2 {
		return 0
	}
	return -end.slope / steepest
}
