// Package check looks at a run before its group goes home: whether anything about
// the readings themselves says that they will not give a stopping voltage, and what
// can be done about it in ten minutes. It knows no truth, and compares a curve with
// itself and with the others of its run only.
package check

import (
	"stopvolt/instrument/run"
)

// A Finding is one thing that is wrong or missing.
type Finding struct {
	// Check is the name of the check that speaks.
	Check string
	// Setting is the setting of the light that it is about; empty for the run.
	Setting string
	// Where says at which voltages of the setting it is, for a list of settings whose
	// finding is told by another's sentence; most findings are about all of them.
	Where string
	// Says is what the readings show, in one sentence with its numbers, and Do what
	// to do about it in the next ten minutes.
	Says, Do string
}

// A Check is one look at a run.
type Check struct {
	// Name is the check's name in files and on the command line.
	Name string
	// Spoils says that a run with such a finding has no h/e worth pooling with others.
	Spoils bool
	// find returns what is wrong.
	find func(*sheet) []Finding
}

// Checks returns the checks in the order in which their findings are told: what
// spoils everything first. To add one, write its file and add its line here.
func Checks() []Check {
	return []Check{
		{"sign", true, findSigns},
		{"units", true, findUnits},
		{"slip", true, findSlips},
		{"settings", true, findSettings},
		{"range", true, findRange},
		{"settling", true, findSettling},
		{"lamp", false, findLampDrift},
		{"accelerating-side", false, findStart},
		{"plateau", true, findPlateau},
		{"knee", false, findKnee},
		{"noise", false, findNoise},
		{"dark", false, findDark},
		{"order", true, findOrder},
		{"neighbour", true, findNeighbour},
	}
}

// A sheet is a run laid out for the checks.
type sheet struct {
	run run.Run
	// sweeps are the curves with light, in the order of the run.
	sweeps []sweep
	// dropped is the number of settings that were left out as nonsense.
	dropped int
}

// Run looks at a run, with its dark curves if it has any, and returns what the
// checks find. A sign or a unit that is wrong makes nonsense of the rest: then
// nothing else is looked for at that setting.
func Run(r run.Run) []Finding {
	s := lay(r)
	var all []Finding
	nonsense := make(map[string]bool)
	for i, c := range Checks() {
		for _, f := range c.find(s) {
			if nonsense[f.Setting] {
				continue
			}
			f.Check = c.Name
			all = append(all, f)
		}
		if i == lastOfNonsense {
			for _, f := range all {
				nonsense[f.Setting] = f.Setting != ""
			}
			s.drop(nonsense)
		}
	}
	return all
}

// Units looks at nothing but the size of the currents and voltages of a run, which an
// h/e that is off by a power of ten asks for.
func Units(r run.Run) []Finding {
	all := findUnits(lay(r))
	for i := range all {
		all[i].Check = "units"
	}
	return all
}

// Spoiled returns those of findings that keep a run from being pooled with others.
func Spoiled(findings []Finding) []Finding {
	spoils := make(map[string]bool)
	for _, c := range Checks() {
		spoils[c.Name] = c.Spoils
	}
	var all []Finding
	for _, f := range findings {
		if spoils[f.Check] {
			all = append(all, f)
		}
	}
	return all
}

// Nonsense returns those of findings that make nonsense of all else that is read off their
// settings, so that no other remark about those is worth making.
func Nonsense(findings []Finding) []Finding {
	var all []Finding
	for _, c := range Checks()[:lastOfNonsense+1] {
		for _, f := range findings {
			if f.Check == c.Name {
				all = append(all, f)
			}
		}
	}
	return all
}

// lastOfNonsense is the index of the last check whose finding makes nonsense of a
// setting's others.
const lastOfNonsense = 1

// drop leaves settings out.
func (s *sheet) drop(names map[string]bool) {
	var kept []sweep
	for _, w := range s.sweeps {
		if names[w.name] {
			s.dropped++
			continue
		}
		kept = append(kept, w)
	}
	s.sweeps = kept
}

// lay lays a run out, without its slips: what one wrong digit does to a curve is no
// noise of it, and no filter's. Curves with too few readings for a look keep their readings
// alone.
func lay(r run.Run) *sheet {
	s := &sheet{run: r}
	for _, c := range r.Curves {
		if c.Dark {
			continue
		}
		s.sweeps = append(s.sweeps, newSweep(c, r.Facts))
	}
	return s
}
