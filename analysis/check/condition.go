package check

import (
	"math"

	"stopvolt/analysis"
	"stopvolt/instrument/run"
	"stopvolt/physics"
)

// A Condition is what a run tells of the bench that it was taken at, to be followed
// over the years.
type Condition struct {
	// Sensitivity is the photocurrent in A, with half a volt attracting, by nominal
	// wavelength in nm.
	Sensitivity map[float64]float64
	// PlateauRatio is the reverse current of the brightest setting over its
	// photocurrent.
	PlateauRatio float64
	// Leakage is the conductance in siemens that the slope of the dark curve shows;
	// NaN without one.
	Leakage float64
	// Shift is the mean over the settings of the stopping voltage less h/e times the
	// frequency, in V: minus the collector's work function in eV, and what the method
	// makes of the knee. NaN without a cutoff.
	Shift float64
}

// ConditionOf returns the condition that a run and its cutoffs show.
func ConditionOf(r run.Run, cutoffs []analysis.Point) Condition {
	c := Condition{Sensitivity: make(map[float64]float64), PlateauRatio: math.NaN(), Leakage: math.NaN(), Shift: math.NaN()}
	lit, _ := analysis.WithoutDark(r)
	var brightest float64
	for _, w := range lay(lit).sweeps {
		if !w.usable || w.wavelength == 0 {
			continue
		}
		current := w.photocurrent()
		if current <= 0 {
			continue
		}
		c.Sensitivity[w.wavelength] = current
		if current > brightest {
			brightest = current
			c.PlateauRatio = -w.level() / current
		}
	}
	var v, i []float64
	for _, curve := range r.Curves {
		if !curve.Dark {
			continue
		}
		for _, reading := range curve.Readings {
			v, i = append(v, reading.Retarding), append(i, reading.Current)
		}
	}
	if l, ok := straight(v, i); ok {
		c.Leakage = -l.slope
	}
	if len(cutoffs) > 0 {
		var sum float64
		for _, p := range cutoffs {
			sum += p.Stopping - physics.HOverE*p.Frequency
		}
		c.Shift = sum / float64(len(cutoffs))
	}
	return c
}
