package study

import (
	"context"
	"fmt"
	"slices"
)

// surfaceKeys are what nobody can see on a cell: how patchy its electrodes are,
// and how much of the emitter's metal lies on its collector.
var surfaceKeys = []string{"emitter.patch_spread_eV", "collector.patch_spread_eV", "collector.emitter_coating"}

// elsewhereShare is the part of the study's benches that a study in little of
// another population has.
const elsewhereShare = 8

// An Elsewhere is what a study in little recommends of a population whose
// patches and coatings are all larger or smaller by a factor.
type Elsewhere struct {
	Scale  float64
	Result Result
}

// Keeps reports whether a row that a study recommends is also recommended
// elsewhere, or not told apart there from what is.
func (e Elsewhere) Keeps(row int) bool {
	for _, c := range []Choice{e.Result.ByHand, e.Result.ByComputer} {
		if c.Row >= 0 && e.Result.Rows[c.Row].ByHand == e.Result.Rows[row].ByHand {
			return c.Row == row || slices.Contains(c.Equals, row)
		}
	}
	return false
}

// Elsewhere does the study in little where patches and coatings are half and
// double. It returns none for a population that does not vary them.
func (s Study) Elsewhere(ctx context.Context) ([]Elsewhere, error) {
	var keys []string
	for _, key := range surfaceKeys {
		if s.Population.Index(key) >= 0 {
			keys = append(keys, key)
		}
	}
	if len(keys) == 0 {
		return nil, nil
	}
	var all []Elsewhere
	for _, scale := range []float64{0.5, 2} {
		few := s
		few.Replicates, few.Part, few.Until = max(s.Replicates/elsewhereShare, 2), Part{}, 0
		few.Resume, few.Save, few.Done = nil, nil, nil
		var err error
		if few.Population, err = s.Population.Scaled(scale, keys...); err != nil {
			return nil, fmt.Errorf("patches and coatings times %g: %w", scale, err)
		}
		tally, err := few.Run(ctx)
		if err != nil {
			return nil, fmt.Errorf("patches and coatings times %g: %w", scale, err)
		}
		all = append(all, Elsewhere{scale, few.Result(tally)})
	}
	return all, nil
}
