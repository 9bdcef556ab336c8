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

// explain looks for what may stand behind a table.
func (f *lineFlags) explain(ctx context.Context, points []analysis.Point) (match.Explanation, error) {
	s, err := (&scenarioFlags{}).load([]string{f.population})
	if err != nil {
		return match.Explanation{}, err
	}
	p := s.Population
	for _, word := range slices.Sorted(maps.Keys(f.known)) {
		key, ok := knowable[word]
		if !ok {
			return match.Explanation{}, console.WrongUsef("--known has %q; what can be known is %s", word, strings.Join(slices.Sorted(maps.Keys(knowable)), ", "))
		}
		x, err := strconv.ParseFloat(f.known[word], 64)
		if i := p.Index(key); err != nil || i < 0 || !(x >= p.Variables()[i].Low && x <= p.Variables()[i].High) {
			return match.Explanation{}, console.WrongUsef("--known %s=%s: it must be a number that %s can have in %s", word, f.known[word], key, f.population)
		}
		if p, err = p.With(key, population.Constant(x)); err != nil {
			return match.Explanation{}, console.WrongUse{Err: err}
		}
	}
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
