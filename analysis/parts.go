package analysis

import "math"

// parts are the stretches of a curve that people look for on it. They are told
// in the terms of the trade, so that they do not depend on how far a sweep goes
// on to either side of the knee, nor on its steps.
type parts struct {
	// Begin is the first reading at zero volts or above.
	Begin int
	// Zero is the photocurrent at zero volts in A, above the level of the
	// plateau.
	Zero float64
	// Open says that the curve ends before a plateau, and not at zero current.
	Open bool
	// Falls says that the photocurrent at zero volts is surely above the noise.
	Falls bool
	// Lit is the last reading that stands above zero, or above a plateau that lies
	// above zero, by more than three times its noise, before none does for three
	// readings in a row, so that no late flicker decides. It does so by more than a
	// thousandth of the photocurrent at zero volts: with less noise than an ammeter
	// has, a warm tail would be seen without end.
	Lit int
	// Flat says that the curve has a plateau, of the readings PlateauFrom <= i <
	// PlateauTo; without one PlateauFrom is the number of readings.
	Flat                   bool
	PlateauFrom, PlateauTo int
	// Plateau is the straight line through them; it is level if its slope cannot
	// be told from zero.
	Plateau trend
}

// What the parts of a curve are taken to be. These are judgements (common
// practice, no source) about curves in general; none is made for one curve.
const (
	// flatShare is the share of the mean slope from zero volts to its beginning
	// that a plateau may still have.
	flatShare = 0.25
	// faintest is the share of the photocurrent at zero volts that an ammeter
	// shows at best.
	faintest = 1e-3
	// endsAtZero is the share of the current at zero volts with which a sweep
	// without a plateau may end for its level to be taken as zero.
	endsAtZero = 0.05
	// plateauLength is how long in V a current must lie on a straight line to be
	// called a plateau; longestPlateau is how much of it is looked at, since
	// reverse current and leakage bend over some volts.
	plateauLength, longestPlateau = 0.25, 1.0
	// astray is the share of the readings of a plateau that may lie off it.
	astray = 0.2
	// tie is the relative difference between two values that is only rounding.
	tie = 1e-9
	// surely is how many standard uncertainties tell two values apart.
	surely = 3 * (1 + tie)
	// likely is how many standard uncertainties a current may stand above a line
	// that it belongs to.
	likely = 2 * (1 + tie)
	// sameDigit is how many steps of the last digit a reading may lie off a line
	// that hides in its rounding.
	sameDigit = 1.5
)

// findParts looks for the plateau, for the photocurrent at zero volts and for the
// end of the knee.
func (p *Prepared) findParts() {
	n := len(p.V)
	p.parts = parts{PlateauFrom: n, PlateauTo: n, Begin: n, Lit: -1}
	almost := sameVoltage * (p.V[n-1] - p.V[0])
	for i, v := range p.V {
		if v >= -almost {
			p.parts.Begin = i
			break
		}
	}
	current, u, ok := p.atZero()
	if !ok {
		return
	}
	p.findPlateau(current)
	level := p.level()
	last := n - 1
	if !p.parts.Flat && math.Abs(p.I[last]) > max(surely*p.U[last], endsAtZero*current) {
		p.parts.Open = true
		return
	}
	p.parts.Zero = current - level.At(0)
	p.parts.Falls = p.parts.Zero > surely*math.Sqrt(u*u+level.Var(0))
	for i, row := p.parts.Begin, 0; i < p.parts.PlateauFrom && row < inARow; i++ {
		if row++; p.lit(i, level) {
			p.parts.Lit, row = i, 0
		}
	}
	p.parts.Falls = p.parts.Falls && p.parts.Lit >= 0
}

// atZero returns the current at zero volts in A and its uncertainty, on the
// straight line between the readings on either side, or, where a sweep starts no
// more than a step above zero volts, on that through its first two.
func (p *Prepared) atZero() (current, u float64, ok bool) {
	i := p.parts.Begin
	if i+1 >= len(p.V) {
		return 0, 0, false
	}
	if i == 0 {
		step := p.V[1] - p.V[0]
		if p.V[0] > step*(1+tie) {
			return 0, 0, false
		}
		i = 1
	}
	share := -p.V[i-1] / (p.V[i] - p.V[i-1])
	current = p.I[i-1] + share*(p.I[i]-p.I[i-1])
	return current, math.Hypot((1-share)*p.U[i-1], share*p.U[i]), true
}

// seen says whether the photocurrent of reading i is surely above a level.
func (p *Prepared) seen(i int, level trend) bool {
	return p.I[i]-level.At(p.V[i]) > surely*math.Sqrt(p.U[i]*p.U[i]+level.Var(p.V[i]))
}

// lit says whether reading i shows a forward current for certain: the meter stands
// above zero, or above the level of a plateau that does.
func (p *Prepared) lit(i int, level trend) bool {
	height := p.I[i] - max(level.At(p.V[i]), 0)
	return height > surely*math.Sqrt(p.U[i]*p.U[i]+level.Var(p.V[i])) && height > faintest*p.parts.Zero
}

// findPlateau goes up from zero volts, where the current is given in A, to the
// first stretch from which on the current lies on a straight line. The line is
// put through as much of what follows as lies on it too.
func (p *Prepared) findPlateau(zero float64) {
	n := len(p.V)
	found := -1
	for i := p.parts.Begin + 1; i+3 <= n; i++ {
		if p.V[i] > 0 && p.lasts(zero, i) {
			found = i
			break
		}
	}
	if found < 0 {
		return
	}
	to := p.reach(found, plateauLength, 3)
	for length := 2 * plateauLength; length <= longestPlateau; length *= 2 {
		if longer := p.reach(found, length, longPlateau); p.isStraight(found, longer) {
			to = longer
		}
	}
	v, c, u := p.V[found:to], p.I[found:to], p.U[found:to]
	t := p.line(found, to).Widen(v, c, u)
	if p.hidden {
		// Readings that are rounded alike do not make the level better known.
		t.VarMean += p.Resolution * p.Resolution / 12
	}
	p.parts.Flat, p.parts.PlateauFrom, p.parts.PlateauTo, p.parts.Plateau = true, found, to, t
}

// line returns the straight line through the readings from <= i < to, level where
// its slope cannot be told from zero.
func (p *Prepared) line(from, to int) trend {
	t := straight(p.V[from:to], p.I[from:to], p.U[from:to])
	if t.N < 4 || math.Abs(t.Slope) < surely*math.Sqrt(t.VarSlope) {
		t = t.Level()
	}
	return t
}

// lasts says whether a plateau begins at reading i: the stretch that begins there
// does not stand above the straight line through what follows it. The foot of a
// knee is straight over a short stretch, but not beside what follows. Where a
// sweep ends too early to say so, the stretch itself must be flat beside the fall
// from the current at zero volts.
func (p *Prepared) lasts(zero float64, i int) bool {
	middle, end := p.reach(i, plateauLength, 3), p.reach(i, longestPlateau, longPlateau)
	if end-middle < 3 {
		return p.isFlat(zero, i, end)
	}
	rest := p.line(middle, end)
	digit := 0.0
	if p.hidden {
		// Neighbours are rounded alike, by half a step at the most.
		digit = p.Resolution / 2
	}
	var sum, weight, centre float64
	for k := i; k < middle; k++ {
		w := 1 / (p.U[k] * p.U[k])
		sum += w * (p.I[k] - rest.At(p.V[k]))
		centre += w * p.V[k]
		weight += w
	}
	excess, variance := sum/weight, 1/weight+rest.Var(centre/weight)
	if excess > max(likely*math.Sqrt(variance), digit) {
		return false
	}
	if zero-rest.At(0) <= surely*math.Sqrt(rest.Var(0)) {
		return false
	}
	if p.V[end-1]-p.V[i] < 2*plateauLength && !p.isFlat(zero, i, middle) {
		return false
	}
	if start := rest.At(p.V[i]); math.Abs(rest.Slope) > flatShare*(zero-start)/p.V[i] {
		return false
	}
	return p.isStraight(i, middle)
}

// isFlat says whether the readings from <= i < to lie on a straight line that is
// flat beside the mean fall from the current at zero volts.
func (p *Prepared) isFlat(zero float64, from, to int) bool {
	t := straight(p.V[from:to], p.I[from:to], p.U[from:to])
	start := t.At(p.V[from])
	if zero-start <= surely*math.Sqrt(t.Var(p.V[from])) || math.Abs(t.Slope) > flatShare*(zero-start)/p.V[from] {
		return false
	}
	return p.isStraight(from, to)
}

// reach returns the end of the stretch that begins at reading i and is as long as
// given in V, of at least so many readings.
func (p *Prepared) reach(i int, length float64, least int) (to int) {
	end := p.V[i] + length*(1+tie)
	to = min(i+least, len(p.V))
	for to < len(p.V) && p.V[to] <= end {
		to++
	}
	return to
}

// isStraight says whether the readings from <= i < to lie on a straight line: a
// parabola through them has no sure bend, and few of them lie off the line.
func (p *Prepared) isStraight(from, to int) bool {
	s := p.bendSums(from, to-from)
	t := s.level
	digit := 0.0
	if p.hidden {
		digit = p.Resolution
	}
	var pc float64
	off := 0
	for i := from; i < to; i++ {
		gap := p.I[i] - t.At(p.V[i])
		pc += s.part(p.V[i]) * gap / (p.U[i] * p.U[i])
		if math.Abs(gap) > max(surely*math.Sqrt(t.Var(p.V[i])+p.U[i]*p.U[i]), sameDigit*digit) {
			off++
		}
	}
	if float64(off) > astray*float64(to-from) {
		return false
	}
	if to-from < 4 {
		return true
	}
	half := (p.V[to-1] - p.V[from]) / 2
	bend := math.Abs(pc / s.pp)
	return bend <= surely/math.Sqrt(s.pp) || bend*half*half <= digit/2
}

// above returns the photocurrent of reading i in A.
func (p *Prepared) above(i int, level trend) float64 { return p.I[i] - level.At(p.V[i]) }

// shares are the two shares of the photocurrent at zero volts between which a
// method works.
type shares struct{ high, low float64 }

// times returns the shares as a person takes them who calls a longer or a shorter
// stretch straight: their ratio to the power of span, about the same middle.
func (s shares) times(span float64) shares {
	span = usual(span)
	middle, half := math.Sqrt(s.high*s.low), math.Pow(s.high/s.low, span/2)
	return shares{high: min(middle*half, 1), low: middle / half}
}

// window returns the readings from <= i < to, from zero volts on, whose
// photocurrent lies between two shares of that at zero volts and is surely seen.
// Its ends are counted, as many readings as are above either share, so that no
// single one that the noise carries across decides. Where there are fewer than
// least of them, the next ones on either side are taken too, as a person does with
// large steps.
func (p *Prepared) window(s shares, level trend, least int) (from, to int) {
	n := p.parts.PlateauFrom
	high, low := s.high*p.parts.Zero*(1+tie), s.low*p.parts.Zero*(1-tie)
	from, to = p.parts.Begin, p.parts.Begin
	for i := p.parts.Begin; i < n; i++ {
		above := p.above(i, level)
		if above > high {
			from++
		}
		if above >= low && p.seen(i, level) {
			to++
		}
	}
	to = max(to, from)
	for to-from < least {
		before, after := from > p.parts.Begin, to < n && p.seen(to, level)
		switch {
		case after && (!before || p.above(to, level)*p.above(from-1, level) > s.high*s.low*p.parts.Zero*p.parts.Zero):
			to++
		case before:
			from--
		default:
			return from, to
		}
	}
	return from, to
}

// A construction is what a person arrives at on graph paper.
type construction struct {
	// v is the voltage in V and u its standard uncertainty for the stretch that
	// was called straight, from n readings.
	v, u float64
	n    int
	// failure says why there is none.
	failure Cutoff
}

// failed returns a construction that led to nothing.
func failed(s Status, reason string) construction { return construction{failure: fail(s, reason)} }

// A drawing is a method whose stretch has a span.
type drawing interface {
	draw(p *Prepared, span float64) construction
}

// Another person may call a fifth less or a quarter more of a stretch straight.
const shorter, longer = 0.8, 1.25

// drawn returns the cutoff of a construction. What it changes by where a shorter or
// a longer stretch is called straight is part of its uncertainty.
func drawn[D drawing](d D, p *Prepared, span float64, e extent) Cutoff {
	if !p.parts.Falls {
		return noFall(p)
	}
	span = usual(span)
	c := d.draw(p, span)
	if c.failure.Status != OK {
		return c.failure
	}
	var low, high float64
	for _, factor := range [...]float64{shorter, longer} {
		if other := d.draw(p, span*factor); other.failure.Status == OK {
			low, high = min(low, other.v-c.v), max(high, other.v-c.v)
		}
	}
	return p.answer(c.v, math.Hypot(c.u, max(-low, high)), c.n, e)
}

// A Knee is the span of voltages in V in which a curve stops: from the last
// reading that stands above zero by more than three times its noise (and by more
// than a thousandth of the photocurrent at zero volts) to the beginning of the first plateau
// that lasts, and a little more on either side. A stopping voltage outside is none:
// below, the light's current still flows, and above it has long ended.
type Knee struct {
	// Lit and Flat are its ends, and Low and High these with a step of the voltage
	// on either side.
	Lit, Flat, Low, High float64
	// Step is the longest step at the ends.
	Step float64
}

// Knee returns the span of the curve, and whether it has one.
func (p *Prepared) Knee() (k Knee, ok bool) {
	if !p.parts.Falls {
		return Knee{}, false
	}
	lit, flat := p.parts.Lit, min(p.parts.PlateauFrom, len(p.V)-1)
	k.Lit, k.Flat = p.V[lit], p.V[flat]
	k.Step = max(p.V[min(lit+1, len(p.V)-1)]-p.V[lit], p.V[flat]-p.V[max(flat-1, 0)])
	k.Low, k.High = k.Lit-k.Step, k.Flat+k.Step
	return k, true
}

// level returns the current on which the forward one stands, as far as the
// curve tells: the plateau if it has one. If not, it is that of the last reading,
// where that is a reverse current, and no current where it is not; what that
// leaves open is in its variance.
func (p *Prepared) level() trend {
	if p.parts.Flat {
		return p.parts.Plateau
	}
	last := len(p.V) - 1
	end := trend{Centre: p.V[last], Mean: p.I[last], VarMean: p.U[last] * p.U[last], N: 1}
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
	if p.parts.Flat && p.parts.PlateauTo-p.parts.PlateauFrom >= longPlateau {
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

// An extent says how a method comes to its voltage.
type extent int

const (
	// within is a method that reads its voltage between readings.
	within extent = iota
	// beyond is a fit that extrapolates.
	beyond
	// beneath is a fit of a warm emitter's current, whose cutoff lies beneath the
	// tail.
	beneath
)

// warmTail is how far in kT/e the current of a warm emitter may be seen beyond its
// cutoff: there the Fowler function (R. H. Fowler, Phys. Rev. 38, 45 (1931)) has
// fallen to a thousandth of what it is two kT/e before the cutoff.
const warmTail = 6

// answer returns a Cutoff with an answer that p can bear, from n readings: one
// that is known to a part of the sweep and lies in the knee. No voltage is known
// better than the step allows, spread over the readings that it is from. A fit
// that extrapolates may leave the knee by twice its uncertainty, or go to where
// the root of the photocurrent points, since noise hides the foot of a curve (TestNoiseHidesTheFootOfACurve);
// what is hidden is then in its uncertainty.
func (p *Prepared) answer(v, u float64, n int, e extent) Cutoff {
	k, ok := p.Knee()
	if !ok {
		return noFall(p)
	}
	low, high := k.Low, k.High
	if e == beneath {
		low = min(low, k.Lit-warmTail*p.kT)
	}
	if e != within {
		low = min(low, k.Lit-2*u)
		high = max(high, k.Flat+2*u, p.hiddenEnd()+k.Step)
		if unseen := v - p.V[min(p.parts.Lit+1, len(p.V)-1)]; unseen > 0 {
			// The end of the current may lie anywhere on the way that its noise hides
			// (JCGM 100:2008, 4.3.7), and the beginning of the plateau is not to be
			// more than two standard uncertainties off.
			u = max(u, unseen/math.Sqrt(12), (v-k.Flat)/2)
		}
	}
	u = max(u, k.Step/math.Sqrt(12)/float64(max(n, 1)))
	c := answer(v, u)
	if c.Status != OK {
		return c
	}
	switch {
	case u > k.High*knownShare:
		return fail(NotConverged, "the readings leave the voltage open by more than half of the way from zero volts to the plateau; take more of them around the knee")
	case v < low && !p.asDrawn:
		return fail(OutsideKnee, "the voltage found lies where the photocurrent still flows; the knee of this curve is too round for the method")
	case v > high && !p.asDrawn:
		return fail(OutsideKnee, "the voltage found lies beyond the beginning of the plateau, where the current has long ended; take smaller steps around the knee")
	}
	return p.remark(c)
}

// hiddenEnd returns the voltage in V to which the root of the photocurrent points,
// which may lie where the noise hides the foot already.
func (p *Prepared) hiddenEnd() float64 {
	from, _ := p.bent(fowlerFrom)
	return p.guess(from)
}

// knownShare is the share of the way from zero volts to the plateau to which a
// cutoff must be known to be called an answer (common practice, no source).
const knownShare = 0.5

// noFall is the outcome of a curve without a photocurrent at zero volts.
func noFall(p *Prepared) Cutoff {
	if len(p.V) < 4 {
		return fail(TooFewReadings, "fewer than four distinct voltages; take more readings around the knee")
	}
	if _, _, ok := p.atZero(); !ok {
		return fail(NoZeroVolts, "the sweep does not begin at zero volts or before, so that the photocurrent there is not known; begin it there")
	}
	if p.parts.Open {
		return fail(NoCutoff, "the curve ends before it becomes flat, and not at zero; sweep to a higher retarding voltage")
	}
	return fail(NoCutoff, "the current at zero volts is not surely above the plateau; check the light and the range of the sweep")
}
