package analysis

import (
	"errors"
	"fmt"
	"math"
)

// JointFit fits the currents between concentric spheres to all settings at once,
// with h/e, one work function of the collector, one contact potential and one
// geometry.
type JointFit struct{}

// Name returns "joint-fit".
func (JointFit) Name() string { return "joint-fit" }

// Page describes the method.
func (JointFit) Page() Page {
	return Page{
		Summary: "One least-squares fit of the currents between concentric spheres to all settings, with h/e as a parameter.",
		Assumes: "All that the fit of one curve assumes, and that collector, contact potential and geometry are the same for all settings.",
		Errs: "Less than the fits of single curves where its model holds, for a bright line tells a dim one the geometry. " +
			"A wrong nominal wavelength pulls on all settings and does not show as an outlier. More light changes nothing.",
		Source: "R. H. Fowler, Phys. Rev. 38, 45 (1931); H. M. Mott-Smith and I. Langmuir, Phys. Rev. 28, 727 (1926); " +
			"A. Einstein, Ann. Phys. 322, 132 (1905)",
	}
}

// Cutoff of a single curve is that of the fit to a single curve.
func (JointFit) Cutoff(p *Prepared) Cutoff { return CellFit{}.Cutoff(p) }

// Construct draws the fit of the curve alone, from which the joint fit starts,
// and marks the joint cutoff.
func (JointFit) Construct(p *Prepared, c Cutoff) []Stroke {
	if c.Status != OK {
		return nil
	}
	mark := Stroke{Role: "joint cutoff", V: []float64{c.Stopping}, I: []float64{p.level().At(c.Stopping)}}
	return append(CellFit{}.Construct(p, c), mark)
}

// The parameters of a joint fit.
const (
	// meanCutoff is the stopping voltage in V at the mean frequency.
	meanCutoff = iota
	// slopePerPetahertz is h/e in V per 10^15 Hz.
	slopePerPetahertz
	// commonContact and commonQ are as in sphereParameters.
	commonContact
	commonQ
	jointParameters
)

// petahertz is the frequency in Hz in which a joint fit counts.
const petahertz = 1e15

// A jointProblem is the fit of all settings on one side of q = 1.
type jointProblem struct {
	settings    []*Prepared
	mean        float64
	lowQ, highQ float64
}

// at returns the parameters of a setting.
func (j jointProblem) at(x [most]float64, p *Prepared) sphereParameters {
	return sphereParameters{
		cutoff:  x[meanCutoff] + x[slopePerPetahertz]*j.away(p),
		contact: x[commonContact],
		q:       x[commonQ],
	}
}

// normal has a problem's meaning. The amplitudes of each setting are eliminated
// where they stand, so that what is left has four unknowns for any number of
// settings.
func (j jointProblem) normal(x [most]float64, enough float64) (chi2 float64, matrix [most][most]float64, downhill [most]float64) {
	for _, p := range j.settings {
		if !p.usable() {
			continue
		}
		n := p.scratch.sphere.evaluate(j.at(x, p), enough-chi2)
		if chi2 += n.chi2; !(chi2 < enough) {
			return chi2, matrix, downhill
		}
		m, d := n.by([searched][most]float64{{1, j.away(p)}, {0, 0, 1}, {0, 0, 0, 1}})
		for k := range most {
			downhill[k] += d[k]
			for i := range most {
				matrix[k][i] += m[k][i]
			}
		}
	}
	return chi2, matrix, downhill
}

// limits has a problem's meaning.
func (j jointProblem) limits(x [most]float64) (low, high, longest [most]float64) {
	inf := math.Inf(1)
	return [most]float64{-inf, -inf, -inf, j.lowQ}, [most]float64{inf, inf, inf, j.highQ},
		[most]float64{0.2, 0.5, 0.3, 0.5 * x[commonQ]}
}

// usable says whether p can take part in a joint fit.
func (p *Prepared) usable() bool {
	return p != nil && p.parts.Falls && p.Wavelength > 0 && len(p.V) > linearParts+searched
}

// Together fits the settings, fills the cutoffs with points of the line, and
// returns that line. Its degrees of freedom are those of all readings, and it
// has no residuals by setting.
func (m JointFit) Together(settings []*Prepared, cutoffs []Cutoff) (Line, error) {
	n, mean := 0, 0.0
	for i, p := range settings {
		cutoffs[i] = fail(TooFewReadings, "the curve cannot take part: it needs eight voltages, a falling current and a wavelength")
		if p.usable() {
			n++
			mean += p.frequency
		}
	}
	if n < fewestPoints {
		return Line{}, fmt.Errorf("%d usable settings; a joint fit needs %d or more", n, fewestPoints)
	}
	j := jointProblem{settings: settings, mean: mean / float64(n)}
	line, err := j.lineOf(cutoffs)
	if err != nil {
		status := NotConverged
		if errors.Is(err, errMisfit) {
			status = DoesNotFit
		}
		for i, p := range settings {
			if p.usable() {
				cutoffs[i] = fail(status, err.Error())
			}
		}
	}
	return line, err
}

// errMisfit says that the readings do not fit.
var errMisfit = errors.New(doesNotFit().Reason)

// lineOf fits the settings and fills their cutoffs.
func (j jointProblem) lineOf(cutoffs []Cutoff) (Line, error) {
	best, err := j.fit()
	if err != nil {
		return Line{}, err
	}
	if degrees, _ := j.degrees(); best.chi2 > misfit*float64(degrees) {
		return Line{}, errMisfit
	}
	factor := j.factor(best)
	for _, p := range j.settings {
		if p.usable() && p.coarse() {
			best = j.refine(best)
			break
		}
	}
	return j.line(best, factor, cutoffs).sound()
}

// fit searches both sides of q = 1, but not the side of a small collector where
// the settings exclude it: together they fit no better than each on its own.
func (j jointProblem) fit() (solution, error) {
	start, err := j.start()
	if err != nil {
		return solution{}, err
	}
	degrees, _ := j.degrees()
	j.lowQ, j.highQ = leastQ, 1
	best := damped(j, j.geometry(start, false), jointParameters, degrees, math.Inf(1))
	if !j.around().behind(best.chi2, degrees) {
		j.lowQ, j.highQ = 1, 1/leastQ
		other := damped(j, j.geometry(start, true), jointParameters, degrees, best.chi2)
		if other.chi2 < best.chi2 {
			best = other
		}
	}
	if !best.converged {
		return best, errors.New("the joint fit does not settle; take more readings, also on the accelerating side")
	}
	// Leave the amplitudes at the solution.
	j.normal(best.x, math.Inf(1))
	return best, nil
}

// around returns where the settings' own fits with q > 1 were on the way to.
func (j jointProblem) around() (s solution) {
	for _, p := range j.settings {
		if p.usable() {
			s.onTheWay += p.cell().around
		}
	}
	return s
}

// start takes a line through the cutoffs of the settings' own fits, and makes
// the settings ready.
func (j jointProblem) start() ([most]float64, error) {
	var sw, sx, sy, sxx, sxy float64
	for _, p := range j.settings {
		if !p.usable() {
			continue
		}
		c := p.cell()
		p.scratch.sphere.begin(p, p.kT)
		if c.failure.Status != OK {
			continue
		}
		w, x, y := 1/c.variance, j.away(p), c.best.x[0]
		sw += w
		sx += w * x
		sy += w * y
		sxx += w * x * x
		sxy += w * x * y
	}
	var x [most]float64
	x[slopePerPetahertz] = (sw*sxy - sx*sy) / (sw*sxx - sx*sx)
	x[meanCutoff] = (sy - x[slopePerPetahertz]*sx) / sw
	if !finite(x[meanCutoff]) {
		return x, errors.New("fewer than two settings can be fitted on their own, so that a joint fit has no start")
	}
	return x, nil
}

// geometry returns a start with the contact potential and q of that setting's own
// fit which suits all settings best, on the side of q = 1 that is asked for.
func (j jointProblem) geometry(x [most]float64, large bool) [most]float64 {
	lowest, best := math.Inf(1), x
	for _, p := range j.settings {
		if !p.usable() || p.cell().failure.Status != OK {
			continue
		}
		a := parametersOf(p.cell().best.x)
		if (a.q > 1) != large {
			a = a.inverse()
		}
		x[commonContact], x[commonQ] = a.contact, a.q
		if chi2, _, _ := j.normal(x, lowest); chi2 < lowest {
			lowest, best = chi2, x
		}
	}
	return best
}

// away returns the distance of a setting's frequency from the mean in PHz.
func (j jointProblem) away(p *Prepared) float64 {
	return p.frequency - j.mean
}

// degrees returns the readings less the parameters that were told, and whether
// the noise of all settings is known.
func (j jointProblem) degrees() (degrees int, known bool) {
	degrees, known = -jointParameters, true
	for _, p := range j.settings {
		if p.usable() {
			degrees += len(p.V) - p.scratch.sphere.fitted
			known = known && p.NoiseKnown
		}
	}
	return degrees, known
}

// factor is what the variances of a fit are to be multiplied by.
func (j jointProblem) factor(s solution) float64 {
	degrees, known := j.degrees()
	return inflation(s.chi2, degrees, known)
}

// refine repeats a fit with the likelihood of rounded readings.
func (j jointProblem) refine(best solution) solution {
	j.lowQ, j.highQ = leastQ, 1
	if best.x[commonQ] > 1 {
		j.lowQ, j.highQ = 1, 1/leastQ
	}
	degrees, _ := j.degrees()
	for range refinements {
		for _, p := range j.settings {
			if p.usable() && p.coarse() {
				p.scratch.sphere.unround(p, j.at(best.x, p))
			}
		}
		next := damped(j, best.x, jointParameters, degrees, math.Inf(1))
		moved := math.Abs(next.x[slopePerPetahertz] - best.x[slopePerPetahertz])
		best = next
		inverse := invert(&best.matrix, jointParameters)
		if moved < settled*math.Sqrt(inverse[slopePerPetahertz][slopePerPetahertz]) {
			break
		}
	}
	return best
}

// line returns the line of a solution and fills the cutoffs.
func (j jointProblem) line(s solution, factor float64, cutoffs []Cutoff) Line {
	degrees, _ := j.degrees()
	inverse := invert(&s.matrix, jointParameters)
	variance := func(away float64) float64 {
		return factor * (inverse[0][0] + 2*away*inverse[0][1] + away*away*inverse[1][1])
	}
	for i, p := range j.settings {
		if p.usable() {
			cutoffs[i] = p.answer(j.at(s.x, p).cutoff, math.Sqrt(variance(j.away(p))), p.kneeReadings(), beneath)
		}
	}
	return Line{
		Slope:            s.x[slopePerPetahertz] / petahertz,
		Intercept:        s.x[meanCutoff] - s.x[slopePerPetahertz]*j.mean,
		USlope:           math.Sqrt(factor*inverse[1][1]) / petahertz,
		UIntercept:       math.Sqrt(variance(-j.mean)),
		Covariance:       factor * (inverse[0][1] - j.mean*inverse[1][1]) / petahertz,
		DegreesOfFreedom: degrees,
		ChiSquare:        s.chi2,
	}
}
