package match

import (
	"cmp"
	"math"
	"slices"
)

// A calibration widens the model's quantiles until they hold.
type calibration struct {
	// below and above are added to the two ends of log(true/raw), in each class of
	// the width that the model's quantiles have; upTo are the widest of each.
	below, above, upTo []float64
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
	var scores []score
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
		scores = append(scores, score{width: high - low, below: low - y, above: y - high})
		if len(m.parts) > 0 {
			z, _, _ := m.largestShift(&held[i].reading)
			c.shifts = append(c.shifts, z)
		}
	}
	slices.Sort(c.distances)
	slices.Sort(c.shifts)
	c.byWidth(scores)
	return c
}

// A score is how far below and above the quantiles of the model a bench's truth
// lies, and how wide apart these are.
type score struct{ width, below, above float64 }

// classes is the number of classes by width, and fewestInClass how many benches
// each needs: a share of 2.5 % is then told by some of them.
const classes, fewestInClass = 3, 200

// byWidth takes the calibration from scores, for classes of the width each by
// itself, so that narrow intervals do not live on the wide ones' coverage.
func (c *calibration) byWidth(scores []score) {
	slices.SortStableFunc(scores, func(a, b score) int { return cmp.Compare(a.width, b.width) })
	n := max(min(classes, len(scores)/fewestInClass), 1)
	tail := (1 - Level) / 2
	for k := range n {
		class := scores[len(scores)*k/n : len(scores)*(k+1)/n]
		below, above := make([]float64, len(class)), make([]float64, len(class))
		widest := math.Inf(1)
		for i, s := range class {
			below[i], above[i] = s.below, s.above
			if k < n-1 {
				widest = s.width
			}
		}
		c.below, c.above = append(c.below, conformal(below, tail)), append(c.above, conformal(above, tail))
		c.upTo = append(c.upTo, widest)
	}
}

// ends returns the interval of log(true/raw) at a row before it is widened for
// other populations.
func (c *calibration) ends(m *model, row []float64) (low, middle, high float64) {
	low, middle, high = m.whole.quantiles(row)
	k := slices.IndexFunc(c.upTo, func(widest float64) bool { return high-low <= widest })
	if k < 0 {
		k = len(c.upTo) - 1
	}
	return low - c.below[k], middle, high + c.above[k]
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
		low, _, high := c.ends(m, row)
		score := max(low-y, y-high)
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
	low, middle, high = c.ends(m, row)
	return min(low-c.elsewhere, middle), middle, max(high+c.elsewhere, middle)
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
