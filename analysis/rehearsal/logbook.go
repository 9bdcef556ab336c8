package rehearsal

import (
	"fmt"
	"strconv"

	"stopvolt/instrument/run"
)

// A Page of the logbook is what was written under one heading.
type Page struct {
	// Bench is the index of the bench at which it was begun.
	Bench int
	// Wavelength in nm and Transmission are what the person wrote at the head;
	// a wavelength of 0 is the shutter closed.
	Wavelength, Transmission float64
	// Floating says that the page holds potentials of a floating collector.
	Floating bool
	// Readings are indices of the logbook's, in the order in which they were
	// written.
	Readings []int
	Notes    []Remark
	// Cutoffs are all that were ever read, the last one counts.
	Cutoffs []Cutoff
	// Aside says when and why the page was set aside as a whole; its Text is
	// empty for a page that counts.
	Aside Remark
}

// Counts reports whether the page was not set aside.
func (p Page) Counts() bool { return p.Aside.Text == "" }

// Dark reports whether the page is headed as one without light.
func (p Page) Dark() bool { return p.Wavelength == 0 }

// Cutoff returns the one that counts; ok is false where there is none, and on a page
// that was set aside.
func (p Page) Cutoff() (c Cutoff, ok bool) {
	if len(p.Cutoffs) == 0 || !p.Counts() {
		return Cutoff{}, false
	}
	return p.Cutoffs[len(p.Cutoffs)-1], true
}

// Setting returns the name of the page's setting as files have it.
func (p Page) Setting() string {
	if p.Dark() {
		return "dark"
	}
	name := strconv.FormatFloat(p.Wavelength, 'f', -1, 64) + " nm"
	if p.Transmission != 1 {
		name += fmt.Sprintf(" at %g", p.Transmission)
	}
	return name
}

// A Remark is a text with the time in s at which it was written.
type Remark struct {
	At   float64
	Text string
}

// A Cutoff is a stopping voltage that was read by a person.
type Cutoff struct {
	// Stopping and U, its standard uncertainty, are in V.
	Stopping, U float64
	// Rule names the way of reading.
	Rule string
	// At is the time in s, and Why the reason for a change at the first bench
	// after the cutoffs were handed in.
	At  float64
	Why string
}

// A Reading is one that was written down, with what was the case and what the
// person need not have seen.
type Reading struct {
	run.Reading
	// Page is the index of its page.
	Page int
	// Struck is the reason for which it was struck out; empty for none.
	Struck string
	// Controls are those at the time, and Range that of the meter with its
	// FullScale in A.
	Controls  Controls
	FullScale float64
	// Lag is the current in A by which the meter had not settled, and Lack the
	// part of its power that the lamp still lacked.
	Lag, Lack float64
	// Nulled says that the meter had been zeroed on its range.
	Nulled bool
}

// Counts reports whether the reading was not struck out.
func (r Reading) Counts() bool { return r.Struck == "" }

// Logbook is what a person has written.
type Logbook struct {
	Pages    []Page
	Readings []Reading
	// Open is the index of the open page, -1 before the first.
	Open int
	// Sketch has the expected current at SketchVoltages in per cent of the
	// largest; nil before it was drawn.
	Sketch []float64
	// Answers are those to questions, the last one counts.
	Answers map[string][]Answered
	// Ruler is laid over the open page.
	Ruler *Straightedge
	// Committed is the time in s at which the cutoffs were handed in, 0 before.
	Committed float64
	// Statements of h/e, the last one counts.
	Statements []Statement
	// Fault is the name that was given to the planted fault, empty before.
	Fault string
	// Resolved are what will be done differently.
	Resolved []string
}

// Answered is an answer to a question, with what would change the person's mind
// in their own words.
type Answered struct {
	At     float64
	Choice int
	Number float64
	Mind   string
}

// A Straightedge is a ruler between two points, in V and A.
type Straightedge struct {
	V, I [2]float64
}

// Zero returns where the ruler meets zero current, in V; ok is false for a
// level one.
func (s Straightedge) Zero() (v float64, ok bool) {
	if s.I[0] == s.I[1] {
		return 0, false
	}
	return s.V[0] + (s.V[1]-s.V[0])*s.I[0]/(s.I[0]-s.I[1]), true
}

// A Statement says what h/e is, in V s.
type Statement struct {
	At, HOverE, U float64
}

// SketchVoltages are the retarding voltages in V at which the expected curve is
// sketched.
func SketchVoltages() []float64 { return []float64{-1, -0.5, 0, 0.5, 1, 1.5, 2} }

// Transmissions are those of the attenuators, the last one being none at all.
func Transmissions() []float64 { return []float64{0.01, 0.1, 0.5, 1} }

// Run returns the readings of a bench as files have them, page by page, without
// those struck out and the pages set aside; pages of a floating collector have no
// currents and are left out, and dark pages are marked. Pages of one heading have
// numbers.
func (l *Logbook) Run(bench int, facts run.Facts) run.Run {
	r := run.Run{Facts: facts}
	seen := make(map[string]int)
	for _, p := range l.Pages {
		c := l.curve(p)
		if p.Bench != bench || len(c.Readings) == 0 {
			continue
		}
		if seen[c.Setting]++; seen[c.Setting] > 1 {
			c.Setting += ", " + strconv.Itoa(seen[c.Setting])
		}
		r.Curves = append(r.Curves, c)
	}
	return r
}

// curve returns the readings of a page that count; none of a page that was set
// aside, or has potentials instead of currents.
func (l *Logbook) curve(p Page) run.Curve {
	c := run.Curve{Setting: p.Setting(), Wavelength: p.Wavelength, Dark: p.Dark()}
	if p.Floating || !p.Counts() {
		return c
	}
	last := -1
	for _, i := range p.Readings {
		x := l.Readings[i]
		if !x.Counts() {
			continue
		}
		if last >= 0 && last != x.Controls.Range {
			x.Flags |= run.RangeChanged
		}
		last = x.Controls.Range
		c.Readings = append(c.Readings, x.Reading)
	}
	return c
}
