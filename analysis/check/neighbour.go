package check

import (
	"fmt"
	"math"
	"slices"
)

// What light of a neighbour line must leave: a current beyond the own cutoff as a
// share of the photocurrent, how many times that of the setting in
// the middle at the same distance, and the distance from either cutoff in V.
const (
	leastForeign  = 0.004
	foreignRatio  = 4
	beyondCutoff  = 0.15
	beforeForeign = 0.1
)

// findNeighbour looks for a filter that lets the light of a shorter line through: its
// faster electrons leave a foot that ends at that line's own cutoff. A coated or
// patchy collector leaves a foot too, but the same one at every setting, so that the
// setting in the middle is the measure.
func findNeighbour(s *sheet) []Finding {
	points := s.points()
	sweeps := make(map[string]sweep)
	for _, w := range s.sweeps {
		sweeps[w.name] = w
	}
	var all []Finding
	for i, own := range points {
		for _, other := range points[i+1:] {
			from, to := own.end, other.stop-beforeForeign
			w := sweeps[own.name]
			foot, u, ok := w.foot(from, to, other.end)
			if !ok || foot < leastForeign || foot < surely*u {
				continue
			}
			var usual []float64
			for _, p := range points {
				if p.name == own.name {
					continue
				}
				shift := p.stop - own.stop
				if f, _, ok := sweeps[p.name].foot(from+shift, to+shift, other.end+shift); ok {
					usual = append(usual, f)
				}
			}
			if len(usual) == 0 || foot < foreignRatio*median(usual) {
				continue
			}
			all = append(all, Finding{Setting: own.name,
				Says: fmt.Sprintf("up to about %.2f V, where %s (%g nm) stops, %.1f %% of its current flows on beyond its own cutoff", other.stop, other.name, other.nm, 100*foot),
				Do:   "look whether the filter sits straight and is the right one, and keep stray light of the lamp away; add an edge filter if there is one. Emitter metal on the collector can look like this too"})
			break
		}
	}
	return all
}

// foot returns the mean current between two voltages over that beyond a third one, as
// a share of the photocurrent, with its standard uncertainty.
func (w sweep) foot(from, to, plateau float64) (share, u float64, ok bool) {
	var inner, outer []float64
	var innerV, outerV []float64
	for k, v := range w.v {
		switch {
		case v >= from && v <= to:
			inner, innerV = append(inner, w.i[k]), append(innerV, v)
		case v >= plateau:
			outer, outerV = append(outer, w.i[k]), append(outerV, v)
		}
	}
	if len(inner) < 2 || len(outer) < 4 {
		return 0, 0, false
	}
	// The plateau may slope by a leak.
	end, ok := straight(outerV, outer)
	if !ok {
		return 0, 0, false
	}
	var sum float64
	for k := range inner {
		sum += inner[k] - end.at(innerV[k])
	}
	n, light := float64(len(inner)), w.photocurrent()
	far := mean(innerV) - end.v
	noise := max(w.noise, w.digit/2)
	variance := noise*noise*(1/n+1/float64(len(outer))) + end.uSlope*end.uSlope*far*far
	return sum / n / light, math.Sqrt(variance) / light, light > 0
}

// median returns the median of numbers, one or more.
func median(x []float64) float64 {
	sorted := slices.Sorted(slices.Values(x))
	n := len(sorted)
	return (sorted[(n-1)/2] + sorted[n/2]) / 2
}
