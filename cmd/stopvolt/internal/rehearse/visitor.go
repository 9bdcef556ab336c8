package rehearse

import (
	"sync"
	"time"

	"stopvolt/analysis/rehearsal"
)

// A visitor is one browser with its rehearsal.
type visitor struct {
	id string
	// place counts from one in the order of coming.
	place     int
	mutex     sync.Mutex
	rehearsal *rehearsal.Rehearsal
	setup     rehearsal.Setup
	seed      uint64
	student   string
	voice     Voice
	// last is when the bench clock was looked at, and streams the number of
	// browsers that attend.
	last    time.Time
	streams int
	// revision counts what was done, so that a page knows that it is old.
	revision int
	dirty    bool
	rate     bucket
	// seen is when the visitor was last here.
	seen time.Time
	// said is what the last action was refused for.
	said string
	// written counts what changes the figures.
	written int
	// drawn are the figures of a revision, and told the debrief of one.
	drawn map[string]drawing
	told  *toldDebrief
}

// mostLeap is the longest time that the bench clock follows at once: beyond it
// nobody attended.
const mostLeap = 2 * time.Second

// attend lets the bench clock follow the wall clock. The mutex is held.
func (v *visitor) attend(now time.Time) {
	leap := min(max(now.Sub(v.last), 0), mostLeap)
	v.last = now
	v.seen = now
	v.rehearsal.PassTo(v.rehearsal.Clock() + leap.Seconds())
}

// does does an action at the present time of the bench. The mutex is held.
func (v *visitor) does(a rehearsal.Action, now time.Time) error {
	v.attend(now)
	a.At = v.rehearsal.Clock()
	if err := v.rehearsal.Do(a); err != nil {
		return err
	}
	v.revision++
	if !leavesFigures[a.Kind] {
		v.written++
	}
	v.dirty = true
	return nil
}

// leavesFigures are the actions after which the figures are as before.
var leavesFigures = map[rehearsal.Kind]bool{
	rehearsal.Acknowledge: true, rehearsal.Lamp: true, rehearsal.Shutter: true, rehearsal.Filter: true, rehearsal.Attenuator: true,
	rehearsal.Dial: true, rehearsal.Range: true, rehearsal.Null: true, rehearsal.Pass: true, rehearsal.Float: true,
	rehearsal.Answer: true, rehearsal.Move: true, rehearsal.Note: true, rehearsal.State: true, rehearsal.Bench: true,
	rehearsal.Name: true, rehearsal.Resolve: true,
}

// kept returns what a file keeps. The mutex is held.
func (v *visitor) kept(identity string) kept {
	log := v.rehearsal.Log()
	return kept{
		Schema: keptSchema, Identity: identity, Seed: v.seed, Student: v.student,
		Language: v.voice.Tag, Comma: v.voice.Comma,
		// The log only grows; what is there does not change.
		Log: log[:len(log):len(log)], Clock: v.rehearsal.Clock(),
	}
}

// A bucket lets a number of things happen at once, and then so many a second.
type bucket struct {
	level float64
	last  time.Time
}

// take reports whether one more may happen.
func (b *bucket) take(now time.Time, most, rate float64) bool {
	if b.last.IsZero() {
		b.level = most
	} else {
		b.level = min(most, b.level+rate*now.Sub(b.last).Seconds())
	}
	b.last = now
	if b.level < 1 {
		return false
	}
	b.level--
	return true
}
