package analysis

import "math"

// SecondDerivative takes the voltage at which the curvature has half its height.
type SecondDerivative struct{}

// Name returns "second-derivative".
func (SecondDerivative) Name() string { return "second-derivative" }

// Page describes the method.
func (SecondDerivative) Page() Page {
	return Page{
		Summary: "The voltage at which the curvature, seen from the reverse plateau, has risen to half its height.",
		Assumes: "A pair of planes, or a cell near its cutoff: there the second derivative of the current is the Fermi function, " +
			"half its height at the cutoff.",
		Errs: "Either way with noise, which differences of differences blow up: it needs many readings or very small noise. " +
			"For a small emitter the curvature has a peak instead of a step, and the answer is a little too high. More light changes nothing.",
		Source: "R. H. Fowler, Phys. Rev. 38, 45 (1931): the second derivative of his function is 1/(1 + exp(-x))",
	}
}

// blur is the share of the width of a window within which a change of the
// curvature cannot be placed (common practice, no source).
const blur = 0.1

// A bend is a curvature over a window of readings.
type bend struct {
	// Centre is in V, Curvature the second derivative in A/V^2, and Variance
	// its variance.
	Centre, Curvature, Variance float64
}

// bendCertainty is the relative uncertainty of the largest curvature that is
// good enough not to look over a wider window (common practice, no source).
const bendCertainty = 0.1 * (1 + tie)

// Cutoff fits a parabola to windows as wide as the noise asks for, takes the mean
// curvature of those on the step as its height, and interpolates where the
// curvature is half of that.
func (SecondDerivative) Cutoff(p *Prepared) Cutoff {
	if !p.parts.Falls {
		return noFall(p)
	}
	width, at := p.bendWidth()
	if width == 0 {
		return fail(TooFewReadings, "the noise hides the curvature of the knee; take more readings there, or repeat them")
	}
	// The height is at first that of the bend at its largest; once the step is
	// found, all windows that lie on it tell its height.
	step := stretch{at, at + 1}
	i, v, ok := p.halfHeight(at, width, p.height(step, width))
	if !ok {
		return fail(NoCutoff, "the curvature does not fall to half its height before the sweep ends; sweep to a higher retarding voltage")
	}
	if longer := p.step(width, v); longer.to-longer.from > 1 {
		if k, better, ok := p.halfHeight(at, width, p.height(longer, width)); ok {
			step, i, v = longer, k, better
		}
	}
	u := math.Sqrt(p.bendVariance(step, i, width, v))
	return p.answer(v, math.Hypot(u, blur*(p.V[i+width-1]-p.V[i])), 1, beyond)
}

// A stretch is the windows from <= i < to.
type stretch struct{ from, to int }

// bentFrom is the share of the photocurrent at zero volts from which on the knee
// is looked for, and narrowest the width in kT/e of a window, within which a
// curvature changes little (common practice, no source).
const (
	bentFrom  = 0.5
	narrowest = 2
)

// bendFrom returns the first reading of the knee.
func (p *Prepared) bendFrom() int {
	from, _ := p.window(shares{high: bentFrom}, p.level(), 0)
	return from
}

// bendWidth returns the narrowest window over which the largest curvature can
// be told, and where it is; a width of 0 if there is none.
func (p *Prepared) bendWidth() (width, at int) {
	from, end := p.bendFrom(), p.parts.PlateauTo
	for width = p.reach(from, narrowest*p.kT, 5) - from; 2*width <= end-p.parts.Begin; width = wider(width) {
		var best bend
		for i := from; i+width <= end; i++ {
			if b := p.bend(i, width); b.Curvature > best.Curvature*(1+tie) {
				best, at = b, i
			}
		}
		if best.Curvature > 0 && math.Sqrt(best.Variance) < bendCertainty*best.Curvature {
			return width, at
		}
	}
	return 0, 0
}

// wider returns the next width of a window to try, a quarter more or two.
func wider(width int) int { return width + max(2, width/8*2) }

// bendSums are what the parabola through a window needs of its voltages.
type bendSums struct {
	// level is the trend of the window; skew and square take from (V -
	// centre)^2 what a straight line holds of it; pp is the weighted square of
	// what is left.
	level        trend
	square, skew float64
	pp           float64
}

// part returns what a straight line does not hold of (v - centre)^2.
func (s bendSums) part(v float64) float64 {
	d := v - s.level.Centre
	return d*d - s.square - s.skew*d
}

// bendSums returns the sums of a window.
func (p *Prepared) bendSums(from, width int) bendSums {
	v, c, u := p.V[from:from+width], p.I[from:from+width], p.U[from:from+width]
	s := bendSums{level: straight(v, c, u)}
	var s2, s3 float64
	for i := range v {
		w, d := 1/(u[i]*u[i]), v[i]-s.level.Centre
		s2 += w * d * d
		s3 += w * d * d * d
	}
	s.square, s.skew = s2*s.level.VarMean, s3/s2
	for i := range v {
		part := s.part(v[i])
		s.pp += part * part / (u[i] * u[i])
	}
	return s
}

// bends are the curvatures of windows of one width that have been worked out,
// since a cutoff asks for each of them several times.
type bends struct {
	width int
	at    []bend
	known []bool
}

// forget makes room for windows of another width on n readings.
func (b *bends) forget(width, n int) {
	b.width = width
	b.at, b.known = grow(b.at, n), grow(b.known, n)
	clear(b.known)
}

// bend returns the curvature of the parabola through a window by weighted least
// squares.
func (p *Prepared) bend(from, width int) bend {
	b := &p.scratch.bends
	if b.width != width {
		b.forget(width, len(p.V))
	}
	if !b.known[from] {
		b.at[from], b.known[from] = p.parabola(from, width), true
	}
	return b.at[from]
}

// parabola works the curvature of a window out.
func (p *Prepared) parabola(from, width int) bend {
	s := p.bendSums(from, width)
	var pc float64
	for i := from; i < from+width; i++ {
		pc += s.part(p.V[i]) * p.I[i] / (p.U[i] * p.U[i])
	}
	return bend{Centre: s.level.Centre, Curvature: 2 * pc / s.pp, Variance: 4 / s.pp}
}

// halfHeight returns where, going up in voltage from a window, the curvature
// falls to half a height, by interpolation between windows i and i+1.
func (p *Prepared) halfHeight(from, width int, height float64) (i int, v float64, ok bool) {
	half := height / 2 * (1 + tie)
	a := p.bend(from, width)
	for i = from; i+1+width <= p.parts.PlateauTo; i++ {
		b := p.bend(i+1, width)
		if a.Curvature > half && b.Curvature <= half {
			share := (a.Curvature - half) / (a.Curvature - b.Curvature)
			return i, a.Centre + share*(b.Centre-a.Centre), true
		}
		a = b
	}
	return 0, 0, false
}

// bendVariance carries the variances of the readings to the cutoff v between
// windows i and i+1 by the delta method. Windows share readings, so that their
// curvatures are not independent.
func (p *Prepared) bendVariance(step stretch, i, width int, v float64) float64 {
	gains := grow(p.scratch.sums, len(p.V))
	p.scratch.sums = gains
	clear(gains)
	a, b := p.bend(i, width), p.bend(i+1, width)
	share := (v - a.Centre) / (b.Centre - a.Centre)
	p.addGains(gains, i, width, 1-share)
	p.addGains(gains, i+1, width, share)
	var weight float64
	for k := step.from; k < step.to; k++ {
		weight += 1 / p.bend(k, width).Variance
	}
	for k := step.from; k < step.to; k++ {
		p.addGains(gains, k, width, -1/(2*weight*p.bend(k, width).Variance))
	}
	var variance float64
	for k, g := range gains {
		variance += g * g * p.U[k] * p.U[k]
	}
	slope := p.bendSlope(i, width)
	return variance / (slope * slope)
}

// addGains adds to gains by how much each reading changes the curvature of a
// window, times a factor.
func (p *Prepared) addGains(gains []float64, from, width int, factor float64) {
	s := p.bendSums(from, width)
	for i := from; i < from+width; i++ {
		gains[i] += factor * 2 / (p.U[i] * p.U[i]) * s.part(p.V[i]) / s.pp
	}
}

// bendSlope returns how fast the curvature falls at window i, in A/V^3, from
// windows that share few readings.
func (p *Prepared) bendSlope(i, width int) float64 {
	reach := max(1, width/4)
	a := p.bend(max(i-reach, 0), width)
	b := p.bend(min(i+reach, p.parts.PlateauTo-width), width)
	return math.Abs(a.Curvature-b.Curvature) / (b.Centre - a.Centre)
}

// step returns the windows that lie whole between the beginning of the knee and a
// cutoff.
func (p *Prepared) step(width int, cutoff float64) stretch {
	from := p.bendFrom()
	s := stretch{from: from, to: from}
	// A reading at the cutoff itself is not before it, however it was rounded.
	cutoff -= tie * (p.V[len(p.V)-1] - p.V[0])
	for s.to+width <= p.parts.PlateauTo && p.V[s.to+width-1] < cutoff {
		s.to++
	}
	return s
}

// height returns the weighted mean curvature of windows.
func (p *Prepared) height(s stretch, width int) float64 {
	var sum, weight float64
	for i := s.from; i < s.to; i++ {
		b := p.bend(i, width)
		sum += b.Curvature / b.Variance
		weight += 1 / b.Variance
	}
	return sum / weight
}

// Construct draws the parabola of the height and marks the cutoff.
func (SecondDerivative) Construct(p *Prepared, c Cutoff) []Stroke {
	if c.Status != OK {
		return nil
	}
	width, at := p.bendWidth()
	step := p.step(width, c.Stopping)
	if step.to-step.from < 2 {
		step = stretch{at, at + 1}
	}
	height := p.height(step, width)
	base := p.level()
	curve := Stroke{Role: "parabola of the step's height"}
	first := p.V[at]
	const pieces = 32
	for k := range pieces + 1 {
		v := first + (c.Stopping-first)*float64(k)/pieces
		curve.V = append(curve.V, v)
		curve.I = append(curve.I, base.At(v)+height/2*(c.Stopping-v)*(c.Stopping-v))
	}
	return []Stroke{
		curve,
		{Role: "half the curvature", V: []float64{c.Stopping}, I: []float64{base.At(c.Stopping)}},
	}
}
