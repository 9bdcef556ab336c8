package analysis

import (
	"math"
	"slices"
)

// dimShare is the share of the current at zero volts below which a reading shows
// the floor of the noise, and above which it shows the part in proportion to the
// current (common practice, no source).
const dimShare = 0.1

// fewestDim is the number of readings that each part of the noise is told by, and
// fewestBright what it takes to call stated uncertainties of bright readings too
// small: a dozen may all lie where the curve bends.
const fewestDim, fewestBright = 5, 16

// dim returns the current in A below which a reading shows the floor of the noise.
// Only readings from zero volts on count as dim, so that neither end of a sweep
// changes what the knee's noise is taken to be.
func (p *Prepared) dim() float64 {
	first := 0
	for first < len(p.V)-1 && p.V[first] < 0 {
		first++
	}
	limit := dimShare * math.Abs(p.I[first])
	dim, bright := 0, 0
	for i, current := range p.I {
		switch {
		case math.IsNaN(p.scratch.residuals[i]):
		case math.Abs(current) > limit:
			bright++
		case p.V[i] >= 0:
			dim++
		}
	}
	if dim >= fewestDim && bright >= fewestDim {
		return limit
	}
	size := append(p.scratch.sums[:0], p.I...)
	p.scratch.sums = size
	for i := range size {
		size[i] = math.Abs(size[i])
	}
	slices.Sort(size)
	return size[len(size)/2]
}

// estimateNoise fills U from the scatter of the readings, as a floor, which the
// dim ones show, and a share of the current, which the bright ones
// show: the noise of an amplifier and the flicker of a lamp.
func (p *Prepared) estimateNoise() {
	p.scatter()
	limit := p.dim()
	floor, share := p.floorAndShare(limit, median)
	rounding := p.Resolution * p.Resolution / 12
	for i := range p.U {
		part := share * p.I[i]
		// The residuals hold the rounding already; what is left after taking
		// it out is shared by the readings of one voltage, and rounding is not.
		single := max(floor*floor+part*part-rounding, 0)
		p.U[i] = math.Sqrt(single/float64(p.counts[i]) + rounding)
	}
}

// floorAndShare returns the scatter of the dim readings in A, by a quantile, and
// that of the bright ones as a share of the current.
func (p *Prepared) floorAndShare(limit float64, q quantile) (floor, share float64) {
	floor, _ = p.typical(func(i int) float64 {
		if math.Abs(p.I[i]) > limit {
			return math.NaN()
		}
		return 1
	}, q)
	share, _ = p.typical(func(i int) float64 {
		if math.Abs(p.I[i]) <= limit || p.I[i] == 0 {
			return math.NaN()
		}
		return math.Abs(p.I[i])
	}, p.quiet())
	return floor, share
}

// widenNoise makes stated uncertainties larger where the readings scatter about a
// smooth curve by more than these allow: by R. T. Birge's ratio, Phys. Rev. 40,
// 207 (1932), that of the dim readings for all, and for the bright ones by a
// share of the current in addition, as a lamp flickers.
func (p *Prepared) widenNoise() {
	p.Widened = 1
	p.scatter()
	limit := p.dim()
	single := func(i int) float64 { return p.U[i] * math.Sqrt(float64(p.counts[i])) }
	ratio, n := p.typical(func(i int) float64 {
		if math.Abs(p.I[i]) > limit {
			return math.NaN()
		}
		return single(i)
	}, p.quiet())
	if n >= fewestDim && ratio > surelyMore(n) {
		p.Widened = ratio
		for i := range p.U {
			p.U[i] *= ratio
		}
	}
	ratio, n = p.typical(func(i int) float64 {
		if math.Abs(p.I[i]) <= limit {
			return math.NaN()
		}
		return single(i)
	}, p.quiet())
	floor, share := p.floorAndShare(limit, p.quiet())
	if n >= fewestBright && ratio > surelyMore(n) {
		p.Widened = max(p.Widened, ratio)
		part := share * math.Sqrt(1-1/(ratio*ratio))
		for i := range p.U {
			p.U[i] = math.Hypot(p.U[i], part*p.I[i]/math.Sqrt(float64(p.counts[i])))
		}
	}
	for i := range p.U {
		least := tooSmall * math.Hypot(floor, share*p.I[i]) / math.Sqrt(float64(p.counts[i]))
		p.U[i] = max(p.U[i], least)
	}
}

// tooSmall is the share of the scatter of its like below which no reading's own
// uncertainty is believed: one from three readings often is, by chance.
const tooSmall = 0.5

// Noise returns what the curve tells of the noise of a single reading, rounding
// apart: its floor in A and the part in proportion to the current, as a share of it.
func (p *Prepared) Noise() (floor, share float64) {
	limit := dimShare * p.parts.Zero
	rounding := p.Resolution * p.Resolution / 12
	var floors, shares []float64
	single := func(i int) float64 { return max((p.U[i]*p.U[i]-rounding)*float64(p.counts[i]), 0) }
	for i, current := range p.I {
		if math.Abs(current) <= limit {
			floors = append(floors, math.Sqrt(single(i)))
		}
	}
	if len(floors) > 0 {
		slices.Sort(floors)
		floor = ranked(floors, 0.5)
	}
	for i, current := range p.I {
		if math.Abs(current) > limit {
			shares = append(shares, math.Sqrt(max(single(i)-floor*floor, 0))/math.Abs(current))
		}
	}
	if len(shares) > 0 {
		slices.Sort(shares)
		share = ranked(shares, 0.5)
	}
	return floor, share
}

// A quantile is where a standard deviation is read off sorted absolute values, and
// what it is there for a standard normal one.
type quantile struct{ share, of float64 }

var (
	median = quantile{share: 0.5, of: 0.6745}
	// quiet is the lower quartile: with large steps half the readings may lie
	// off the cubic through their neighbours without any noise.
	quiet = quantile{share: 0.25, of: 0.3186}
)

// quiet returns the quantile of the quieter readings, which is the median where
// residuals are those of repeated readings, whose curve is smooth by itself.
func (p *Prepared) quiet() quantile {
	if p.scratch.repeats {
		return median
	}
	return quiet
}

// surelyMore is the ratio of a scatter to its uncertainty that chance hardly
// reaches with n readings: a standard deviation by the lower quartile of n
// absolute values has itself one of 1.8/sqrt(n), and a fifth more where residuals
// share readings.
func surelyMore(n int) float64 { return 1 + surely*1.2*1.8/math.Sqrt(float64(n)) }

// typical returns the standard deviation that a quantile of |residual|/scale
// stands for, over the readings whose scale is a number, and how many these are; 0
// if there are none. A quantile is there for the few that lie far off, which only
// raise the root of the mean square of residuals about a curve: the deviation is not
// above that, as it would be where few residuals are much alike.
func (p *Prepared) typical(scale func(i int) float64, q quantile) (deviation float64, n int) {
	ratios := p.scratch.x[:0]
	var sum float64
	for i, r := range p.scratch.residuals {
		s := scale(i)
		if math.IsNaN(r) || math.IsNaN(s) {
			continue
		}
		ratios = append(ratios, math.Abs(r)/s)
		sum += r / s * r / s
	}
	p.scratch.x = ratios
	if n = len(ratios); n == 0 {
		return 0, 0
	}
	slices.Sort(ratios)
	deviation = ranked(ratios, q.share) / q.of
	if !p.scratch.repeats {
		deviation = min(deviation, math.Sqrt(sum/float64(n)))
	}
	return deviation, n
}

// scatter fills scratch.residuals with one value a point, whose standard
// deviation is that of a single reading; NaN where nothing can be said.
func (p *Prepared) scatter() {
	p.scratch.residuals = p.scratch.residuals[:0]
	repeated := 0
	for _, n := range p.counts {
		if n > 1 {
			repeated++
		}
	}
	p.scratch.repeats = 2*repeated > len(p.V)
	if p.scratch.repeats {
		p.scatterOfRepeats()
		return
	}
	for i := range p.V {
		p.scratch.residuals = append(p.scratch.residuals, p.fromNeighbours(i))
	}
}

// scatterOfRepeats takes the standard deviation of the readings at each
// voltage. Its median for a few readings is below the true one; for two it is
// the 0.6745 that typical divides by.
func (p *Prepared) scatterOfRepeats() {
	first := 0
	for i, n := range p.counts {
		var sum float64
		for _, r := range p.readings[first : first+n] {
			sum += (r.Current - p.I[i]) * (r.Current - p.I[i])
		}
		first += n
		deviation := math.NaN()
		if n > 1 {
			deviation = math.Sqrt(sum/float64(n-1)) * medianOfDeviation(n)
		}
		p.scratch.residuals = append(p.scratch.residuals, deviation)
	}
}

// medianOfDeviation returns what a sample standard deviation of n normal values
// is to be multiplied by, so that its median is 0.6745 of the true one. The
// median of chi-square over its degrees of freedom v is near (1 - 2/(9v))^3
// (E. B. Wilson and M. M. Hilferty, Proc. Natl. Acad. Sci. 17, 684 (1931)).
func medianOfDeviation(n int) float64 {
	v := float64(n - 1)
	if v == 1 {
		return 1
	}
	return 0.6745 / math.Pow(1-2/(9*v), 1.5)
}

// fromNeighbours returns the distance of point i from the cubic through its two
// neighbours on either side, or the straight line through one on either side
// of a short curve, scaled to the standard deviation of one reading.
func (p *Prepared) fromNeighbours(i int) float64 {
	reach := 2
	if len(p.V) < 7 {
		reach = 1
	}
	if i < reach || i+reach >= len(p.V) {
		return math.NaN()
	}
	residual, variance := p.I[i], 1/float64(p.counts[i])
	for j := i - reach; j <= i+reach; j++ {
		if j == i {
			continue
		}
		weight := 1.0
		for k := i - reach; k <= i+reach; k++ {
			if k != i && k != j {
				weight *= (p.V[i] - p.V[k]) / (p.V[j] - p.V[k])
			}
		}
		residual -= weight * p.I[j]
		variance += weight * weight / float64(p.counts[j])
	}
	return residual / math.Sqrt(variance)
}

// coarseSteps is how many standard deviations of the noise a step of the last
// digit may be for rounding to pass as part of the noise: with more, neighbouring
// readings are rounded alike.
const coarseSteps = 2

// coarse says whether the last digit hides the noise.
func (p *Prepared) coarse() bool { return p.hidden }

// hidesNoise is coarse for the uncertainties as they are now.
func (p *Prepared) hidesNoise() bool {
	if p.Resolution == 0 {
		return false
	}
	quietest := math.Inf(1)
	for _, u := range p.U {
		quietest = min(quietest, u)
	}
	rounding := p.Resolution * p.Resolution / 12
	// Five per cent leave room for the rounding of the uncertainties themselves.
	noise := 1.05 * math.Sqrt(max(quietest*quietest-rounding, 0))
	return p.Resolution > coarseSteps*noise
}

// remark adds to an answer what is to be said about the noise behind it.
func (p *Prepared) remark(c Cutoff) Cutoff {
	switch {
	case c.Status != OK:
	case p.Widened > 1:
		c.Remark = "the stated uncertainties of the readings are too small for their scatter about a smooth curve; they were widened by the ratio (Birge)"
	case p.coarse():
		c.Remark = "the last digit is coarser than twice the noise, so that the uncertainty is rather too large"
	}
	return c
}
