package study

import "math"

// differences are those of two experiments or two rows, replicate by replicate.
// They merge in any order to the last bit.
type differences struct {
	// N is the number of replicates where both have an answer, and D and D2 the
	// sums of the difference and of its square.
	N  int64 `json:"n"`
	D  Sum   `json:"d"`
	D2 Sum   `json:"d2"`
}

// add counts a difference, unless it is NaN.
func (s *differences) add(d float64) {
	if math.IsNaN(d) {
		return
	}
	s.N++
	s.D.Add(d)
	s.D2.Add(d * d)
}

// merge adds other differences of the same two.
func (s *differences) merge(other differences) {
	s.N += other.N
	s.D.Merge(other.D)
	s.D2.Merge(other.D2)
}

// measure returns the mean difference with its standard error.
func (s *differences) measure() Measure {
	mean, deviation := moments(s.N, s.D, s.D2)
	return Measure{mean, deviation / math.Sqrt(float64(s.N))}
}

// p returns the two-sided p-value of no difference.
func (s *differences) p() float64 {
	m := s.measure()
	return twoSided(m.Value, m.Error, float64(s.N-1))
}
