package rehearsal

import (
	"errors"
	"fmt"
	"math"
	"unicode"
	"unicode/utf8"
)

// A Kind says what an action does.
type Kind string

// The kinds of actions. What Value, Second and Text are is said beside each.
const (
	// Acknowledge says that the cautions were read.
	Acknowledge Kind = "acknowledge"
	// Lamp lights the lamp (Value 1) or puts it out (0).
	Lamp Kind = "lamp"
	// Shutter opens the shutter (Value 1) or closes it (0).
	Shutter Kind = "shutter"
	// Filter puts the setting of the light of index Value into the holder.
	Filter Kind = "filter"
	// Attenuator puts one of Transmissions in front of the cell.
	Attenuator Kind = "attenuator"
	// Dial turns the retarding voltage to Value in V.
	Dial Kind = "dial"
	// Range sets the meter to the range of index Value, counted from the most
	// sensitive; -1 lets it find its range.
	Range Kind = "range"
	// Null takes what the meter shows for zero.
	Null Kind = "null"
	// Pass lets Value in s go by at the bench at once.
	Pass Kind = "pass"
	// Float takes the supply away and leaves the collector to charge itself
	// (Value 1), or connects it again (0).
	Float Kind = "float"
	// OpenPage turns to a fresh page of the logbook, headed by a wavelength of
	// Value in nm, or 0 for the shutter closed, and by the transmission Second
	// of the attenuator, as the person writes them.
	OpenPage Kind = "page"
	// Turn turns to the page of index Value.
	Turn Kind = "turn"
	// Write writes a reading down.
	Write Kind = "write"
	// Strike strikes the reading of index Value out, for the reason Text.
	Strike Kind = "strike"
	// SetAside takes the page of index Value out of all that is made of the
	// logbook, for the reason Text; it stays to be seen.
	SetAside Kind = "aside"
	// Note writes Text beside the page.
	Note Kind = "note"
	// Sketch draws the expected curve: Value is the index of one of
	// SketchVoltages, and Second the current there in per cent of the largest.
	Sketch Kind = "sketch"
	// Answer answers the question Text by its choice of index Value; where the
	// question asks for a number, that is Value. Why is what would change the
	// person's mind, if they say.
	Answer Kind = "answer"
	// Ruler lays a ruler over the page: Value is 0 for its first end and 1 for
	// the second, and Second the voltage in V; the current in A is Third. Value
	// 2 takes it away.
	Ruler Kind = "ruler"
	// Read writes the cutoff of the page of index Value, Second in V with the
	// standard uncertainty Third in V, by the rule Text. After Commit, Why is the
	// reason for the change.
	Read Kind = "cutoff"
	// Commit hands the cutoffs in, after which h/e is shown.
	Commit Kind = "commit"
	// State says what h/e is: Value and Second, its standard uncertainty, in
	// V s.
	State Kind = "state"
	// Move goes to the step of index Value of the guided session, done or not.
	Move Kind = "move"
	// Bench goes to the bench of index Value.
	Bench Kind = "bench"
	// Name says that the fault Text is the second bench's.
	Name Kind = "fault"
	// Resolve writes what will be done differently at the real bench.
	Resolve Kind = "resolve"
	// Reveal ends the hiding of the truth. Before HandedIn, Value has to be
	// Confirmed.
	Reveal Kind = "reveal"
)

// An Action is one thing that a person does.
type Action struct {
	// At is the time at the bench in s.
	At   float64 `json:"at_s"`
	Kind Kind    `json:"do"`
	// What these are, the kind says.
	Value  float64 `json:"value,omitempty"`
	Second float64 `json:"second,omitempty"`
	Third  float64 `json:"third,omitempty"`
	Text   string  `json:"text,omitempty"`
	Why    string  `json:"why,omitempty"`
}

// A Refusal says why an action cannot be done now. Its word is that of a table
// of words, so that it can be said in any language.
type Refusal struct {
	Word string
}

// Error returns the word.
func (r *Refusal) Error() string { return "refused: " + r.Word }

func refuse(word string) error { return &Refusal{word} }

// errUnknown says that no person could have done the action.
var errUnknown = errors.New("no such action")

// The limits of what a log holds.
const (
	// MostActions bounds a log.
	MostActions = 20_000
	// LongestText is that of a note or a reason in bytes.
	LongestText = 600
	// LongestDay is the time in s after which the bench is closed.
	LongestDay = 12 * 3600
	// longestPass is the longest time in s that goes by at once.
	longestPass = 3600
)

// check says what no action may have.
func (a Action) check() error {
	for _, x := range []float64{a.At, a.Value, a.Second, a.Third} {
		if math.IsNaN(x) || math.IsInf(x, 0) || math.Abs(x) > 1e15 {
			return fmt.Errorf("%w: a number of %q is not finite", errUnknown, a.Kind)
		}
	}
	for _, text := range []string{a.Text, a.Why} {
		if len(text) > LongestText {
			return refuse("text-long")
		}
		if !utf8.ValidString(text) {
			return fmt.Errorf("%w: the text of %q is not UTF-8", errUnknown, a.Kind)
		}
		for _, r := range text {
			if unicode.IsControl(r) && r != '\n' {
				return fmt.Errorf("%w: the text of %q holds a control character", errUnknown, a.Kind)
			}
		}
	}
	return nil
}

// index returns a number as an index below n.
func index(x float64, n int) (int, error) {
	if x != math.Trunc(x) || x < 0 || x >= float64(n) {
		return 0, fmt.Errorf("%w: no number %g of %d", errUnknown, x, n)
	}
	return int(x), nil
}
