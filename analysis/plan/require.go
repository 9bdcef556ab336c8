package plan

import (
	"context"
	"fmt"
	"math"
	"strings"

	"stopvolt/instrument/population"
)

// A side says which numbers of a key are the worse ones.
type side int

const (
	larger side = iota
	smaller
	away // from the middle
)

// An Item is something that money or care buys: keys of a scenario whose numbers may be
// no worse than a limit.
type Item struct {
	// Name says what it is.
	Name string
	// ends are the ends of the keys that belong to it, and worse is the bad side of
	// their numbers.
	ends  []string
	worse side
}

// Items returns what may be bought better or worse. To add one, add its line here.
func Items() []Item {
	return []Item{
		{"the meter's last digit", []string{"meter.digit_over_brightest", "meter.resolution_A"}, larger},
		{"the steadiness of the light", []string{"lamp.flicker"}, larger},
		{"the filters' blocking", []string{"filter.blocking"}, larger},
		{"the filters' centre", []string{"filter.centre_nm"}, away},
		{"the shifts between lines", []string{"shared.line_shift_V"}, larger},
		{"patches of the emitter", []string{"emitter.patch_spread_eV"}, larger},
		{"patches of the collector", []string{"collector.patch_spread_eV"}, larger},
		{"emitter metal on the collector", []string{"collector.emitter_coating"}, larger},
		{"the reverse current", []string{"collector.reverse_ratio", "collector.stray_light"}, larger},
		{"the insulation", []string{"leakage.resistance_ohm"}, smaller},
		{"the voltmeter's gain", []string{"voltmeter.gain_error"}, larger},
		{"the step of the sweep", []string{"plan.step_V"}, larger},
	}
}

// has reports whether a key belongs to the item.
func (it Item) has(key string) bool {
	for _, end := range it.ends {
		if key == end || strings.HasSuffix(key, "."+end) {
			return true
		}
	}
	return false
}

// levels are the shares of the population that a limit may let in, from the strictest.
var levels = []float64{0.1, 0.35, 0.65, 1}

// A Limit is how loose an item may be.
type Limit struct {
	Item Item
	// Share is the part of the population's benches that are within it: 1 is all of
	// them, so that the item does not matter.
	Share float64
	// Key is the first of the item's keys, and Low and High its limits, in its unit.
	Key       string
	Low, High float64
	Unit      string
}

// A Requirement is the loosest set of limits under which two thirds of the benches are
// within a width of the truth, after correction.
type Requirement struct {
	// Met says that there is one.
	Met bool
	// Limits are those of the items that the population has laws for.
	Limits []Limit
	// Strictest is the loss with every item at its strictest, Found that with the
	// limits, and All that of the whole population.
	Strictest, Found, All Loss
}

// Require looks for the loosest limits under which the half-width that holds two thirds
// of the benches is at most so much, relative to h/e. It begins with every item at its
// strictest and loosens, step by step, the one that costs least. The plan is that of the
// benches.
func (s Search) Require(ctx context.Context, width float64) (Requirement, error) {
	if err := s.check(); err != nil {
		return Requirement{}, err
	}
	if !(width > 0 && width < 1) {
		return Requirement{}, fmt.Errorf("a width of %g; it must be above 0 and below 1, relative to h/e", width)
	}
	items := s.items()
	level := make([]int, len(items))
	loose := make([]int, len(items))
	for i := range loose {
		loose[i] = len(levels) - 1
	}
	var q Requirement
	var err error
	if q.All, err = s.lossAt(ctx, items, loose, s.Benches); err != nil {
		return q, err
	}
	if q.Strictest, err = s.lossAt(ctx, items, level, s.Benches); err != nil {
		return q, err
	}
	q.Found = q.Strictest
	q.Met = q.Strictest.Width <= width
	for q.Met {
		best, least := -1, Loss{Width: math.Inf(1), Error: math.Inf(1)}
		for i := range items {
			if level[i] == len(levels)-1 {
				continue
			}
			level[i]++
			l, err := s.lossAt(ctx, items, level, s.Benches)
			level[i]--
			if err != nil {
				return q, err
			}
			if l.Width <= width && l.Error < least.Error {
				best, least = i, l
			}
		}
		if best < 0 {
			break
		}
		level[best]++
		q.Found = least
	}
	for i, it := range items {
		q.Limits = append(q.Limits, s.limit(it, levels[level[i]]))
	}
	return q, nil
}

// items returns those that the population has laws for.
func (s Search) items() []Item {
	var all []Item
	for _, it := range Items() {
		for _, v := range s.Population.Variables() {
			if it.has(v.Key) && limitable(v) {
				all = append(all, it)
				break
			}
		}
	}
	return all
}

// limitable reports whether a variable's own law can be cut.
func limitable(v population.Variable) bool { return !v.Constant() && v.Plus == "" && v.Times == "" }

// cut returns a law without the worse numbers, so that a share is left.
func (it Item) cut(l population.Law, share float64) (low, high float64) {
	low, high = math.Inf(-1), math.Inf(1)
	if share >= 1 {
		return low, high
	}
	switch it.worse {
	case larger:
		high = l.Quantile(share)
	case smaller:
		low = l.Quantile(1 - share)
	case away:
		low, high = l.Quantile((1-share)/2), l.Quantile((1+share)/2)
	}
	return low, high
}

// lossAt returns the loss of the benches within limits.
func (s Search) lossAt(ctx context.Context, items []Item, level []int, benches int) (Loss, error) {
	p := s.Population
	for i, it := range items {
		share := levels[level[i]]
		if share >= 1 {
			continue
		}
		for _, v := range s.Population.Variables() {
			if !it.has(v.Key) || !limitable(v) {
				continue
			}
			low, high := it.cut(v.Law, share)
			law, err := population.Within(v.Law, low, high)
			if err != nil {
				// Most of the law's numbers are one, such as none at all.
				continue
			}
			if p, err = p.With(v.Key, law); err != nil {
				return Loss{}, err
			}
		}
	}
	limited := s
	limited.Population = p
	field := []Tried{{Candidate: Candidate{Neutral: 1}}}
	err := limited.try(ctx, field, 0, benches)
	return field[0].Loss, err
}

// limit says what a share of an item means.
func (s Search) limit(it Item, share float64) Limit {
	l := Limit{Item: it, Share: share}
	for _, v := range s.Population.Variables() {
		if it.has(v.Key) && limitable(v) {
			l.Key, l.Unit = v.Key, v.Unit
			l.Low, l.High = it.cut(v.Law, share)
			return l
		}
	}
	return l
}
