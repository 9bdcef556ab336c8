package population

import (
	"fmt"
	"math"
	"strings"
)

// A Variable is a number that differs from bench to bench.
type Variable struct {
	// Key is that of the scenario, such as "collector.stray_light".
	Key string
	// Law is that of the number, or of what is added to or multiplies another.
	Law Law
	// Plus and Times are the keys of variables which are added to what the law
	// gives, and then multiply it; both may be empty.
	Plus, Times string
	// Low and High are the limits that the key has by itself.
	Low, High float64
	// Unit of the number, as a scenario's errors have it; may be empty.
	Unit string
	// Words are those that the number counts, where the key holds a word.
	Words []string
}

// Constant reports whether the law knows one number only.
func (v Variable) Constant() bool {
	low, high := v.Law.Ends()
	return low == high
}

// Word returns the word that a number of the variable stands for, and the number
// itself where it stands for none.
func (v Variable) Word(x float64) string {
	if i := int(x); v.Words != nil && i >= 0 && i < len(v.Words) {
		return v.Words[i]
	}
	return number(x)
}

// String writes the value of the key as a scenario has it.
func (v Variable) String() string {
	text := v.Law.String()
	if v.Plus == "" && v.Times == "" {
		return text
	}
	if c, ok := v.Law.(Constant); ok {
		if c == 0 && v.Times == "" {
			return fmt.Sprintf("{ same_as = %q }", v.Plus)
		}
		text = "{ one_of = [" + c.String() + "] }"
	}
	text = strings.TrimSuffix(text, " }")
	if v.Plus != "" {
		text += fmt.Sprintf(", plus = %q", v.Plus)
	}
	if v.Times != "" {
		text += fmt.Sprintf(", times = %q", v.Times)
	}
	return text + " }"
}

// Scaled is a law whose numbers are those of another times a factor. What comes
// to lie beyond the limits lies on them.
type Scaled struct {
	Law
	// Factor is above zero.
	Factor float64
	// Low and High are the limits of the number.
	Low, High float64
}

// Quantile returns that of the law times the factor.
func (s Scaled) Quantile(share float64) float64 {
	return min(max(s.Factor*s.Law.Quantile(share), s.Low), s.High)
}

// CDF returns that of the law at x over the factor.
func (s Scaled) CDF(x float64) float64 {
	switch {
	case x < s.Low:
		return 0
	case x >= s.High:
		return 1
	}
	return s.Law.CDF(x / s.Factor)
}

// Ends returns those of the law times the factor.
func (s Scaled) Ends() (low, high float64) {
	low, high = s.Law.Ends()
	clip := func(x float64) float64 { return min(max(s.Factor*x, s.Low), s.High) }
	return clip(low), clip(high)
}

// String writes the law and the factor; a scenario has no such law, which only
// studies make.
func (s Scaled) String() string {
	return fmt.Sprintf("%s times %s", s.Law, number(s.Factor))
}

// A Joint is a table of benches that occur together, each with its weight: what
// a run has left of a wider population.
type Joint struct {
	// Keys are the columns.
	Keys []string
	// Rows have one number a key. A word is counted as in its variable.
	Rows [][]float64
	// Weights has one for each row; nil is equal ones.
	Weights []float64
}

// check says what is wrong with the table.
func (j Joint) check() error {
	if len(j.Keys) == 0 || len(j.Rows) == 0 {
		return fmt.Errorf("joint rows need keys and rows")
	}
	for i, row := range j.Rows {
		if len(row) != len(j.Keys) {
			return fmt.Errorf("row %d has %d numbers for %d keys", i+1, len(row), len(j.Keys))
		}
		for k, x := range row {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				return fmt.Errorf("row %d has %g for %s; each must be finite", i+1, x, j.Keys[k])
			}
		}
	}
	return checkWeights(j.Weights, len(j.Rows))
}
