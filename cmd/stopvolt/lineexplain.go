package main

import (
	"context"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"

	"stopvolt/analysis"
	"stopvolt/analysis/match"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/result"
	"stopvolt/instrument/population"
	"stopvolt/physics"
)

// knowable are the words of --known with the keys that they stand for.
var knowable = map[string]string{
	"reverse": "collector.reverse_ratio",
	"step":    "plan.step_V",
	"coating": "collector.emitter_coating",
	"ratio":   "geometry.radius_ratio",
}

// knowing returns the population of --explain with what --known says of the
// bench, none where nothing is to be explained.
func (f *lineFlags) knowing() (p population.Population, err error) {
	if !f.explains {
		if len(f.known) > 0 {
			return p, console.WrongUsef("--known says what --explain is to go by; ask for that too")
		}
		return p, nil
	}
	s, err := (&scenarioFlags{}).load([]string{f.population})
	if err != nil {
		return p, err
	}
	p = s.Population
	seen := make(map[string]bool)
	for _, said := range f.known {
		word, value, _ := strings.Cut(said, "=")
		key, ok := knowable[word]
		switch {
		case !ok:
			return p, console.WrongUsef("--known has %q; what can be known is %s, each as WORD=NUMBER", word, strings.Join(slices.Sorted(maps.Keys(knowable)), ", "))
		case seen[word]:
			return p, console.WrongUsef("--known says %s twice", word)
		}
		seen[word] = true
		x, err := strconv.ParseFloat(value, 64)
		if i := p.Index(key); err != nil || i < 0 || !(x >= p.Variables()[i].Low && x <= p.Variables()[i].High) {
			return p, console.WrongUsef("--known %s=%s: it must be a number that %s can have in %s", word, value, key, f.population)
		}
		if p, err = p.With(key, population.Constant(x)); err != nil {
			return p, console.WrongUse{Err: err}
		}
	}
	return p, nil
}

// explain looks for what may stand behind a table, among the benches of a
// population.
func (f *lineFlags) explain(ctx context.Context, points []analysis.Point, p population.Population) (match.Explanation, error) {
	e, err := match.Explain{Points: points, HOverE: physics.HOverE, Population: p, Seed: 1}.Do(ctx)
	if err != nil && ctx.Err() == nil {
		return e, console.WrongUsef("--explain: %w", err)
	}
	return e, err
}

// explanationObject is the explanation as JSON.
func explanationObject(e match.Explanation) result.Object {
	candidates := []result.Object{}
	for _, k := range e.Candidates {
		candidates = append(candidates, result.Object{
			{Key: "candidate", Value: k.Name}, {Key: "among_like", Value: result.Number(k.Among)}, {Key: "among_all", Value: result.Number(k.Before)},
			{Key: "told", Value: k.Told}, {Key: "settle", Value: k.Settle},
		})
	}
	return result.Object{{Key: "relative_error", Value: result.Number(e.Error)}, {Key: "like", Value: e.Like}, {Key: "of", Value: e.Of}, {Key: "candidates", Value: candidates}}
}

// tellExplanation says what may stand behind a table.
func tellExplanation(w io.Writer, e match.Explanation) {
	say := func(format string, args ...any) {
		fmt.Fprintln(w, console.Fold(fmt.Sprintf(format, args...), 96, ""))
	}
	fmt.Fprintln(w)
	say("The slope is %+.1f %% off. Of %d readings of simulated benches the %d whose slope and residuals are most like these have, and for comparison all have:", 100*e.Error, e.Of, e.Like)
	told := 0
	for _, k := range e.Candidates {
		if !k.Told {
			continue
		}
		told++
		say("- %s: %.0f %% of them, %.0f %% of all. To settle it, %s.", k.Name, 100*k.Among, 100*k.Before, k.Settle)
	}
	if told > 0 {
		say("How often a thing occurs among such readings is not how likely it is on your bench: measure.")
		return
	}
	say("Nothing occurs more often among them than among all: these few points cannot tell what stands behind the error. The quickest measurements that could:")
	for _, k := range e.Candidates[:min(3, len(e.Candidates))] {
		say("- for %s (%.0f %% of all): %s.", k.Name, 100*k.Before, k.Settle)
	}
}
