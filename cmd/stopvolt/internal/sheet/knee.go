package sheet

import (
	"math"

	"gonum.org/v1/gonum/stat"

	"stopvolt/instrument/run"
)

// A knee is the stretch of a curve, from and to voltages in V, on which the methods
// by hand work.
type knee struct{ from, to float64 }

// A plateau is the straight line that the last readings of a curve lie on.
type plateau struct {
	// level in A and slope in A/V are those of the line.
	level, slope float64
	// least is the current in A above the line that is told from it: that which scatter
	// makes unlikely, or half a per cent of the whole fall, since a reverse current bends.
	least float64
	// start is the index of its first reading.
	start int
}

// above returns by how much a reading is above the line.
func (p plateau) above(r run.Reading) float64 { return r.Current - p.level - p.slope*r.Retarding }

// off reports whether a reading is told from the line.
func (p plateau) off(r run.Reading) bool { return p.above(r) > p.least }

// through returns the line through the readings from the start on.
func (p plateau) through(readings []run.Reading) plateau {
	var v, i []float64
	for _, r := range readings[p.start:] {
		v, i = append(v, r.Retarding), append(i, r.Current)
	}
	p.level, p.slope = stat.LinearRegression(v, i, nil, false)
	return p
}

// fewest readings make a plateau.
const fewest = 6

// findPlateau returns that of readings in rising order of voltage. It begins where the
// readings, from the end backwards, leave the line for good. The resolution is in A.
func findPlateau(readings []run.Reading, resolution float64) plateau {
	const (
		part   = 6     // the last sixth is taken to be past the knee
		far    = 3.5   // standard deviations; beyond it one reading in 4000
		unseen = 0.005 // of the fall
	)
	p := plateau{start: max(0, len(readings)-max(len(readings)/part, fewest))}.through(readings)
	var rest []float64
	for _, r := range readings[p.start:] {
		rest = append(rest, p.above(r))
	}
	scatter := max(resolution/math.Sqrt(12), stat.StdDev(rest, nil))
	p.least = far * scatter
	for _, r := range readings {
		p.least = max(p.least, unseen*p.above(r))
	}
	for p.start >= 2 && !(p.off(readings[p.start-1]) && p.off(readings[p.start-2])) {
		p.start--
		p = p.through(readings)
	}
	return p
}

// findKnee returns that of readings in rising order of voltage, as they show it to
// anybody: from where the current above its plateau is four tenths of that at zero
// volts, which is the usual stretch of the straight root, to a little beyond where it
// is first at the plateau, and four readings of the fall at the least. Where the current at zero volts is at the plateau already, the
// first reading stands for it; where that one is too, the knee is the whole curve.
func findKnee(readings []run.Reading, resolution float64) knee {
	n := len(readings)
	whole := knee{readings[0].Retarding, readings[n-1].Retarding}
	if n <= 2*fewest {
		return whole
	}
	p := findPlateau(readings, resolution)
	zero := 0
	for k, r := range readings {
		if r.Retarding <= 0 {
			zero = k
		}
	}
	if !p.off(readings[zero]) || zero >= p.start {
		zero = 0
	}
	if !p.off(readings[zero]) || p.start < fewest {
		return whole
	}
	const share = 0.4
	first := zero
	for k := zero; k < p.start; k++ {
		if p.above(readings[k]) >= share*p.above(readings[zero]) {
			first = k
		}
	}
	const falling = 4 // readings that a line wants at the least
	first = max(0, min(first, p.start-falling))
	last := min(p.start+max(2, (p.start-first)/5), n-1)
	return knee{readings[first].Retarding, readings[last].Retarding}
}

// extremes returns the least and the greatest current in A of the readings on a range of
// voltages in V.
func extremes(readings []run.Reading, from, to float64) (least, greatest float64) {
	least, greatest = math.Inf(1), math.Inf(-1)
	const rounding = 1e-9
	for _, r := range readings {
		if r.Retarding >= from-rounding && r.Retarding <= to+rounding {
			least, greatest = min(least, r.Current), max(greatest, r.Current)
		}
	}
	return least, greatest
}
