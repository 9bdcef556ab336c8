package rehearsal

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"stopvolt/analysis"
	"stopvolt/instrument/run"
	"stopvolt/physics"
)

// deeds are what the actions do. To add one, write its function, its Kind, and
// its line here.
var deeds map[Kind]func(*Rehearsal, Action) error

func init() {
	deeds = map[Kind]func(*Rehearsal, Action) error{
		Acknowledge: func(r *Rehearsal, _ Action) error { r.acknowledged = true; return nil },
		Lamp:        (*Rehearsal).lamp,
		Shutter:     (*Rehearsal).shutter,
		Filter:      (*Rehearsal).filter,
		Attenuator:  (*Rehearsal).attenuator,
		Dial:        (*Rehearsal).dial,
		Range:       (*Rehearsal).setRange,
		Null:        (*Rehearsal).null,
		Pass:        (*Rehearsal).pass,
		Float:       (*Rehearsal).letFloat,
		OpenPage:    (*Rehearsal).openPage,
		Turn:        (*Rehearsal).turn,
		Write:       (*Rehearsal).write,
		Strike:      (*Rehearsal).strike,
		SetAside:    (*Rehearsal).setAside,
		Note:        (*Rehearsal).note,
		Sketch:      (*Rehearsal).sketch,
		Answer:      (*Rehearsal).answer,
		Ruler:       (*Rehearsal).ruler,
		Read:        (*Rehearsal).read,
		Commit:      (*Rehearsal).commit,
		State:       (*Rehearsal).state,
		Move:        (*Rehearsal).move,
		Bench:       (*Rehearsal).goTo,
		Name:        (*Rehearsal).name,
		Resolve:     (*Rehearsal).resolve,
		Reveal:      (*Rehearsal).reveal,
	}
}

// restrike is the time in s for which a hot discharge lamp does not light again
// (common practice, no source: some minutes).
const restrike = 300

// warmEnough is how long in s a lamp has to burn before it counts as hot.
const warmEnough = 20

func (r *Rehearsal) lamp(a Action) error {
	d := r.desk()
	on := a.Value != 0
	switch {
	case on == d.controls.Lamp:
		return nil
	case on && !r.acknowledged:
		return refuse("safety-first")
	case on && d.now()-d.quenched < restrike:
		return refuse("lamp-hot")
	case on:
		d.session.Strike()
		d.struck = d.now()
	default:
		d.session.Extinguish()
		if d.now()-d.struck > warmEnough {
			d.quenched = d.now()
		}
	}
	d.controls.Lamp = on
	d.changed()
	return nil
}

func (r *Rehearsal) shutter(a Action) error {
	d := r.desk()
	d.controls.Shutter = a.Value != 0
	d.session.Shut(!d.controls.Shutter)
	d.changed()
	return nil
}

func (r *Rehearsal) filter(a Action) error {
	d := r.desk()
	i, err := index(a.Value, len(d.apparatus.Lights))
	switch {
	case err != nil:
		return err
	case d.controls.Shutter:
		return refuse("shutter-first")
	}
	d.controls.Filter = i
	d.session.Select(i)
	d.changed()
	return nil
}

func (r *Rehearsal) attenuator(a Action) error {
	d := r.desk()
	switch {
	case !slices.Contains(Transmissions(), a.Value):
		return fmt.Errorf("%w: no attenuator of %g", errUnknown, a.Value)
	case d.controls.Shutter:
		return refuse("shutter-first")
	}
	d.controls.Transmission = a.Value
	d.session.Attenuate(a.Value)
	d.changed()
	return nil
}

// The reach of the dial in V.
const dialLow, dialHigh = -3, 5

func (r *Rehearsal) dial(a Action) error {
	d := r.desk()
	if a.Value < dialLow || a.Value > dialHigh {
		return refuse("dial-ends")
	}
	if d.controls.Floating {
		return refuse("floating")
	}
	// The dial has steps of a millivolt.
	d.controls.Dial = math.Round(a.Value*1e3) / 1e3
	d.session.Turn(d.controls.Dial)
	d.display.Retarding = d.retarding()
	return nil
}

func (r *Rehearsal) setRange(a Action) error {
	d := r.desk()
	if a.Value == -1 {
		d.controls.Auto = true
		d.session.FindRange()
		return nil
	}
	i, err := index(a.Value, len(d.ranges))
	if err != nil {
		return err
	}
	d.controls.Range, d.controls.Auto = i, false
	d.session.SetRange(i)
	return nil
}

// readingTime is the time in s over which a reading is averaged.
func (d *desk) readingTime() float64 { return d.apparatus.Plan.Dwell }

func (r *Rehearsal) null(Action) error {
	d := r.desk()
	if d.controls.Floating {
		return refuse("floating")
	}
	d.shake(r.setup.Seed)
	d.session.Null(d.readingTime())
	d.nulled[d.session.Range()] = true
	d.nulledLit = d.controls.Shutter && d.controls.Lamp
	d.everNulledLit = d.everNulledLit || d.nulledLit
	d.tick(r.setup.Seed)
	return nil
}

func (r *Rehearsal) pass(a Action) error {
	if !(a.Value > 0 && a.Value <= longestPass) {
		return fmt.Errorf("%w: a time of %g s", errUnknown, a.Value)
	}
	d := r.desk()
	if d.now()+a.Value >= LongestDay {
		return refuse("day-over")
	}
	// The last of it is seen on the meters.
	if a.Value > 1 {
		d.session.Wait(a.Value - 1)
	}
	for range int(min(a.Value, 1)/tickLength + 0.5) {
		d.tick(r.setup.Seed)
	}
	return nil
}

func (r *Rehearsal) letFloat(a Action) error {
	d := r.desk()
	on := a.Value != 0
	if on == d.controls.Floating {
		return nil
	}
	if on {
		if err := d.release(d.controls.Dial); err != nil {
			return refuse("never-rests")
		}
	}
	d.controls.Floating = on
	d.display.Retarding = d.retarding()
	return nil
}

// changed follows a change of the light. A collector that would never come to
// rest in it is connected again.
func (d *desk) changed() {
	if !d.controls.Floating {
		return
	}
	if err := d.release(d.float.at(d.session.Time())); err != nil {
		d.controls.Floating = false
	}
}

// mostPages bounds a logbook.
const mostPages = 60

func (r *Rehearsal) openPage(a Action) error {
	known := a.Value == 0 || slices.ContainsFunc(r.Filters(), func(f FilterLabel) bool { return f.Wavelength == a.Value })
	if !known || !slices.Contains(Transmissions(), a.Second) {
		return fmt.Errorf("%w: no page for %g nm at %g", errUnknown, a.Value, a.Second)
	}
	if len(r.book.Pages) >= mostPages {
		return refuse("book-full")
	}
	r.book.Pages = append(r.book.Pages, Page{Bench: r.at, Wavelength: a.Value, Transmission: a.Second, Floating: r.desk().controls.Floating})
	r.book.Open = len(r.book.Pages) - 1
	r.book.Ruler = nil
	return nil
}

func (r *Rehearsal) turn(a Action) error {
	i, err := index(a.Value, len(r.book.Pages))
	if err != nil {
		return err
	}
	r.book.Open, r.book.Ruler = i, nil
	return nil
}

// page returns the open page; the refusal says that there is none.
func (r *Rehearsal) page() (*Page, error) {
	if r.book.Open < 0 {
		return nil, refuse("page-first")
	}
	return &r.book.Pages[r.book.Open], nil
}

// mostReadings bounds a logbook.
const mostReadings = 3000

func (r *Rehearsal) write(Action) error {
	p, err := r.page()
	d := r.desk()
	switch {
	case err != nil:
		return err
	case !p.Counts():
		return refuse("page-aside")
	case p.Bench != r.at:
		return refuse("other-bench")
	case p.Floating != d.controls.Floating:
		return refuse("other-page")
	case len(r.book.Readings) >= mostReadings:
		return refuse("book-full")
	}
	d.shake(r.setup.Seed)
	lag, lack := d.session.Lag(), d.session.Lack()
	if !d.controls.Shutter || !d.controls.Lamp {
		lack = 0
	}
	reading := d.session.Read(d.readingTime())
	d.show(reading.Current)
	if d.controls.Floating {
		reading.Current, reading.Uncertainty = 0, 0
	}
	reading.Retarding = d.display.Retarding
	// That the range changed, is told from one reading of the page to the next.
	reading.Flags &= run.Overload
	// The logbook keeps the time at the bench.
	reading.Time = math.Round(d.now()*1e3) / 1e3
	p.Readings = append(p.Readings, len(r.book.Readings))
	controls := d.controls
	controls.Range = d.session.Range()
	r.book.Readings = append(r.book.Readings, Reading{
		Reading: reading, Page: r.book.Open, Controls: controls, FullScale: d.ranges[controls.Range].Highest,
		Lag: lag, Lack: lack, Nulled: d.nulled[controls.Range],
	})
	return nil
}

func (r *Rehearsal) strike(a Action) error {
	i, err := index(a.Value, len(r.book.Readings))
	switch {
	case err != nil:
		return err
	case strings.TrimSpace(a.Text) == "":
		return refuse("reason-needed")
	}
	r.book.Readings[i].Struck = a.Text
	return nil
}

// setAside takes a page out as a whole, once.
func (r *Rehearsal) setAside(a Action) error {
	i, err := index(a.Value, len(r.book.Pages))
	switch {
	case err != nil:
		return err
	case strings.TrimSpace(a.Text) == "":
		return refuse("reason-needed")
	case !r.book.Pages[i].Counts():
		return refuse("page-aside")
	}
	r.book.Pages[i].Aside = Remark{a.At, a.Text}
	return nil
}

// mostNotes bounds a page.
const mostNotes = 100

func (r *Rehearsal) note(a Action) error {
	p, err := r.page()
	switch {
	case err != nil:
		return err
	case strings.TrimSpace(a.Text) == "":
		return refuse("text-empty")
	case len(p.Notes) >= mostNotes:
		return refuse("book-full")
	}
	p.Notes = append(p.Notes, Remark{a.At, a.Text})
	return nil
}

func (r *Rehearsal) sketch(a Action) error {
	i, err := index(a.Value, len(SketchVoltages()))
	switch {
	case err != nil:
		return err
	case a.Second < -100 || a.Second > 100:
		return refuse("sketch-range")
	}
	if r.book.Sketch == nil {
		r.book.Sketch = make([]float64, len(SketchVoltages()))
	}
	r.book.Sketch[i] = a.Second
	return nil
}

// mostAnswers bounds the changes of mind about one question.
const mostAnswers = 50

func (r *Rehearsal) answer(a Action) error {
	q, ok := QuestionNamed(a.Text)
	if !ok {
		return fmt.Errorf("%w: no question %q", errUnknown, a.Text)
	}
	given := Answered{At: a.At, Number: a.Value, Mind: a.Why}
	if len(q.Choices) > 0 {
		i, err := index(a.Value, len(q.Choices))
		if err != nil {
			return err
		}
		given = Answered{At: a.At, Choice: i, Mind: a.Why}
	}
	if len(r.book.Answers[q.Name]) >= mostAnswers {
		return refuse("book-full")
	}
	r.book.Answers[q.Name] = append(r.book.Answers[q.Name], given)
	return nil
}

func (r *Rehearsal) ruler(a Action) error {
	if _, err := r.page(); err != nil {
		return err
	}
	i, err := index(a.Value, 3)
	switch {
	case err != nil:
		return err
	case i == 2:
		r.book.Ruler = nil
		return nil
	case math.Abs(a.Second) > 10 || math.Abs(a.Third) > 1e-3:
		return refuse("ruler-range")
	}
	if r.book.Ruler == nil {
		r.book.Ruler = &Straightedge{V: [2]float64{a.Second, a.Second}, I: [2]float64{a.Third, a.Third}}
	}
	// The log must not share memory with what is drawn.
	laid := *r.book.Ruler
	laid.V[i], laid.I[i] = a.Second, a.Third
	r.book.Ruler = &laid
	return nil
}

// ByRuler is the rule of a cutoff that was read where a ruler meets zero, and
// ByEye that of one without any.
const ByRuler, ByEye = "ruler", "by-eye"

// Rules returns the names of the ways in which a person may say that a cutoff
// was read.
func Rules() []string {
	names := []string{ByRuler, ByEye}
	for _, m := range analysis.Methods() {
		if m.Page().ByHand != "" {
			names = append(names, m.Name())
		}
	}
	return names
}

// mostCutoffs bounds the changes of one cutoff.
const mostCutoffs = 50

func (r *Rehearsal) read(a Action) error {
	i, err := index(a.Value, len(r.book.Pages))
	if err != nil {
		return err
	}
	p := &r.book.Pages[i]
	switch {
	case !slices.Contains(Rules(), a.Text):
		return refuse("rule-needed")
	case !p.Counts():
		return refuse("page-aside")
	case p.Dark():
		return refuse("dark-page")
	case len(p.Readings) == 0:
		return refuse("readings-first")
	case math.Abs(a.Second) > 10 || a.Third < 0 || a.Third > 10:
		return refuse("cutoff-range")
	case r.book.Committed > 0 && p.Bench == 0 && strings.TrimSpace(a.Why) == "":
		return refuse("reason-needed")
	case len(p.Cutoffs) >= mostCutoffs:
		return refuse("book-full")
	}
	p.Cutoffs = append(p.Cutoffs, Cutoff{Stopping: a.Second, U: a.Third, Rule: a.Text, At: a.At, Why: a.Why})
	return nil
}

// fewestCommitted is the number of lines of light that a straight line needs to
// show how well it fits.
const fewestCommitted = 3

func (r *Rehearsal) commit(a Action) error {
	points := r.Points()
	switch {
	case r.book.Committed > 0:
		return nil
	case len(points) < fewestCommitted:
		return refuse("three-lines")
	case slices.ContainsFunc(points, func(p analysis.Point) bool { return !(p.UStopping > 0) }):
		return refuse("uncertainties-first")
	}
	// A clock at zero would say that nothing was handed in.
	r.book.Committed = max(a.At, tickLength)
	return nil
}

func (r *Rehearsal) state(a Action) error {
	switch {
	case r.book.Committed == 0:
		return refuse("commit-first")
	case !(a.Value > 0) || a.Value > 1e-13 || a.Second < 0 || a.Second > 1e-13:
		return refuse("statement-range")
	case len(r.book.Statements) >= mostAnswers:
		return refuse("book-full")
	}
	r.book.Statements = append(r.book.Statements, Statement{a.At, a.Value, a.Second})
	return nil
}

func (r *Rehearsal) move(a Action) error {
	i, err := index(a.Value, len(Steps()))
	if err != nil {
		return err
	}
	r.step = i
	return nil
}

func (r *Rehearsal) goTo(a Action) error {
	i, err := index(a.Value, Benches)
	if err != nil || i == r.at {
		return err
	}
	if r.setup.Drill {
		return refuse("one-bench")
	}
	if r.desks[i] == nil {
		if r.desks[i], err = newDesk(r.setup, i, r.clock); err != nil {
			return err
		}
	}
	r.at = i
	// While a person was away, nothing was read.
	d := r.desk()
	if away := r.clock - d.now(); away > tickLength {
		d.session.Wait(away - tickLength)
	}
	d.tick(r.setup.Seed)
	return nil
}

func (r *Rehearsal) name(a Action) error {
	if _, ok := FaultNamed(a.Text); !ok && a.Text != NoFault {
		return fmt.Errorf("%w: no fault %q", errUnknown, a.Text)
	}
	r.book.Fault = a.Text
	return nil
}

func (r *Rehearsal) resolve(a Action) error {
	switch {
	case strings.TrimSpace(a.Text) == "":
		return refuse("text-empty")
	case len(r.book.Resolved) >= mostNotes:
		return refuse("book-full")
	}
	r.book.Resolved = append(r.book.Resolved, a.Text)
	return nil
}

// Confirmed is the Value of Reveal that says that the person was told what it
// spoils.
const Confirmed = 1

// reveal shows the truth. Before the work is handed in it does so only to those who
// confirm it.
func (r *Rehearsal) reveal(a Action) error {
	if !r.HandedIn() && a.Value != Confirmed {
		return refuse("confirm-first")
	}
	r.revealed = true
	return nil
}

// pointOf returns the point of a page's cutoff on the line.
func pointOf(p Page, c Cutoff) analysis.Point {
	return analysis.Point{Setting: p.Setting(), Frequency: physics.Frequency(p.Wavelength), Stopping: c.Stopping, UStopping: c.U}
}
