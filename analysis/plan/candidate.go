// Package plan looks for the voltages, repeats, dwell and lines that make the most of
// the time at the bench: those with the least error of h/e, after correction, over a
// population of benches.
package plan

import (
	"fmt"
	"slices"
	"strings"

	"stopvolt/instrument"
)

// A Candidate is one way to spend the time.
type Candidate struct {
	// Step is the step in V of the whole sweep; a Candidate without one leaves the plan
	// as the bench has it. FineStep in V is that of a finer grid
	// over FineWidth in V about the knee; without a FineWidth there is none.
	Step, FineStep, FineWidth float64
	// Repeats is the number of readings at each voltage, at least one, and Dwell the
	// time in s over which the meter averages each.
	Repeats int
	Dwell   float64
	// Lights are the indexes of the settings that are used; nil is all of them.
	Lights []int
	// Neutral is the transmission, above 0 and at most 1, of an attenuator in front of
	// every setting.
	Neutral float64
}

// Apply returns an apparatus whose plan is the candidate's. A hand needs the given time
// in s for turning the dial and writing down, at each voltage.
func (c Candidate) Apply(a instrument.Apparatus, hand float64) instrument.Apparatus {
	p := a.Plan
	if c.Step == 0 {
		return a
	}
	p.Step, p.FineStep, p.FineWidth = c.Step, c.FineStep, c.FineWidth
	p.Repeats, p.Dwell = c.Repeats, c.Dwell
	p.Turn = max(p.Turn, hand)
	a.Plan = p
	lights := slices.Clone(a.Lights)
	if c.Lights != nil {
		lights = lights[:0]
		for _, i := range c.Lights {
			if i < len(a.Lights) {
				lights = append(lights, a.Lights[i])
			}
		}
	}
	for i := range lights {
		lights[i].Neutral *= c.Neutral
	}
	a.Lights = lights
	return a
}

// Duration returns the time in s that the plan of an apparatus takes, its knees being
// in the middle of the sweep.
func Duration(a instrument.Apparatus) float64 {
	p := a.Plan
	voltages := len(p.Voltages((p.Start + p.Stop) / 2))
	sweeps := len(a.Lights)
	if p.DarkCurves {
		sweeps += 2
	}
	reading := p.Turn + p.Settle + float64(p.Repeats)*p.Dwell
	return float64(sweeps*voltages)*reading + float64(sweeps-1)*p.Change
}

// EqualSteps reports whether the candidate is a sweep in equal steps of all lights.
func (c Candidate) EqualSteps() bool { return c.FineWidth == 0 && c.Lights == nil && c.Neutral == 1 }

// String says what to do, in words for a person.
func (c Candidate) String() string {
	parts := []string{fmt.Sprintf("steps of %g mV", 1e3*c.Step)}
	if c.FineWidth > 0 {
		parts = append(parts, fmt.Sprintf("steps of %g mV over %g V about the knee", 1e3*c.FineStep, c.FineWidth))
	}
	switch c.Repeats {
	case 1:
		parts = append(parts, fmt.Sprintf("one reading of %.3g s at each voltage", c.Dwell))
	default:
		parts = append(parts, fmt.Sprintf("%d readings of %.3g s at each voltage", c.Repeats, c.Dwell))
	}
	if c.Neutral < 1 {
		parts = append(parts, fmt.Sprintf("the light dimmed to %.3g %%", 100*c.Neutral))
	}
	return strings.Join(parts, ", ")
}
