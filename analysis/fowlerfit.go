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
		Summary: "A least-squares fit of the Fowler function and a straight background to the knee.",
		Assumes: "Between the steepest part and the end only the normal energy is analysed, as between planes, " +
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
// with f the Fowler function to the readings from the steep part to the end,
// weighted by their uncertainties. Only V_stop is searched. The background has
// a slope where the plateau is long enough to show one; where it is not,
// its level is fixed, and what that leaves open is added to the uncertainty.
// Where the last digit hides the noise, the fit goes on with the likelihood of
// rounded readings.
func (FowlerFit) Cutoff(p *Prepared) Cutoff {
	if !p.parts.Falls {
		return noFall(p)
	}
	fit := &p.scratch.fit
	from, level := p.knee(), p.level()
	if len(p.V)-from <= fit.begin(p, from, p.background(), level.Mean) {
		return fail(TooFewReadings, "too few readings from the steep part to the end; take smaller steps around the knee")
	}
	kT := physics.ThermalEnergy(p.Temperature)
	low, high := p.cutoffRange(from)
	// A knee that is all warm tail lies beyond its cutoff.
	low -= 4 * kT
	found := search(func(v float64) float64 {
		fit.fowlerShape(v, kT)
		return fit.chiSquare()
	}, p.guess(from), 2*kT, low, high, kT/2)
	switch {
	case !found.Inside && found.X <= low:
		return fail(NotConverged, "the knee is all warm tail, which has no cutoff of its own; take smaller steps around it, or a smaller wavelength")
	case !found.Inside:
		return fail(NotConverged, "the fit finds no cutoff within the sweep; sweep to a higher retarding voltage")
	}
	v, square, chi2 := fit.polish(found.X, kT)
	if fit.amplitude <= 0 {
		return fail(NotConverged, "the fitted current rises with the retarding voltage; check the sign of the voltage")
	}
	factor := inflation(chi2, len(fit.v)-fit.parameters(), p.NoiseKnown)
	if p.coarse() {
		v, square = fit.refine(p, v, kT)
	}
	variance := factor / square
	if fit.kind == fixed {
		fit.begin(p, from, fixed, level.Mean+math.Sqrt(level.VarMean))
		other, _, _ := fit.polish(v, kT)
		variance += (other - v) * (other - v)
	}
	return p.remark(p.answer(v, math.Sqrt(variance)))
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

// knee returns the first reading of the knee.
func (p *Prepared) knee() int { return p.parts.SteepTo - 1 }

// guess returns the cutoff of the parabola that has the height and the slope of
// the steep part at reading i.
func (p *Prepared) guess(i int) float64 {
	v := p.V[i]
	return v + 2*(p.parts.Steep.At(v)-p.level().At(v))/math.Abs(p.parts.Steep.Slope)
}

// cutoffRange returns the voltages between which a fit may look for the cutoff:
// from the steep part to half of the rest of the sweep beyond its end.
func (p *Prepared) cutoffRange(from int) (low, high float64) {
	last := p.V[len(p.V)-1]
	return p.V[from], last + (last-p.V[from])/2
}

// Construct draws the fitted curve and its background.
func (FowlerFit) Construct(p *Prepared, c Cutoff) []Stroke {
	if c.Status != OK {
		return nil
	}
	var fit separable
	level := p.level()
	fit.begin(p, p.knee(), p.background(), level.Mean)
	kT := physics.ThermalEnergy(p.Temperature)
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
