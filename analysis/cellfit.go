package analysis

import "math"

// CellFit fits the currents between concentric spheres to the whole curve.
type CellFit struct{}

// Name returns "cell-fit".
func (CellFit) Name() string { return "cell-fit" }

// Page describes the method.
func (CellFit) Page() Page {
	return Page{
		Summary: "A least-squares fit of the currents between concentric spheres, both ways, to the whole curve.",
		Assumes: "Emitter and collector are near enough to concentric spheres, of which a pair of planes is one; " +
			"one photon energy; a known emitter temperature; uniform surfaces; a straight leakage.",
		Errs: "Either way where the model does not hold: patches and a band of wavelengths round the knee and read high. " +
			"A sweep that does not reach the accelerating side leaves the geometry open, which the " +
			"uncertainty shows. More light changes nothing.",
		Source: "R. H. Fowler, Phys. Rev. 38, 45 (1931); H. M. Mott-Smith and I. Langmuir, Phys. Rev. 28, 727 (1926)",
	}
}

// Cutoff searches the cutoff, the contact potential and the ratio of the radii;
// the amplitudes of both currents and the leakage are linear. A small emitter
// in a large collector and a large one around a small one can give nearly the
// same curve; both are tried, and the better is kept. Where the last digit hides
// the noise, the fit goes on with the likelihood of rounded readings.
func (CellFit) Cutoff(p *Prepared) Cutoff {
	c := p.cell()
	if c.failure.Status != OK {
		return c.failure
	}
	if c.unfit {
		return doesNotFit()
	}
	return p.answer(c.best.x[0], math.Sqrt(c.variance), p.kneeReadings(), beneath)
}

// kneeReadings returns the number of readings that show the photocurrent end.
func (p *Prepared) kneeReadings() int {
	from, _ := p.bent(fowlerFrom)
	return p.parts.Lit + 1 - from
}

// misfit is the chi-square over its degrees of freedom beyond which a model of the
// whole curve does not hold: the readings lie twice as far off it as their noise
// carries them. What a wrong model does to its cutoff no ratio tells (common
// practice, no source).
const misfit = 4

// doesNotFit is the outcome of such a fit.
func doesNotFit() Cutoff {
	return fail(DoesNotFit, "the readings lie more than twice as far off the best curve as their noise carries them, so that this cell is none between uniform spheres")
}

// A cellSolution is what the fit of one curve came to.
type cellSolution struct {
	best solution
	// variance is that of the cutoff in V^2.
	variance float64
	// around is the smallest sum of squares that a search with q > 1 was on the
	// way to.
	around float64
	// failure says why there is no solution.
	failure Cutoff
	// unfit says that the solution does not fit.
	unfit bool
}

// cell fits the curve, or returns what an earlier call found: the joint fit
// starts from the fits of the single curves.
func (p *Prepared) cell() *cellSolution {
	c := &p.scratch.cell
	if p.scratch.cellDone {
		return c
	}
	p.scratch.cellDone = true
	fit, best, failure := fitCell(p)
	*c = cellSolution{best: best, failure: failure, around: p.scratch.sphere.around()}
	if failure.Status == OK {
		degrees := len(p.V) - fit.fitted - searched
		if degrees > 0 && best.chi2 > misfit*float64(degrees) {
			c.unfit = true
		}
		factor := inflation(best.chi2, degrees, p.NoiseKnown)
		c.variance = fit.variance(best, factor)
		if p.coarse() {
			fine := fit.refine(p, best)
			before, after := invert(&best.matrix, searched), invert(&fine.matrix, searched)
			c.variance += factor * (after[0][0] - before[0][0])
			c.best = fine
		}
	}
	return c
}

// refine repeats a fit with the likelihood of rounded readings.
func (s *sphereFit) refine(p *Prepared, best solution) solution {
	low, high := p.cutoffRange(0)
	c := cellProblem{s, low, high, leastQ, 1}
	if best.x[2] > 1 {
		c.lowQ, c.highQ = 1, 1/leastQ
	}
	for range refinements {
		s.unround(p, parametersOf(best.x))
		next := damped(c, best.x, searched, len(s.v), math.Inf(1))
		moved := math.Abs(next.x[0] - best.x[0])
		best = next
		if inverse := invert(&best.matrix, searched); moved < settled*math.Sqrt(inverse[0][0]) {
			break
		}
	}
	return best
}

// variance returns the variance of the cutoff about a solution: the mean over
// all minima that the search met, each with its likelihood exp(-chi2/2). So it
// includes that the readings may not tell two of them apart.
func (s *sphereFit) variance(best solution, factor float64) float64 {
	var sum, weight float64
	for _, m := range s.minima {
		w := math.Exp((best.chi2 - m.chi2) / 2 / factor)
		gap := m.x[0] - best.x[0]
		inverse := invert(&m.matrix, searched)
		sum += w * (factor*inverse[0][0] + gap*gap)
		weight += w
	}
	return sum / weight
}

// fitCell fits a curve. The fit is left at its solution, in p's scratch.
func fitCell(p *Prepared) (*sphereFit, solution, Cutoff) {
	if !p.parts.Falls {
		return nil, solution{}, noFall(p)
	}
	degrees := len(p.V) - linearParts - searched
	if degrees < 1 {
		return nil, solution{}, fail(TooFewReadings, "eight or more distinct voltages are needed to fit the geometry too")
	}
	fit := &p.scratch.sphere
	fit.begin(p, p.kT)
	guess := p.firstGuess()
	best := fit.search(p, guess, degrees, math.Inf(1))
	for _, q := range [...]float64{0.015, 0.1, 0.6} {
		// A knee narrower than the warm tail hides q, and a fit can settle on a
		// wrong one.
		a := parametersOf(best.x)
		hidden := min(a.q, 1)*(a.cutoff-a.contact) < 6*fit.kT
		if !hidden && best.fits(degrees) {
			break
		}
		again := fit.search(p, guess.with(q), degrees, best.chi2)
		if again.chi2 < best.chi2 {
			best = again
		}
	}
	low, high := p.cutoffRange(0)
	// Leave the amplitudes at the solution.
	fit.fitLinear(parametersOf(best.x))
	switch {
	case !best.converged:
		return nil, best, fail(NotConverged, "the fit does not settle; take more readings, also on the accelerating side")
	case best.x[0] <= low || best.x[0] >= high || fit.linear[forwardPart] <= 0:
		return nil, best, fail(NotConverged, "the fit finds no cutoff within the sweep; sweep to a higher retarding voltage")
	}
	return fit, best, Cutoff{}
}

// search fits from a guess with q < 1, and from where that ends on the other
// side of q = 1. Where it ends in a solution that an earlier search found, the
// other side is known too.
func (s *sphereFit) search(p *Prepared, guess sphereParameters, degrees int, rival float64) solution {
	low, high := p.cutoffRange(0)
	one := damped(cellProblem{s, low, high, leastQ, 1}, guess.vector(), searched, degrees, rival)
	other, known := s.opposite(one, degrees)
	if !known {
		other = damped(cellProblem{s, low, high, 1, 1 / leastQ}, parametersOf(one.x).inverse().vector(), searched, degrees, min(rival, one.chi2))
	}
	s.minima = append(s.minima, one, other)
	if one.chi2 <= other.chi2 {
		return one
	}
	return other
}

// around returns the smallest sum of squares that a search with q > 1 was on the
// way to, 0 without a search.
func (s *sphereFit) around() float64 {
	least := math.Inf(1)
	for i := 1; i < len(s.minima); i += 2 {
		least = min(least, s.minima[i].onTheWay)
	}
	if len(s.minima) == 0 {
		return 0
	}
	return max(least, 0)
}

// opposite returns what an earlier search found on the other side of q = 1 from
// the same solution on this one.
func (s *sphereFit) opposite(one solution, degrees int) (other solution, known bool) {
	for i := 0; i < len(s.minima); i += 2 {
		if s.minima[i].same(one, searched, degrees) {
			return s.minima[i+1], true
		}
	}
	return solution{}, false
}

// fits says whether the residuals are as small as the noise.
func (s solution) fits(degrees int) bool {
	return s.converged && s.chi2 < float64(degrees)*likelyRatio(degrees)
}

// inverse returns the parameters on the other side of q = 1 that have nearly the
// same curve, and for a cold emitter the very same: cutoff, beginning and
// steepest point of the fall agree.
func (a sphereParameters) inverse() sphereParameters {
	if a.q > 1 {
		return sphereParameters{cutoff: a.cutoff, contact: a.cutoff - a.q*(a.cutoff-a.contact), q: 1 / a.q}
	}
	return sphereParameters{cutoff: a.cutoff, contact: a.steepest(), q: 1 / a.q}
}

// with returns another q < 1, with the beginning and the steepest point of the
// fall left where they are.
func (a sphereParameters) with(q float64) sphereParameters {
	return sphereParameters{cutoff: a.contact + (a.steepest()-a.contact)/(1-q), contact: a.contact, q: q}
}

// leastQ is the smallest ratio that a fit goes to, and one over it the largest.
const leastQ = 0.003

// firstGuess reads the parameters off the slope of a curve, which for a cold
// emitter is a triangle: it begins where the current begins to fall, has its
// peak at the steepest reading and ends at the cutoff.
func (p *Prepared) firstGuess() sphereParameters {
	peak, slope := p.steepest()
	from, _ := p.bent(fowlerFrom)
	cutoff := p.guess(from)
	right := max(cutoff-peak, p.kT)
	whole := max(2*(largest(p.I)-p.level().Mean)/slope, 1.02*right)
	return sphereParameters{cutoff: cutoff, contact: cutoff - whole, q: max(right/whole, 10*leastQ)}
}

// steepest returns the voltage in V at which the current falls most steeply before
// the end of the knee, and how steeply in A/V, between readings that are some
// kT/e apart.
func (p *Prepared) steepest() (v, slope float64) {
	const apart = 4
	for i, to := 0, 0; i < p.parts.Lit; i++ {
		for to = max(to, i+1); to < p.parts.Lit && p.V[to]-p.V[i] < apart*p.kT; to++ {
		}
		if s := (p.I[i] - p.I[to]) / (p.V[to] - p.V[i]); s > slope {
			v, slope = (p.V[i]+p.V[to])/2, s
		}
	}
	return v, slope
}

// vector returns the parameters of a search: cutoff, the voltage of the
// steepest slope, and q. The data show that voltage better than the contact
// potential, which for q < 1 is the cutoff less the distance over q.
func (a sphereParameters) vector() [most]float64 {
	return [most]float64{a.cutoff, a.steepest(), a.q}
}

// steepest returns the voltage in V at which a cold emitter's current falls most
// steeply.
func (a sphereParameters) steepest() float64 {
	return a.cutoff - min(a.q, 1)*(a.cutoff-a.contact)
}

// parametersOf is the inverse of vector.
func parametersOf(x [most]float64) sphereParameters {
	return sphereParameters{cutoff: x[0], contact: x[0] - (x[0]-x[1])/min(x[2], 1), q: x[2]}
}

// A cellProblem is a sphereFit on one side of q = 1.
type cellProblem struct {
	fit         *sphereFit
	low, high   float64
	lowQ, highQ float64
}

// normal has a problem's meaning.
func (c cellProblem) normal(x [most]float64, enough float64) (chi2 float64, matrix [most][most]float64, downhill [most]float64) {
	n := c.fit.evaluate(parametersOf(x), enough)
	if !(n.chi2 < enough) {
		return n.chi2, matrix, downhill
	}
	change := [searched][most]float64{{1}, {0, 1}, {0, 0, 1}}
	if q := x[2]; q < 1 {
		change[1] = [most]float64{1 - 1/q, 1 / q, (x[0] - x[1]) / (q * q)}
	}
	matrix, downhill = n.by(change)
	return n.chi2, matrix, downhill
}

// by returns the normal equations for other parameters, of which change are the
// derivatives of the sphereParameters.
func (n normal) by(change [searched][most]float64) (matrix [most][most]float64, downhill [most]float64) {
	for i := range searched {
		var row [most]float64
		for j := range searched {
			for m := range most {
				row[m] += n.matrix[i][j] * change[j][m]
			}
		}
		for k := range most {
			downhill[k] += n.downhill[i] * change[i][k]
			for m := range most {
				matrix[k][m] += change[i][k] * row[m]
			}
		}
	}
	return matrix, downhill
}

// limits has a problem's meaning.
func (c cellProblem) limits(x [most]float64) (low, high, longest [most]float64) {
	return [most]float64{c.low, math.Inf(-1), c.lowQ},
		[most]float64{c.high, math.Inf(1), c.highQ},
		[most]float64{0.2, 0.5, 0.5 * x[2]}
}

// Construct draws the fitted curve, and what flows backwards and leaks.
func (CellFit) Construct(p *Prepared, c Cutoff) []Stroke {
	if c.Status != OK {
		return nil
	}
	found := p.cell()
	if found.failure.Status != OK {
		return nil
	}
	var fit sphereFit
	fit.begin(p, p.kT)
	a := parametersOf(found.best.x)
	fit.fitLinear(a)
	return fit.strokes(a)
}

// curve returns the fit with parameters a as a function of the voltage: the
// current in A, and what of it flows backwards and leaks.
func (s *sphereFit) curve(a sphereParameters) func(v float64) (all, rest float64) {
	pair := newElectrodes(a, s.kT)
	return func(v float64) (all, rest float64) {
		var p spherePoint
		pair.fill(&p, v)
		rest = s.linear[constantPart] + s.linear[slopePart]*(v-s.centre) + s.linear[reversePart]*p.reverse
		return s.linear[forwardPart]*p.forward + rest, rest
	}
}

// strokes draws the fit with parameters a.
func (s *sphereFit) strokes(a sphereParameters) []Stroke {
	const pieces = 120
	curve, behind := Stroke{Role: "fitted curve"}, Stroke{Role: "reverse current and leakage"}
	first, last := s.v[0], s.v[len(s.v)-1]
	at := s.curve(a)
	for k := range pieces + 1 {
		v := first + (last-first)*float64(k)/pieces
		all, rest := at(v)
		curve.V, curve.I = append(curve.V, v), append(curve.I, all)
		behind.V, behind.I = append(behind.V, v), append(behind.I, rest)
	}
	height, _ := at(a.cutoff)
	return []Stroke{curve, behind, {Role: "cutoff", V: []float64{a.cutoff}, I: []float64{height}}}
}
