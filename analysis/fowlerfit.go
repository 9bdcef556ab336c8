package analysis

import (
	"math"

	"stopvolt/physics"
)

// FowlerFit fits the Fowler function to the knee.
type FowlerFit struct{}

// Name returns "fowler-fit".
func (FowlerFit) Name() string { return "fowler-fit" }

// Page describes the method.
func (FowlerFit) Page() Page {
	return Page{
		Summary: "A least-squares fit of the Fowler function and a straight background to the knee, from a quarter of the photocurrent at zero volts to the plateau.",
		Assumes: "Over that stretch only the normal energy is analysed, as between planes, " +
			"and near the cutoff in any cell of spheres; one photon energy; a known emitter temperature; " +
			"a reverse current that is a straight line there.",
		Errs: "Too low or too high by some kT/e where the reverse current is still bending below the knee. " +
			"A temperature that is too high reads low. More light changes nothing.",
		Source: "R. H. Fowler, Phys. Rev. 38, 45 (1931); L. A. DuBridge, Phys. Rev. 43, 727 (1933)",
	}
}

// Cutoff fits
//
//	I = A f((V_stop - V)/(kT/e)) + b + c V
//
// with f the Fowler function to the readings of the knee, weighted
// by their uncertainties. Only V_stop is searched. The background has
// a slope where the plateau is long enough to show one; where it is not,
// its level is fixed, and what that leaves open is added to the uncertainty.
// Where the last digit hides the noise, the fit goes on with the likelihood of
// rounded readings. Where the residuals are larger than chance allows, so that
// the function does not hold over the knee, the fit is repeated over the lower
// part of it, and the uncertainty has the difference in it.
func (FowlerFit) Cutoff(p *Prepared) Cutoff {
	if !p.parts.Falls {
		return noFall(p)
	}
	from, to := p.bent(fowlerFrom)
	v, variance, failure := p.fowlerFit(from, to)
	if failure.Status != OK {
		return failure
	}
	return p.answer(v, math.Sqrt(variance), p.parts.Lit+1-from, beneath)
}

// fowlerFit fits the readings from <= i < to and returns the cutoff in V and its
// variance, or why there is none.
func (p *Prepared) fowlerFit(from, to int) (v, variance float64, failure Cutoff) {
	fit, level, kT := &p.scratch.fit, p.level(), p.kT
	if to-from <= fit.begin(p, from, to, p.background(), level.Mean) {
		return 0, 0, fail(TooFewReadings, "too few readings in the knee; take smaller steps around it")
	}
	low, high := p.cutoffRange(from)
	// A knee that is all warm tail lies beyond its cutoff.
	low -= 4 * kT
	found := search(func(v float64) float64 {
		fit.fowlerShape(v, kT)
		return fit.chiSquare()
	}, p.guess(from), 2*kT, low, high, kT/2)
	switch {
	case !found.Inside && found.X <= low:
		return 0, 0, fail(NotConverged, "the knee is all warm tail, which has no cutoff of its own; take smaller steps around it, or a smaller wavelength")
	case !found.Inside:
		return 0, 0, fail(NotConverged, "the fit finds no cutoff within the sweep; sweep to a higher retarding voltage")
	}
	v, square, chi2 := fit.polish(found.X, kT)
	if fit.amplitude <= 0 {
		return 0, 0, fail(NotConverged, "the fitted current rises with the retarding voltage; check the sign of the voltage")
	}
	degrees := len(fit.v) - fit.parameters()
	factor := inflation(chi2, degrees, p.NoiseKnown)
	if p.coarse() {
		v, square = fit.refine(p, v, kT)
	}
	variance = factor / square
	if fit.kind == fixed {
		fit.begin(p, from, to, fixed, level.Mean+math.Sqrt(level.VarMean))
		other, _, _ := fit.polish(v, kT)
		variance += (other - v) * (other - v)
	}
	if degrees > 0 && chi2 > float64(degrees)*likelyRatio(degrees) {
		if lower, _ := p.bent(fowlerFrom * lowerKnee); to-lower > fit.begin(p, lower, to, p.background(), level.Mean) {
			other, _, _ := fit.polish(v, kT)
			variance += (other - v) * (other - v)
		}
	}
	return v, variance, Cutoff{}
}

// polish returns the cutoff after Gauss-Newton steps from v, the inverse of its
// variance and the sum of the squared residuals. The steps work on residuals,
// where the search works on differences of sums.
func (s *separable) polish(v, kT float64) (cutoff, square, chi2 float64) {
	const (
		most  = 10
		still = 1e-6
	)
	for range most {
		var product float64
		s.fowler(v, kT)
		s.chiSquare()
		square, product, chi2 = s.normal()
		step := min(max(product/square, -kT), kT)
		v += step
		if math.Abs(step) < still/math.Sqrt(square) {
			break
		}
	}
	return v, square, chi2
}

// refine repeats a fit with the likelihood of rounded readings.
func (s *separable) refine(p *Prepared, v, kT float64) (cutoff, square float64) {
	for range refinements {
		s.unround(p)
		next, sq, _ := s.polish(v, kT)
		moved := math.Abs(next - v)
		v, square = next, sq
		if moved < settled/math.Sqrt(square) {
			break
		}
	}
	return v, square
}

// fowlerShape sets the shape as fowler does, without its derivative.
func (s *separable) fowlerShape(v, kT float64) {
	inverse := 1 / kT
	shape := s.shape[:len(s.v)]
	for i, x := range s.v {
		mu := (v - x) * inverse
		if mu <= 0 {
			shape[i] = fowlerBelow(-mu)
			continue
		}
		shape[i] = math.Pi*math.Pi/6 + mu*mu/2 - fowlerBelow(mu)
	}
}

// fowler sets the shape to the Fowler function that ends at v in V.
func (s *separable) fowler(v, kT float64) {
	inverse := 1 / kT
	shape, slopes := s.shape[:len(s.v)], s.slope[:len(s.v)]
	for i, x := range s.v {
		f, slope := fowler((v - x) * inverse)
		shape[i], slopes[i] = f, slope*inverse
	}
}

// fowlerFrom is the share of the photocurrent at zero volts from which on the
// knee is fitted, and lowerKnee that of it which its lower part has.
const fowlerFrom, lowerKnee = 0.25, 0.25

// bent returns the readings from <= i < to of the knee that a fit takes: down from
// a share of the photocurrent at zero volts, with the plateau.
func (p *Prepared) bent(share float64) (from, to int) {
	from, _ = p.window(shares{high: share}, p.level(), 3)
	return from, p.parts.PlateauTo
}

// guess returns the zero of the straight line through the roots of the
// photocurrent at reading i and at the last one that is seen.
func (p *Prepared) guess(i int) float64 {
	level, last := p.level(), p.parts.Lit
	a, b := math.Sqrt(max(p.above(i, level), 0)/p.parts.Zero), math.Sqrt(p.above(last, level)/p.parts.Zero)
	if i >= last || !(a > b) {
		return p.V[last]
	}
	return p.V[i] + (p.V[last]-p.V[i])*a/(a-b)
}

// cutoffRange returns the voltages between which a fit may look for the cutoff:
// from its first reading to as far beyond the beginning of the plateau.
func (p *Prepared) cutoffRange(from int) (low, high float64) {
	end := p.V[min(p.parts.PlateauFrom, len(p.V)-1)]
	return p.V[from], end + (end-p.V[from])/2
}

// Construct draws the fitted curve and its background.
func (FowlerFit) Construct(p *Prepared, c Cutoff) []Stroke {
	if c.Status != OK {
		return nil
	}
	var fit separable
	level := p.level()
	from, to := p.bent(fowlerFrom)
	fit.begin(p, from, to, p.background(), level.Mean)
	kT := p.kT
	fit.fowler(c.Stopping, kT)
	fit.chiSquare()
	fit.base += level.Mean
	return fit.strokes(c.Stopping, func(v float64) float64 { return physics.Fowler((c.Stopping - v) / kT) })
}

// strokes draws the fitted curve of a shape, its background and the cutoff.
func (s *separable) strokes(cutoff float64, shape func(v float64) float64) []Stroke {
	const pieces = 100
	curve := Stroke{Role: "fitted curve"}
	first, last := s.v[0], s.v[len(s.v)-1]
	background := func(v float64) float64 { return s.base + s.tilt*(v-s.centre) }
	for k := range pieces + 1 {
		v := first + (last-first)*float64(k)/pieces
		curve.V = append(curve.V, v)
		curve.I = append(curve.I, s.amplitude*shape(v)+background(v))
	}
	return []Stroke{
		curve,
		{Role: "background", V: []float64{first, last}, I: []float64{background(first), background(last)}},
		{Role: "cutoff", V: []float64{cutoff}, I: []float64{s.amplitude*shape(cutoff) + background(cutoff)}},
	}
}
