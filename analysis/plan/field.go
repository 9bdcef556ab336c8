package plan

import (
	"fmt"
	"math"
)

// The grid of candidates: what a person would set by hand (a judgement).
var (
	steps      = []float64{0.02, 0.03, 0.05, 0.08, 0.1, 0.15, 0.2, 0.25, 0.3}
	fineSteps  = []float64{0.02, 0.03, 0.05}
	fineWidths = []float64{0.4, 0.8, 1.2}
	repeats    = []int{1, 3}
	neutrals   = []float64{1, 0.3}
)

// What a dwell may be in s.
const leastDwell, mostDwell = 0.2, 10

// fewestVoltages is the number of voltages that a sweep needs.
const fewestVoltages = 8

// fill is how much of the time a candidate must use.
const fill = 0.6

// candidates returns the ones that the time allows, the rest of it being spent on the
// dwell. The time is that of the population's median bench.
func (s Search) candidates() ([]Tried, error) {
	median := s.Population.Median()
	var field []Tried
	add := func(c Candidate) {
		c.Dwell = leastDwell
		least := Duration(c.Apply(median, s.Hand))
		readings := s.readings(c)
		if least > s.Seconds || readings == 0 {
			return
		}
		c.Dwell = roundDwell(leastDwell + (s.Seconds-least)/readings)
		a := c.Apply(median, s.Hand)
		if took := Duration(a); took >= fill*s.Seconds || c.Dwell == mostDwell {
			if len(a.Plan.Voltages((a.Plan.Start+a.Plan.Stop)/2)) >= fewestVoltages {
				field = append(field, Tried{Candidate: c, Minutes: took / 60})
			}
		}
	}
	equal := false
	for _, step := range steps {
		for _, r := range repeats {
			for _, neutral := range neutrals {
				base := Candidate{Step: step, Repeats: r, Neutral: neutral}
				add(base)
				if neutral < 1 {
					continue
				}
				if r == 1 {
					for _, lights := range subsets(len(median.Lights)) {
						fewer := base
						fewer.Lights = lights
						add(fewer)
					}
				}
				for _, fine := range fineSteps {
					for _, width := range fineWidths {
						if fine < step/1.9 {
							finer := base
							finer.FineStep, finer.FineWidth = fine, width
							add(finer)
						}
					}
				}
			}
		}
	}
	for _, t := range field {
		equal = equal || t.Candidate.EqualSteps()
	}
	if !equal {
		return nil, fmt.Errorf("%.3g minutes are too few for %d sweeps of %d voltages with a hand that needs %g s at each; give more time, or fewer lights",
			s.Seconds/60, len(median.Lights), fewestVoltages, s.Hand)
	}
	return field, nil
}

// roundDwell returns the longest dwell in s, at most so long, that a person would set: whole
// seconds from 2 s on, and tenths below.
func roundDwell(most float64) float64 {
	const rounding = 1e-9
	if most = min(most, mostDwell) + rounding; most >= 2 {
		return math.Floor(most)
	}
	return max(math.Floor(10*most)/10, leastDwell)
}

// readings returns the number of readings of the median bench's run.
func (s Search) readings(c Candidate) float64 {
	a := c.Apply(s.Population.Median(), s.Hand)
	sweeps := len(a.Lights)
	if a.Plan.DarkCurves {
		sweeps += 2
	}
	return float64(sweeps * len(a.Plan.Voltages((a.Plan.Start+a.Plan.Stop)/2)) * c.Repeats)
}

// fewestLights is the number of settings that a line with an uncertainty needs, and
// one more.
const fewestLights = 4

// subsets returns the ways of leaving one setting out, where enough are left.
func subsets(lights int) [][]int {
	if lights <= fewestLights {
		return nil
	}
	var all [][]int
	for out := range lights {
		var kept []int
		for i := range lights {
			if i != out {
				kept = append(kept, i)
			}
		}
		all = append(all, kept)
	}
	return all
}
