package scenarios

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"stopvolt/physics"
)

// checker collects the first error of a scenario while its values are turned
// into an apparatus. After an error every call is harmless.
type checker struct {
	places places
	// varied has the keys that have a law. While learning, their values are
	// medians, and the limits that the checks state are kept for the laws.
	varied   map[string]*lawful
	learning bool
	// notes takes what is allowed for each key that is asked for, where it is not
	// nil, and all says which keys are then taken for given.
	notes map[string]string
	all   func(key string) bool
	// lightNames are those of the lights, in their order.
	lightNames []string
	// ring is a geometry that has been made before.
	ring *physics.RingOverDisk
	err  error
}

// given reports whether the scenario gives a key or table.
func (c *checker) given(key string) bool {
	if c.all != nil {
		return c.all(key)
	}
	_, ok := c.places[key]
	return ok
}

// fail records an error at the place of a key, unless there is one.
func (c *checker) fail(key, format string, args ...any) {
	if c.err == nil {
		c.err = c.places.find(key).errorf(format, args...)
	}
}

// A limit is a range of numbers with the words that describe it.
type limit struct {
	low, high float64
	openLow   bool
	unit      string
	// orZero says that zero is allowed too, which switches something off.
	orZero bool
}

// everything is no limit.
var everything = limit{low: math.Inf(-1), high: math.Inf(1)}

// zeroOr is zero and the range from low to high, for what is either absent or
// not immeasurably small.
func zeroOr(low, high float64, unit string) limit { return limit{low, high, false, unit, true} }

// within is the range from low to high.
func within(low, high float64, unit string) limit { return limit{low, high, false, unit, false} }

// above is the range from low, which is not part of it, to high.
func above(low, high float64, unit string) limit { return limit{low, high, true, unit, false} }

// holds reports whether a number lies in the range. Not-a-number does not.
func (l limit) holds(x float64) bool {
	return (x > l.low || x == l.low && !l.openLow) && x <= l.high || l.orZero && x == 0
}

// String describes the range.
func (l limit) String() string {
	from := "from"
	if l.openLow {
		from = "above"
	}
	text := fmt.Sprintf("%s %g", from, l.low)
	switch {
	case math.IsInf(l.high, 1):
		if !l.openLow {
			text = fmt.Sprintf("%g or more", l.low)
		}
	case l.openLow:
		text += fmt.Sprintf(" and at most %g", l.high)
	default:
		text += fmt.Sprintf(" to %g", l.high)
	}
	if l.orZero {
		text = "0, or " + text
	}
	return strings.TrimSpace(text + " " + l.unit)
}

// note keeps what a key's limit is.
func (c *checker) note(key string, l limit) {
	if c.notes != nil {
		c.notes[key] = l.String()
	}
}

// required returns a number that a scenario has to give.
func (c *checker) required(key string, value float64, l limit) float64 {
	c.note(key, l)
	if !c.given(key) {
		c.fail(key, "%s is missing; it must be %v", key, l)
		return value
	}
	return c.optional(key, value, value, l)
}

// optional returns a number, or the fallback where the scenario does not give
// it.
func (c *checker) optional(key string, value, fallback float64, l limit) float64 {
	c.note(key, l)
	if !c.given(key) {
		return fallback
	}
	if c.learning {
		if law := c.varied[key]; law != nil {
			value = c.learn(law, value, l)
		}
	}
	if !l.holds(value) {
		c.fail(key, "%s is %g; it must be %v", key, value, l)
	}
	return value
}

// choice checks that a word is one of those allowed and returns its index.
func (c *checker) choice(key, value string, allowed ...string) int {
	if c.notes != nil {
		c.notes[key] = "one of " + strings.Join(allowed, ", ")
	}
	if law := c.varied[key]; law != nil && c.learning {
		for _, word := range law.Words {
			if !slices.Contains(allowed, word) {
				c.fail(key, "%s may be %q by its law; it must be one of %s", key, word, strings.Join(allowed, ", "))
			}
		}
	}
	for i, word := range allowed {
		if value == word {
			return i
		}
	}
	if !c.given(key) {
		c.fail(key, "%s is missing; it must be one of %s", key, strings.Join(allowed, ", "))
	} else {
		c.fail(key, "%s is %q; it must be one of %s", key, value, strings.Join(allowed, ", "))
	}
	return 0
}
