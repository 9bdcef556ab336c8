package analysis

import "math"

// parts are the stretches of a curve that people look for on it.
type parts struct {
	// Falls says that a steep part was found.
	Falls bool
	// Steep is the straight line through the steepest part, which is made of
	// the readings SteepFrom <= i < SteepTo.
	Steep              trend
	SteepFrom, SteepTo int
	// Width is the number of readings over which a slope was told.
	Width int
	// Flat says that the curve ends in a plateau.
	Flat bool
	// Plateau is the straight line through the end of the curve, the readings
	// PlateauFrom <= i; it is level if its slope cannot be told from zero.
	Plateau     trend
	PlateauFrom int
}

// What the parts of a curve are taken to be. These are judgements (common
// practice, no source) about curves in general; none is made for one curve.
const (
	// steepShare is how much of the steepest slope a neighbour must have to
	// belong to the steep part.
	steepShare = 0.9 * (1 - tie)
	// slopeCertainty is the relative uncertainty of the steepest slope that is
	// good enough not to look over a wider window.
	slopeCertainty = 0.03 * (1 + tie)
	// flatShare is the share of the steepest slope that the end of a curve may
	// still have to be called a plateau.
	flatShare = 0.25 * (1 + tie)
	// tie is the relative difference between slopes that is only rounding:
	// readings of few digits often have equal ones.
	tie = 1e-9
	// surely is how many standard uncertainties tell two values apart.
	surely = 3 * (1 + tie)
)

// findParts looks for the steep part and the plateau.
func (p *Prepared) findParts() {
	p.parts = parts{}
	p.findSteep()
	if p.parts.Falls {
		p.findPlateau()
	}
}

// findSteep slides a window over the curve and keeps the steepest straight line.
// The window starts at three readings and is widened until the slope is certain
// enough or the window takes a third of the curve, or as much as two thirds if
// it takes that to see the current fall at all. The steep part is the window
// with the neighbours that are nearly as steep.
func (p *Prepared) findSteep() {
	n := len(p.V)
	if n < 4 {
		return
	}
	for width := 3; ; width = wider(width) {
		at, t := p.steepest(width)
		certain := math.Sqrt(t.VarSlope) <= slopeCertainty*-t.Slope
		if !certain && 3*wider(width) <= n {
			continue
		}
		if -t.Slope < surely*math.Sqrt(t.VarSlope) {
			if 3*wider(width) <= 2*n {
				continue
			}
			return
		}
		from, to := p.widen(at, width, steepShare*t.Slope)
		p.parts.Falls = true
		p.parts.SteepFrom, p.parts.SteepTo, p.parts.Width = from, to, width
		p.parts.Steep = straight(p.V[from:to], p.I[from:to], p.U[from:to]).
			Widen(p.V[from:to], p.I[from:to], p.U[from:to])
		return
	}
}

// wider returns the next odd width of a window to try, a quarter more or two.
func wider(width int) int { return width + max(2, width/8*2) }

// steepest returns where the window of a width in which the current falls most
// steeply begins, and the line through it.
func (p *Prepared) steepest(width int) (at int, best trend) {
	for i := 0; i+width <= len(p.V); i++ {
		t := straight(p.V[i:i+width], p.I[i:i+width], p.U[i:i+width])
		if i == 0 || t.Slope < best.Slope*(1+tie) {
			at, best = i, t
		}
	}
	return at, best
}

// widen returns the range of readings made of the window and of those next to
// it whose own windows fall at least as steeply as slope.
func (p *Prepared) widen(at, width int, slope float64) (from, to int) {
	fall := func(i int) float64 {
		return straight(p.V[i:i+width], p.I[i:i+width], p.U[i:i+width]).Slope
	}
	first, last := at, at
	for first > 0 && fall(first-1) <= slope {
		first--
	}
	for last+width < len(p.V) && fall(last+1) <= slope {
		last++
	}
	return first, last + width
}

// findPlateau grows a straight line from the end of the curve towards the steep
// part, for as long as one of the next three readings lies on it and it stays
// flat. A plateau of a few readings is taken as level.
func (p *Prepared) findPlateau() {
	n := len(p.V)
	from := n - 3
	if from < p.parts.SteepTo-1 {
		return
	}
	steepest := flatShare * math.Abs(p.parts.Steep.Slope)
	t := straight(p.V[from:], p.I[from:], p.U[from:])
	for from > p.parts.SteepTo {
		next := from - 1
		if p.off(t, max(from-3, p.parts.SteepTo), from) {
			break
		}
		longer := straight(p.V[next:], p.I[next:], p.U[next:])
		if math.Abs(longer.Slope) > steepest {
			break
		}
		from, t = next, longer
	}
	flat := math.Abs(t.Slope) <= steepest
	if t.N < longPlateau || math.Abs(t.Slope) < surely*math.Sqrt(t.VarSlope) {
		t = t.Level()
	}
	p.parts.PlateauFrom = from
	p.parts.Plateau = t.Widen(p.V[from:], p.I[from:], p.U[from:])
	p.parts.Flat = flat
}

// off says whether none of the readings from <= i < to lies on a line through
// others.
func (p *Prepared) off(t trend, from, to int) bool {
	for i := from; i < to; i++ {
		gap := p.I[i] - t.At(p.V[i])
		if math.Abs(gap) <= surely*math.Sqrt(t.Var(p.V[i])+p.U[i]*p.U[i]) {
			return false
		}
	}
	return true
}

// level returns the current on which the forward one stands, as far as the
// curve tells: the plateau if it is long. If not, it is the level of what there
// is of one, or of the last reading, where that is a reverse current, and no
// current where it is not; what that leaves open is in its variance.
func (p *Prepared) level() trend {
	if p.background() == sloped {
		return p.parts.Plateau
	}
	last := len(p.V) - 1
	end := trend{Centre: p.V[last], Mean: p.I[last], VarMean: p.U[last] * p.U[last], N: 1}
	if p.parts.Flat {
		end = p.parts.Plateau.Level()
	}
	if end.Mean > 0 {
		end.VarMean += end.Mean * end.Mean / 3
		end.Mean = 0
	}
	return end
}

// A background is what a fit allows for beside the forward current.
type background int

const (
	// fixed is a level: a curve with little or no plateau cannot tell
	// background from tail.
	fixed background = iota
	// constant is one current, fitted.
	constant
	// sloped is a straight line, fitted.
	sloped
)

// longPlateau is the number of readings that a plateau needs to show a slope.
const longPlateau = 6

// background returns what the plateau lets a fit tell.
func (p *Prepared) background() background {
	if p.parts.Flat && len(p.V)-p.parts.PlateauFrom >= longPlateau {
		return sloped
	}
	return fixed
}

// fail returns a Cutoff without an answer.
func fail(s Status, reason string) Cutoff {
	return Cutoff{Stopping: math.NaN(), U: math.NaN(), Status: s, Reason: reason}
}

// answer returns a Cutoff with an answer, or the status of a calculation that
// led to none.
func answer(v, u float64) Cutoff {
	if !finite(v) || !finite(u) || u <= 0 {
		return fail(NotConverged, "the construction led to no finite voltage; take more readings around the knee")
	}
	return Cutoff{Stopping: v, U: u}
}

// answer returns a Cutoff with an answer that p can bear: known to a part of the
// sweep, and not far beyond its ends.
func (p *Prepared) answer(v, u float64) Cutoff {
	first, last := p.V[0], p.V[len(p.V)-1]
	span := last - first
	switch {
	case u > span*knownShare:
		return fail(NotConverged, "the readings leave the voltage open by more than a quarter of the sweep; take more of them, around the knee and on the accelerating side")
	case v < first-span/2 || v > last+span/2:
		return fail(NotConverged, "the construction led far beyond the sweep; take more readings around the knee")
	}
	return answer(v, u)
}

// knownShare is the share of the sweep to which a cutoff must be known to be
// called an answer (common practice, no source).
const knownShare = 0.25

// noFall is the outcome of a curve without a steep part.
func noFall(p *Prepared) Cutoff {
	if len(p.V) < 4 {
		return fail(TooFewReadings, "fewer than four distinct voltages; take more readings around the knee")
	}
	return fail(NoCutoff, "the current does not fall by more than its noise; check the light and the range of the sweep")
}
