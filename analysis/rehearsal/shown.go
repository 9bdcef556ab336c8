package rehearsal

import "slices"

// manyEnough is the number of readings from which it can be said that few of them
// were struck out.
const manyEnough = 10

// darkRead reports whether a current was read with the shutter closed.
func (r *Rehearsal) darkRead() bool {
	return r.has(func(x Reading) bool { return !x.Controls.Shutter && r.head(x).Bench == 0 })
}

// currentRead reports whether any current was read.
func (r *Rehearsal) currentRead() bool {
	return r.has(func(x Reading) bool { return !x.Controls.Floating })
}

// allZeroed reports whether currents were read, and all on ranges that had been
// zeroed, at either bench.
func (r *Rehearsal) allZeroed() bool {
	return r.currentRead() && !r.has(func(x Reading) bool { return !x.Controls.Floating && !x.Nulled })
}

// zeroedDark reports whether the meters were zeroed, and never with light on the
// cell.
func (r *Rehearsal) zeroedDark() bool {
	return r.anyDesk(func(d *desk) bool { return slices.Contains(d.nulled, true) }) &&
		!r.anyDesk(func(d *desk) bool { return d.everNulledLit })
}

// lineRead reports whether a current was read on a page of light.
func (r *Rehearsal) lineRead() bool { return r.has(r.ofLine) }

// twoCutoffs and oneCutoff report whether so many lines have cutoffs.
func (r *Rehearsal) twoCutoffs() bool { return r.cutoffs() > 1 }
func (r *Rehearsal) oneCutoff() bool  { return r.cutoffs() > 0 }

func (r *Rehearsal) committed() bool { return r.book.Committed > 0 }

// wroteMany reports whether there are enough readings to speak of few.
func (r *Rehearsal) wroteMany() bool { return len(r.book.Readings) >= manyEnough }

// anyDesk reports whether a bench at which the person sat is such.
func (r *Rehearsal) anyDesk(such func(*desk) bool) bool {
	return slices.ContainsFunc(r.desks[:], func(d *desk) bool { return d != nil && such(d) })
}

// sawLight reports whether a current was read in the light of the lamp.
func (r *Rehearsal) sawLight() bool {
	return r.has(func(x Reading) bool { return r.ofLine(x) && x.Controls.Shutter && x.Controls.Lamp })
}

// readCutoff reports whether a current's cutoff was read at the first bench.
func (r *Rehearsal) readCutoff() bool {
	return slices.ContainsFunc(r.book.Pages, func(p Page) bool {
		_, ok := p.Cutoff()
		return ok && !p.Floating && p.Bench == 0
	})
}

// Spotless returns the names of the checks of the work that found nothing in what
// was done.
func (r *Rehearsal) Spotless() []string { return r.quiet(true) }

// Undone returns the names of the checks that found nothing because what they look
// at was not done, or not by all that would show it.
func (r *Rehearsal) Undone() []string { return r.quiet(false) }

// quiet returns the names of the checks that found nothing, of work that is shown
// or not.
func (r *Rehearsal) quiet(done bool) []string {
	var names []string
	for _, c := range checks {
		if _, found := c.look(r); !found && c.shown(r) == done {
			names = append(names, c.name)
		}
	}
	return names
}
