package practice_test

import (
	"regexp"
	"strings"
	"testing"

	"stopvolt/analysis/practice"
)

// A finding is read without the table of checks beside it, so what costs points says
// what was done, and a remark begins with what is right and goes on with "but".
func TestMistakesReadAsMistakes(t *testing.T) {
	done := regexp.MustCompile(`\b(was|were) (not |perhaps )?(taken|given|added|written|exchanged|read|kept|drawn|forced|left|mixed|named|rounded)\b`)
	for _, c := range practice.Checks() {
		switch {
		case c.Group == practice.AnswerTable:
		case c.Cost > 0 && !done.MatchString(c.Looks):
			t.Errorf("%s does not say what was done: %s", c.Name, c.Looks)
		case c.Cost == 0 && !strings.Contains(c.Looks, ", but "):
			t.Errorf("%s, which costs nothing, does not say what is right first: %s", c.Name, c.Looks)
		}
	}
}
