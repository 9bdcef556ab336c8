package practice

import (
	"slices"
	"strings"

	"stopvolt/instrument/run"
)

// withLogbook returns the record with the readings of a student's own logbook in
// place of the set's. Settings that the logbook does not have keep the set's, and
// so does the dark current where it has none. The curves keep the order of the
// settings.
func (r Record) withLogbook(logbook run.Run) Record {
	curves := slices.Clone(r.Run.Curves)
	var dark []run.Reading
	for _, c := range logbook.Curves {
		if c.Dark {
			dark = append(dark, c.Readings...)
		}
	}
	for i, c := range curves {
		readings := dark
		if !c.Dark {
			readings = logbookReadings(logbook, c.Wavelength)
		}
		// One reading shows nothing of a curve.
		if len(readings) > 1 {
			curves[i].Readings = readings
		}
		if c.Dark {
			// The first dark curve holds all of the logbook's.
			dark = nil
		}
	}
	r.Run = run.Run{Facts: r.Run.Facts, Curves: curves}
	if logbook.Facts.Resolution > 0 {
		r.Run.Facts.Resolution = logbook.Facts.Resolution
	}
	return r
}

// dimmedMark stands in the names of settings in dimmed light, as the logbook of a
// rehearsal writes them: 435.8 nm at 0.1.
const dimmedMark = " at "

// logbookReadings returns the readings at a wavelength in nm in undimmed light, of
// all pages of it: a page in dimmed light says so in its name.
func logbookReadings(logbook run.Run, wavelength float64) []run.Reading {
	var all []run.Reading
	for _, c := range logbook.Curves {
		if !c.Dark && c.Wavelength == wavelength && !strings.Contains(c.Setting, dimmedMark) {
			all = append(all, c.Readings...)
		}
	}
	return all
}
