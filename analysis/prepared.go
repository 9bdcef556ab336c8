package analysis

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"stopvolt/instrument/run"
	"stopvolt/physics"
)

// Prepared is a curve made ready for the methods: readings at one voltage
// merged, the voltage rising, the noise known or estimated. A Prepared can be
// used again for another curve without allocating.
type Prepared struct {
	// Setting and Wavelength (nm, standard air) are those of the curve.
	Setting    string
	Wavelength float64
	// V are the distinct retarding voltages in V, rising, or the means of
	// neighbours where there are more than a thousand; I the mean currents in A;
	// U their standard uncertainties in A, all above zero.
	V, I, U []float64
	// NoiseKnown says that U comes from the instrument; if not, U is estimated
	// from the readings' own scatter.
	NoiseKnown bool
	// Widened is the ratio by which stated uncertainties were made larger since
	// the readings scatter by more than these allow; 1 if they were not.
	Widened float64
	// Temperature is the emitter's in K, run.RoomTemperature where not known.
	Temperature float64
	// Resolution is one step of the meter's last digit in A; where it is not
	// known it is guessed from the digits of the readings, and 0 where they
	// show none.
	Resolution float64

	// readings are those in use, sorted; counts are the readings merged into
	// each point.
	readings []run.Reading
	counts   []int
	// least is the smallest current in A that can be told from zero: one and a half
	// steps of the last digit or three times the smallest noise, whichever is more.
	// Within a run it is the largest of all settings.
	least float64
	// kT is the thermal energy of the emitter in eV.
	kT float64
	// frequency is that of Wavelength in 10^15 Hz.
	frequency float64
	// asDrawn lets a voltage outside the knee be an answer.
	asDrawn bool
	// hidden says that the last digit hides the noise.
	hidden bool
	// parts are the stretches of the curve that the methods work on.
	parts parts
	// scratch is memory for the methods.
	scratch scratch
}

// scratch is memory that calls of methods on one Prepared share.
type scratch struct {
	bends                    bends
	residuals, sums, x, y, w []float64
	// repeats says that the residuals are those of repeated readings.
	repeats bool
	fit     separable
	sphere  sphereFit
	// cell is the fit of the curve by cell-fit, if cellDone.
	cell     cellSolution
	cellDone bool
}

// Prepare fills p from a curve. Readings flagged as overloaded are left out.
// It returns an error for a curve with fewer than two distinct voltages, or
// with a value that is not finite.
//
// A reading's stated uncertainty is taken as the whole of it, the rounding of
// the last digit included. If any reading lacks one, the noise of all is
// estimated from the scatter: that of repeated readings where most voltages
// have them, else the distances of the readings from a cubic through their
// four neighbours. No uncertainty is taken to be smaller than that of rounding,
// a step over the square root of twelve (JCGM 100:2008, F.2.2.1).
func (p *Prepared) Prepare(c run.Curve, f run.Facts) error {
	p.Setting, p.Wavelength = c.Setting, c.Wavelength
	p.frequency = physics.Frequency(c.Wavelength) / petahertz
	if !finite(f.Temperature) || f.Temperature < 0 || !finite(f.Resolution) || f.Resolution < 0 {
		return fmt.Errorf("temperature %v K and resolution %v A; both must be finite and not negative", f.Temperature, f.Resolution)
	}
	p.Temperature = f.Temperature
	if p.Temperature == 0 {
		p.Temperature = run.RoomTemperature
	}
	p.kT = physics.ThermalEnergy(p.Temperature)
	if err := p.take(c.Readings); err != nil {
		return fmt.Errorf("setting %q: %w", c.Setting, err)
	}
	p.Resolution = f.Resolution
	if p.Resolution == 0 {
		p.Resolution = lastDigit(p.readings)
	}
	p.merge()
	p.thin()
	if len(p.V) < 2 {
		return fmt.Errorf("setting %q: readings at %d distinct voltage; a curve needs two or more", c.Setting, len(p.V))
	}
	p.Widened = 1
	if p.NoiseKnown {
		p.widenNoise()
	} else {
		p.estimateNoise()
	}
	p.floorNoise()
	p.hidden = p.hidesNoise()
	p.least = max(sameDigit*p.Resolution, surely*slices.Min(p.U))
	p.scratch.cellDone, p.scratch.bends.width = false, 0
	p.findParts()
	return nil
}

// take copies the usable readings into p and sorts them, by voltage and then by
// value, so that the order in which they were taken cannot show.
func (p *Prepared) take(readings []run.Reading) error {
	p.readings = p.readings[:0]
	p.NoiseKnown = true
	for i, r := range readings {
		if r.Flags&run.Overload != 0 {
			continue
		}
		if !finite(r.Retarding) || !finite(r.Current) || !finite(r.Uncertainty) || r.Uncertainty < 0 {
			return fmt.Errorf("reading %d is (%v V, %v A, uncertainty %v A); it must be finite, with no negative uncertainty",
				i+1, r.Retarding, r.Current, r.Uncertainty)
		}
		p.NoiseKnown = p.NoiseKnown && r.Uncertainty > 0
		p.readings = append(p.readings, r)
	}
	if len(p.readings) == 0 {
		return errors.New("no usable reading; a curve needs two or more voltages within the meter's range")
	}
	slices.SortFunc(p.readings, func(a, b run.Reading) int {
		return cmp.Or(cmp.Compare(a.Retarding, b.Retarding), cmp.Compare(a.Current, b.Current),
			cmp.Compare(a.Uncertainty, b.Uncertainty))
	})
	return nil
}

// merge fills V, I, U and counts with the means of the readings at each
// voltage; U holds the uncertainty of the mean of independent readings.
func (p *Prepared) merge() {
	p.V, p.I, p.U, p.counts = p.V[:0], p.I[:0], p.U[:0], p.counts[:0]
	span := p.readings[len(p.readings)-1].Retarding - p.readings[0].Retarding
	for i := 0; i < len(p.readings); {
		var sum, variance float64
		first, n := i, 0
		for ; i < len(p.readings) && p.readings[i].Retarding-p.readings[first].Retarding <= sameVoltage*span; i++ {
			sum += p.readings[i].Current
			variance += p.readings[i].Uncertainty * p.readings[i].Uncertainty
			n++
		}
		p.V = append(p.V, p.readings[first].Retarding)
		p.I = append(p.I, sum/float64(n))
		p.U = append(p.U, p.uncertaintyOfMean(variance, n))
		p.counts = append(p.counts, n)
	}
}

// uncertaintyOfMean returns that of the mean of n readings, whose variances have a
// given sum. Where the last digit hides their noise, they are rounded alike.
func (p *Prepared) uncertaintyOfMean(sum float64, n int) float64 {
	rounding := p.Resolution * p.Resolution / 12
	one := sum / float64(n)
	if n == 1 || one == 0 || p.Resolution <= coarseSteps*math.Sqrt(max(one-rounding, 0)) {
		return math.Sqrt(one / float64(n))
	}
	return math.Sqrt(max(one-rounding, 0)/float64(n) + rounding)
}

// mostPoints is the number of points beyond which a curve is thinned: closer than
// a thousandth of a sweep no method looks.
const mostPoints = 1000

// thin replaces neighbouring points of a very long curve by their means.
func (p *Prepared) thin() {
	group := (len(p.V) + mostPoints - 1) / mostPoints
	if group < 2 {
		return
	}
	n := 0
	for from := 0; from < len(p.V); from += group {
		to := min(from+group, len(p.V))
		var v, current, variance float64
		count := 0
		for i := from; i < to; i++ {
			v += p.V[i]
			current += p.I[i]
			variance += p.U[i] * p.U[i]
			count += p.counts[i]
		}
		k := float64(to - from)
		p.V[n], p.I[n], p.U[n], p.counts[n] = v/k, current/k, p.uncertaintyOfMean(variance, to-from), count
		n++
	}
	p.V, p.I, p.U, p.counts = p.V[:n], p.I[:n], p.U[:n], p.counts[:n]
}

// sameVoltage is the share of a sweep by which two voltages must differ to be
// two: sums of steps differ by rounding.
const sameVoltage = 1e-9

// floorNoise keeps the uncertainties at or above that of rounding, and above
// zero for a curve without any noise.
func (p *Prepared) floorNoise() {
	floor := max(p.Resolution/math.Sqrt(12), noiseless*largest(p.I))
	if floor == 0 {
		// Every current is zero; any one scale will do.
		floor = 1
	}
	for i := range p.U {
		p.U[i] = max(p.U[i], floor)
	}
}

// noiseless is the uncertainty, relative to the largest current, below which no
// reading is trusted.
const noiseless = 1e-9

// lastDigit returns the largest power of ten in A of which all currents are
// multiples, or 0 if they have more than six digits.
func lastDigit(readings []run.Reading) float64 {
	var top float64
	for _, r := range readings {
		top = max(top, math.Abs(r.Current))
	}
	if top == 0 {
		return 0
	}
	exponent := int(math.Floor(math.Log10(top)))
	for k := exponent; k > exponent-6; k-- {
		step := math.Pow10(k)
		if multiples(readings, step) {
			return step
		}
	}
	return 0
}

// multiples says whether all currents are whole multiples of a step.
func multiples(readings []run.Reading, step float64) bool {
	for _, r := range readings {
		steps := r.Current / step
		if math.Abs(steps-math.Round(steps)) > 1e-6 {
			return false
		}
	}
	return true
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// largest returns the largest absolute value.
func largest(x []float64) float64 {
	var top float64
	for _, v := range x {
		top = max(top, math.Abs(v))
	}
	return top
}
