// Package practicetest has simulated students who fill in practice sheets: honest
// ones, who read by any method there is, and ones who make a slip. They go by what a
// student is handed and by nothing else.
package practicetest

import (
	"math"
	"slices"

	"stopvolt/analysis"
	"stopvolt/analysis/practice"
	"stopvolt/instrument/run"
)

// A Room has the desks of a class.
type Room []*Desk

// A Desk is what lies before a student, and what the methods make of it.
type Desk struct {
	Student  practice.Student
	Settings []Setting
	// Contact is the stated contact potential in V.
	Contact float64
	Run     run.Run
	// Readings are those of all methods.
	Readings []Reading
}

// A Setting is one of the light. Frees says that its curve is not a flat one.
type Setting struct {
	Name string
	// Wavelength is in nm.
	Wavelength float64
	Frees      bool
}

// A Reading is what a method makes of the curves with the dark current taken off.
type Reading struct {
	Method string
	// Stopping and U are in V, NaN where there is no cutoff; Kept are the stopping
	// voltages of somebody who forgets the dark current.
	Stopping, U, Kept []float64
	// UAnswer in V s is what the program states of an answer; NaN for none.
	UAnswer float64
}

// Sit returns the desk of what a student is handed.
func Sit(h practice.Handout) *Desk {
	d := &Desk{Student: h.Student, Contact: h.ContactPotential, Run: h.Run}
	lit, _ := analysis.WithoutDark(h.Run)
	off := extract(lit)
	kept := h.Run
	kept.Curves = slices.DeleteFunc(slices.Clone(kept.Curves), func(c run.Curve) bool { return c.Dark })
	on := extract(kept)
	for i, s := range off.Settings {
		d.Settings = append(d.Settings, Setting{Name: s.Name, Wavelength: lit.Curves[i].Wavelength, Frees: rises(lit.Curves[i], h.Resolution)})
	}
	for m, method := range analysis.Methods() {
		r := Reading{Method: method.Name(), UAnswer: analysis.Choice{Methods: []string{method.Name()}}.Answer(off).U}
		for i := range off.Settings {
			r.Stopping = append(r.Stopping, voltage(off.Settings[i].Cutoffs[m]))
			r.U = append(r.U, off.Settings[i].Cutoffs[m].U)
			r.Kept = append(r.Kept, voltage(on.Settings[i].Cutoffs[m]))
		}
		d.Readings = append(d.Readings, r)
	}
	return d
}

// extract reads a run by all methods. A construction leads to a voltage also where the
// current still flows.
func extract(r run.Run) analysis.Extraction {
	x := analysis.Extractor{AsDrawn: true, Methods: analysis.Methods(), Fits: []analysis.LineFit{analysis.Ordinary{}, analysis.Weighted{}}}
	return x.Extract(r)
}

// voltage returns that of a cutoff in V, NaN for none.
func voltage(c analysis.Cutoff) float64 {
	if c.Status != analysis.OK {
		return math.NaN()
	}
	return c.Stopping
}

// rises reports whether a curve differs from a flat one by more than its last digits,
// of a step in A, and a lamp's flicker.
func rises(c run.Curve, resolution float64) bool {
	const digits = 20
	low, high := math.Inf(1), math.Inf(-1)
	for _, r := range c.Readings {
		low, high = min(low, r.Current), max(high, r.Current)
	}
	return high-low > digits*resolution
}

// Reading returns that of a method.
func (d *Desk) Reading(method string) Reading {
	i := slices.IndexFunc(d.Readings, func(r Reading) bool { return r.Method == method })
	return d.Readings[i]
}
