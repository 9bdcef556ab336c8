package match

import (
	"math"
	"slices"
)

// A calibration widens the model's quantiles until they hold.
type calibration struct {
	// below and above are added to the two ends of log(true/raw).
	below, above float64
	// elsewhere is what other populations ask for beside.
	elsewhere float64
	// distances and shifts are those of benches that had no part in the learning,
	// in rising order.
	distances, shifts []float64
}

// conformal returns the order statistic of scores that a new one exceeds with a
// probability of at most share.
func conformal(scores []float64, share float64) float64 {
	slices.Sort(scores)
	rank := int(math.Ceil(float64(len(scores)+1)*(1-share))) - 1
	if rank >= len(scores) {
		return math.Inf(1)
	}
	return scores[max(rank, 0)]
}

// rankedAgainst is the number of benches against which a run's distance is
// ranked.
const rankedAgainst = 500

// calibrate takes the calibration from benches of the same population, as far as
// they are near the run.
func (m *model) calibrate(held []drawn) calibration {
	var c calibration
	var below, above []float64
	for i := range held {
		row, y, ok := m.answerOf(&held[i])
		if !ok {
			continue
		}
		if i < rankedAgainst {
			square, _, _ := m.distance(row)
			c.distances = append(c.distances, square)
		}
		if !m.near(row) {
			continue
		}
		low, _, high := m.whole.quantiles(row)
		below, above = append(below, low-y), append(above, y-high)
		if len(m.parts) > 0 {
			z, _, _ := m.largestShift(&held[i].reading)
			c.shifts = append(c.shifts, z)
		}
	}
	slices.Sort(c.distances)
	slices.Sort(c.shifts)
	tail := (1 - Level) / 2
	c.below, c.above = conformal(below, tail), conformal(above, tail)
	return c
}

// answerOf returns the features of a bench and its true log(true/raw).
func (m *model) answerOf(d *drawn) (row []float64, y float64, ok bool) {
	row, raw, ok := m.layout.features(nil, &d.reading, -1)
	if !ok {
		return nil, 0, false
	}
	return row, math.Log(d.hOverE / raw.slope), true
}

// elsewhereLevel is the coverage that other populations are to have.
const elsewhereLevel = 0.90

// alsoFor widens the interval until it holds the truth in elsewhereLevel of the
// benches of another population, and returns the share that it held before.
func (c *calibration) alsoFor(m *model, others []drawn) (before float64) {
	var scores []float64
	held := 0
	for i := range others {
		row, y, ok := m.answerOf(&others[i])
		if !ok || !m.near(row) {
			continue
		}
		low, _, high := m.whole.quantiles(row)
		score := max(low-c.below-y, y-high-c.above)
		if score <= 0 {
			held++
		}
		scores = append(scores, score)
	}
	if len(scores) == 0 {
		return math.NaN()
	}
	c.elsewhere = max(c.elsewhere, conformal(scores, 1-elsewhereLevel))
	return float64(held) / float64(len(scores))
}

// interval returns the conformal interval of log(true/raw) at a row. It is never
// empty: where the calibration would take off more than there is, the middle is
// left.
func (c *calibration) interval(m *model, row []float64) (low, middle, high float64) {
	low, middle, high = m.whole.quantiles(row)
	return min(low-c.below-c.elsewhere, middle), middle, max(high+c.above+c.elsewhere, middle)
}

// rank returns the share of benches, the run among them, that are as far off as
// the run.
func rank(sorted []float64, x float64) float64 {
	if len(sorted) == 0 {
		return math.NaN()
	}
	at, _ := slices.BinarySearch(sorted, x)
	return float64(len(sorted)-at+1) / float64(len(sorted)+1)
}

// holm returns the p values of two tests with Holm's correction (S. Holm, Scand.
// J. Stat. 6, 65 (1979)); one that is not a number was not done.
func holm(a, b float64) (float64, float64) {
	switch {
	case math.IsNaN(a):
		return a, b
	case math.IsNaN(b):
		return a, b
	case a <= b:
		a = min(2*a, 1)
		return a, max(a, b)
	}
	b = min(2*b, 1)
	return max(a, b), b
}
