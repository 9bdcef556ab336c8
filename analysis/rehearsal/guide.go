package rehearsal

import "slices"

// A Step is one of the guided session.
type Step struct {
	// Name is its word in tables.
	Name string
	// Minutes is how long it takes a newcomer; a test of the page in a browser
	// holds them to what its words, clicks and readings cost.
	Minutes int
	// done says that the work of the step is seen in the state.
	done func(*Rehearsal) bool
}

// Steps returns those of the guided session in the order of work. Each can be
// skipped.
func Steps() []Step {
	return []Step{
		{"safety", 4, func(r *Rehearsal) bool { return r.acknowledged }},
		{"dark", 4, func(r *Rehearsal) bool {
			return slices.Contains(r.desks[0].nulled, true) && r.has(func(x Reading) bool { return !x.Controls.Shutter })
		}},
		{"coarse", 6, func(r *Rehearsal) bool { return r.book.Sketch != nil && r.longestPage() >= 8 }},
		{"knee", 5, func(r *Rehearsal) bool { return r.cutoffs() >= 1 }},
		{"dim", 5, func(r *Rehearsal) bool {
			return r.answered("dim") && slices.ContainsFunc(r.book.Pages, func(p Page) bool {
				_, read := p.Cutoff()
				return read && p.Bench == 0 && p.Transmission < 1
			})
		}},
		{"lines", 12, func(r *Rehearsal) bool { return r.answered("next") && r.cutoffs() >= 3 }},
		{"commit", 2, func(r *Rehearsal) bool { return r.book.Committed > 0 }},
		{"line", 2, func(r *Rehearsal) bool { return len(r.book.Statements) > 0 }},
		{"fault", 4, func(r *Rehearsal) bool { return r.book.Fault != "" }},
		{"debrief", 6, func(r *Rehearsal) bool { return r.revealed }},
	}
}

// A Question is asked at a step of the session. It never tells.
type Question struct {
	// Name is its word in tables, and Step that of its step.
	Name, Step string
	// Choices are words; none where a number is asked for.
	Choices []string
	// Idea is the name of the finding for those who choose Wrong, if it is one
	// of the ideas that the debrief speaks of.
	Idea  string
	Wrong int
}

// Questions returns all, in the order of the steps.
func Questions() []Question {
	return []Question{
		{Name: "zero", Step: "dark", Choices: []string{"as-many-back", "nothing-crosses", "cannot-tell"}, Idea: "zero-is-nothing", Wrong: 1},
		{Name: "range", Step: "coarse", Choices: []string{"cell-changed", "meter-changed", "cannot-tell"}, Idea: "range-is-physics"},
		{Name: "negative", Step: "knee", Choices: []string{"backwards", "fault", "cannot-tell"}, Idea: "negative-is-fault", Wrong: 1},
		{Name: "dim", Step: "dim", Choices: []string{"lower", "same", "higher"}, Idea: "brighter-is-larger"},
		{Name: "next", Step: "lines"},
		{Name: "off", Step: "lines", Choices: []string{"look-again", "leave-out", "keep"}, Idea: "off-is-bad", Wrong: 1},
		{Name: "straight", Step: "line", Choices: []string{"right", "may-be-wrong", "cannot-tell"}, Idea: "straight-is-right"},
		{Name: "intercept", Step: "line", Choices: []string{"collector", "emitter", "cannot-tell"}, Idea: "intercept-is-emitter", Wrong: 1},
	}
}

// QuestionNamed returns the one of a name.
func QuestionNamed(name string) (Question, bool) {
	for _, q := range Questions() {
		if q.Name == name {
			return q, true
		}
	}
	return Question{}, false
}
