package analysis

import (
	"math"
	"slices"
)

// estimateNoise fills U from the scatter of the readings, as a floor, which the
// lower half of the currents shows, and a share of the current, which the upper
// half shows: the noise of an amplifier and the flicker of a lamp.
func (p *Prepared) estimateNoise() {
	p.scatter()
	size := append(p.scratch.sums[:0], p.I...)
	p.scratch.sums = size
	for i := range size {
		size[i] = math.Abs(size[i])
	}
	slices.Sort(size)
	middle := size[len(size)/2]

	floor := p.typical(func(i float64) float64 {
		if i > middle {
			return math.NaN()
		}
		return 1
	})
	share := p.typical(func(i float64) float64 {
		if i <= middle || i == 0 {
			return math.NaN()
		}
		return i
	})
	rounding := p.Resolution * p.Resolution / 12
	for i := range p.U {
		part := share * p.I[i]
		// The residuals hold the rounding already; what is left after taking
		// it out is shared by the readings of one voltage, and rounding is not.
		single := max(floor*floor+part*part-rounding, 0)
		p.U[i] = math.Sqrt(single/float64(p.counts[i]) + rounding)
	}
}

// typical returns the standard deviation that the median of |residual|/scale
// stands for, over the points whose scale is a number; 0 if there are none. The
// scale is a function of the absolute current.
func (p *Prepared) typical(scale func(current float64) float64) float64 {
	ratios := p.scratch.x[:0]
	for i, r := range p.scratch.residuals {
		s := scale(math.Abs(p.I[i]))
		if math.IsNaN(r) || math.IsNaN(s) {
			continue
		}
		ratios = append(ratios, math.Abs(r)/s)
	}
	p.scratch.x = ratios
	if len(ratios) == 0 {
		return 0
	}
	slices.Sort(ratios)
	n := len(ratios)
	// The median of |z| for a standard normal z is 0.6745.
	return (ratios[(n-1)/2] + ratios[n/2]) / 2 / 0.6745
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
	if 2*repeated > len(p.V) {
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

// remark adds to the answer of a fit that weights readings by their noise what
// is to be said about it.
func (p *Prepared) remark(c Cutoff) Cutoff {
	if c.Status == OK && p.coarse() {
		c.Remark = "the last digit is coarser than twice the noise; the fit allows for the rounding, and its uncertainty is then rather too large"
	}
	return c
}
