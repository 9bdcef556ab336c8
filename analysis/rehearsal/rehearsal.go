package rehearsal

import (
	"fmt"
	"math"
	"slices"

	"stopvolt/analysis"
	"stopvolt/instrument"
	"stopvolt/instrument/run"
)

// A Rehearsal is the state that a setup and a log of actions lead to. It belongs
// to one goroutine.
type Rehearsal struct {
	setup Setup
	log   []Action
	// clock is the time in s at the bench.
	clock float64
	desks [Benches]*desk
	at    int
	book  Logbook
	step  int

	acknowledged, revealed bool
}

// New returns a rehearsal that begins. The error says what of the apparatus
// cannot be prepared.
func New(s Setup) (*Rehearsal, error) {
	r := &Rehearsal{setup: s, book: Logbook{Open: -1, Answers: make(map[string][]Answered)}}
	var err error
	r.desks[0], err = newDesk(s, 0, 0)
	return r, err
}

// Replay returns the state after a log. The error names the action that the
// state before it refuses.
func Replay(s Setup, log []Action) (*Rehearsal, error) {
	r, err := New(s)
	if err != nil {
		return nil, err
	}
	for i, a := range log {
		if a.Kind == Reveal {
			// Whoever has it in the log has seen the truth; logs from before the
			// confirmation do not have it.
			a.Value = Confirmed
		}
		if err := r.Do(a); err != nil {
			return nil, fmt.Errorf("action %d of %d (%s): %w", i+1, len(log), a.Kind, err)
		}
	}
	return r, nil
}

// PassTo lets the clock go on to a time in s. It never goes back, and ends with
// the day.
func (r *Rehearsal) PassTo(at float64) {
	if !(at > r.clock) {
		return
	}
	r.clock = min(at, LongestDay)
	r.desk().pass(r.clock, r.setup.Seed)
}

// Do does an action, after the clock has gone on to its time, and writes it into
// the log. An action that is refused changes nothing else.
func (r *Rehearsal) Do(a Action) error {
	if err := a.check(); err != nil {
		return err
	}
	if len(r.log) >= MostActions {
		return refuse("log-full")
	}
	if a.At >= LongestDay || r.clock >= LongestDay {
		return refuse("day-over")
	}
	// What comes late happened now.
	a.At = max(a.At, r.clock)
	r.PassTo(a.At)
	do, ok := deeds[a.Kind]
	if !ok {
		return fmt.Errorf("%w: %q", errUnknown, a.Kind)
	}
	if err := do(r, a); err != nil {
		return err
	}
	r.log = append(r.log, a)
	// Reading and waiting take time at the bench.
	r.clock = max(r.clock, r.desk().now())
	return nil
}

func (r *Rehearsal) desk() *desk { return r.desks[r.at] }

// Log returns the actions so far. They must not be changed.
func (r *Rehearsal) Log() []Action { return r.log }

// Clock returns the time in s at the bench.
func (r *Rehearsal) Clock() float64 { return r.clock }

// Display returns what the meters show.
func (r *Rehearsal) Display() Display { return r.desk().display }

// Controls returns what is set.
func (r *Rehearsal) Controls() Controls { return r.desk().controls }

// Nulled reports of each range, in the order of FullScales, whether the meter of
// the present bench was zeroed on it.
func (r *Rehearsal) Nulled() []bool { return slices.Clone(r.desk().nulled) }

// Book returns the logbook, which must not be changed.
func (r *Rehearsal) Book() *Logbook { return &r.book }

// At returns the index of the bench, and Step that of the step of the session.
func (r *Rehearsal) At() int { return r.at }

// Step returns the index of the step of the guided session.
func (r *Rehearsal) Step() int { return r.step }

// Done reports whether the work of a step is seen in the state.
func (r *Rehearsal) Done(step int) bool { return Steps()[step].done(r) }

// Acknowledged reports whether the cautions were read.
func (r *Rehearsal) Acknowledged() bool { return r.acknowledged }

// Revealed reports whether the truth has been shown.
func (r *Rehearsal) Revealed() bool { return r.revealed }

// HandedIn reports whether the person has said what there was to find: the
// cutoffs, or in a drill the fault.
func (r *Rehearsal) HandedIn() bool {
	return r.book.Committed > 0 || r.setup.Drill && r.book.Fault != ""
}

// Drill reports whether the only task is to find the fault.
func (r *Rehearsal) Drill() bool { return r.setup.Drill }

// Blind reports whether the world's h/e is not the book's.
func (r *Rehearsal) Blind() bool { return r.setup.Blind }

// A Filter is one setting of the light as its rim says.
type FilterLabel struct {
	Name string
	// Wavelength is the nominal one in nm.
	Wavelength float64
}

// Filters returns the settings of the light.
func (r *Rehearsal) Filters() []FilterLabel {
	var labels []FilterLabel
	for _, l := range r.setup.Apparatus.Lights {
		labels = append(labels, FilterLabel{l.Name, l.Nominal})
	}
	return labels
}

// FullScales returns those of the meter's ranges in A, the most sensitive
// first; infinite for a meter without ranges.
func (r *Rehearsal) FullScales() []float64 {
	var full []float64
	for _, x := range r.desk().ranges {
		full = append(full, x.Highest)
	}
	return full
}

// Resolution returns one step of the display in A on the present range.
func (r *Rehearsal) Resolution() float64 { return r.desk().ranges[r.desk().display.Range].Resolution }

// Needle returns the meter's scale.
func (r *Rehearsal) Needle() instrument.Needle { return r.setup.Apparatus.Meter.Needle }

// Facts returns what an analyst of the readings is told.
func (r *Rehearsal) Facts() run.Facts {
	f := run.Facts{Temperature: math.Round(r.setup.Apparatus.Emitter.Temperature)}
	// The last digit is that of the finest range in use.
	ranges := r.desks[0].ranges
	finest := len(ranges) - 1
	for _, x := range r.book.Readings {
		finest = min(finest, x.Controls.Range)
	}
	f.Resolution = ranges[finest].Resolution
	return f
}

// Run returns the readings of a bench as files have them.
func (r *Rehearsal) Run(bench int) run.Run { return r.book.Run(bench, r.Facts()) }

// has reports whether any reading that counts is such.
func (r *Rehearsal) has(such func(Reading) bool) bool {
	return slices.ContainsFunc(r.book.Readings, func(x Reading) bool { return r.counts(x) && such(x) })
}

// answered reports whether a question has an answer.
func (r *Rehearsal) answered(name string) bool { return len(r.book.Answers[name]) > 0 }

// longestPage returns the number of readings on the fullest page with light.
func (r *Rehearsal) longestPage() int {
	most := 0
	for _, p := range r.book.Pages {
		if !p.Dark() && p.Counts() {
			most = max(most, len(p.Readings))
		}
	}
	return most
}

// cutoffs returns the number of lines with a cutoff in undimmed light.
func (r *Rehearsal) cutoffs() int { return len(r.Points()) }

// Points returns the cutoffs of the first bench in undimmed light that count,
// one for each wavelength as it was logged, the last page of each.
func (r *Rehearsal) Points() []analysis.Point {
	var points []analysis.Point
	for _, i := range r.linePages() {
		p := r.book.Pages[i]
		c, _ := p.Cutoff()
		points = append(points, pointOf(p, c))
	}
	return points
}

// linePages returns the indices of the pages whose cutoffs Points has.
func (r *Rehearsal) linePages() []int {
	var pages []int
	for i, p := range r.book.Pages {
		if _, ok := p.Cutoff(); !ok || p.Dark() || p.Bench != 0 || p.Transmission != 1 {
			continue
		}
		same := slices.IndexFunc(pages, func(k int) bool { return r.book.Pages[k].Wavelength == p.Wavelength })
		if same >= 0 {
			pages[same] = i
			continue
		}
		pages = append(pages, i)
	}
	return pages
}

// Line returns the straight line through the person's cutoffs, weighted where
// all have uncertainties. It is known no better than these allow, however little the
// cutoffs scatter. The error says what is missing.
func (r *Rehearsal) Line() (analysis.Line, error) {
	points := r.Points()
	if slices.ContainsFunc(points, func(p analysis.Point) bool { return !(p.UStopping > 0) }) {
		return analysis.Ordinary{}.Fit(points)
	}
	line, err := analysis.Weighted{}.Fit(points)
	if stated := line.StatedU(); err == nil && stated > line.USlope && !math.IsInf(stated, 1) {
		wider := stated / line.USlope
		line.USlope, line.UIntercept, line.Covariance = stated, wider*line.UIntercept, wider*wider*line.Covariance
	}
	return line, err
}
