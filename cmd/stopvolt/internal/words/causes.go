package words

import (
	"math"
	"strings"

	"stopvolt/instrument"
	"stopvolt/sim/knee"
)

// A Cause is a step of the knee in plain words, with the number that matters.
type Cause struct {
	Name, Told string
	// Number is what the step is about, such as "kT = 25.4 meV"; it may be empty.
	Number string
}

// Causes tells the steps of a knee.
func (l *Language) Causes(s knee.Steps) []Cause {
	causes := []Cause{l.corner(s)}
	last := len(s.Steps) - 1
	for i := 1; i < last; i++ {
		for _, id := range s.Steps[i].Effects {
			causes = append(causes, l.cause(id, l.stepFacts(s, i)))
		}
	}
	return append(causes, l.bench(s.Steps[last], s.Truth))
}

// corner tells what the textbook draws.
func (l *Language) corner(s knee.Steps) Cause {
	facts := map[string]any{"limit": s.Limit}
	head := "step/corner"
	text := head
	if s.Limit <= 0 {
		text = "step/below"
	}
	return Cause{l.fill(head, nil), l.fill(text+"_told", facts), l.fill(text+"_number", facts)}
}

// cause tells the step that adds an effect.
func (l *Language) cause(id instrument.EffectID, facts map[string]any) Cause {
	return Cause{
		Name:   l.fill(effectKey(id, "cause"), nil),
		Told:   l.fill(effectKey(id, "told"), facts) + l.fill("step/at_truth", facts),
		Number: l.fill(effectKey(id, "number"), facts),
	}
}

// short is the voltage in V before the true cutoff at which a step is compared
// with the one before.
const short = 0.1

// stepFacts returns what can be filled into the words of step i: the numbers of its
// effect, and what the curve does.
func (l *Language) stepFacts(s knee.Steps, i int) map[string]any {
	step, before := s.Steps[i], s.Steps[i-1]
	all := make(map[string]any)
	for _, e := range instrument.Effects() {
		if e.Numbers != nil && e.ID == step.Effects[0] {
			all = facts(e.Numbers(step.Apparatus, s.Light))
		}
	}
	all["at"], all["before"], all["added"] = step.AtTruth, before.AtTruth, step.AtTruth-before.AtTruth
	all["end"] = step.I[len(step.I)-1]
	all["short"], all["left"] = short, step.At(s.Truth-short)/before.At(s.Truth-short)
	all["lines"] = l.Lines(s.Light)
	all["gap"] = l.geometry(step.Apparatus.Geometry, "number")
	all["crossing"] = ""
	if v, ok := step.Zero(); ok {
		all["crossing"] = l.Crossing(v, s.Truth)
	}
	return all
}

// Crossing says how far a zero crossing lies from the true cutoff and on which
// side, both in V.
func (l *Language) Crossing(v, truth float64) string {
	return l.fill("step/crossing", map[string]any{"apart": math.Abs(v - truth), "late": v > truth})
}

// bench tells the readings of the meter, and what else the bench has that does not
// show in the mean current.
func (l *Language) bench(s knee.Step, truth float64) Cause {
	nearest, u := math.Inf(1), 0.0
	for _, r := range s.Readings {
		if d := math.Abs(r.Retarding - truth); d < nearest {
			nearest, u = d, r.Uncertainty
		}
	}
	var others []string
	for _, id := range s.Effects {
		others = append(others, l.Effect(id))
	}
	facts := map[string]any{"noise": u, "others": strings.Join(others, ", ")}
	return Cause{l.fill("step/bench", nil), l.fill("step/bench_told", facts), l.fill("step/bench_number", facts)}
}
