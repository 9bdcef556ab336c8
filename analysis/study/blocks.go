package study

import (
	"encoding/json"
	"fmt"
	"slices"
)

// blockSet is a set of block indices, kept as sorted ranges that do not touch.
type blockSet []blockRange

// blockRange is the blocks from First to Last.
type blockRange struct {
	First, Last int
}

// MarshalJSON writes a range as a pair.
func (r blockRange) MarshalJSON() ([]byte, error) { return json.Marshal([2]int{r.First, r.Last}) }

// UnmarshalJSON reads a pair.
func (r *blockRange) UnmarshalJSON(text []byte) error {
	var ends [2]int
	if err := json.Unmarshal(text, &ends); err != nil {
		return err
	}
	if ends[0] < 0 || ends[1] < ends[0] {
		return fmt.Errorf("%s is no range of blocks", text)
	}
	*r = blockRange{ends[0], ends[1]}
	return nil
}

// has reports whether a block is in the set.
func (b blockSet) has(block int) bool {
	return slices.ContainsFunc(b, func(r blockRange) bool { return r.First <= block && block <= r.Last })
}

// union returns the blocks of both sets; the error names one that is in both.
func (b blockSet) union(other blockSet) (blockSet, error) {
	all := slices.Concat(b, other)
	slices.SortFunc(all, func(x, y blockRange) int { return x.First - y.First })
	var joined blockSet
	for _, r := range all {
		last := len(joined) - 1
		switch {
		case last >= 0 && r.First <= joined[last].Last:
			return nil, fmt.Errorf("block %d is there twice", r.First)
		case last >= 0 && r.First == joined[last].Last+1:
			joined[last].Last = r.Last
		default:
			joined = append(joined, r)
		}
	}
	return joined, nil
}
