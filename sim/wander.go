package sim

import "math"

// wander is a random process in time with a spectrum of 1/f: the sum of
// processes that each forget their past exponentially, with time constants in a
// geometric series (A. van der Ziel, Physica 16, 359 (1950), from memory). Its
// Allan deviation is level from about a second to an hour.
type wander struct {
	src   Stream
	parts [wanderTimes]wanderPart
	// sigma is the standard deviation of each of the parts.
	sigma float64
}

const (
	wanderTimes = 4
	wanderFirst = 1.5 // s
	wanderRatio = 12
	// wanderPatience is the part of its time constant for which a part is held
	// before it moves on. What that leaves out is quicker than the part's own
	// wandering, and less than that of the quicker parts.
	wanderPatience = 1. / 16
)

// wanderPart is one of the processes.
type wanderPart struct {
	// value is that at a time in s.
	value, time float64
	// constant is the time constant in s.
	constant float64
	// steps are those over the last two different intervals, and next is the
	// one to replace.
	steps [2]wanderStep
	next  int
}

// wanderStep is what an interval in s leaves of a value, and the spread that it
// adds in units of sigma.
type wanderStep struct{ interval, keep, spread float64 }

// start begins the process at a time of 0 s, with an Allan deviation.
func (w *wander) start(name StreamName, allan float64) {
	w.sigma = wanderSigma(allan)
	if w.sigma == 0 {
		return
	}
	w.src.Start(name)
	constant := wanderFirst
	for i := range w.parts {
		p := &w.parts[i]
		p.time, p.constant = 0, constant
		p.value = normal(w.sigma, &w.src)
		constant *= wanderRatio
	}
}

// wanderSigma returns the standard deviation of each of the processes. Together
// they have the one-sided spectral density sigma^2/(f ln(ratio)), and a density
// of h/f has the Allan variance 2 ln(2) h (W. J. Riley, Handbook of Frequency
// Stability Analysis, NIST Special Publication 1065 (2008), table 3).
func wanderSigma(allan float64) float64 {
	return allan * math.Sqrt(math.Log(wanderRatio)/(2*math.Ln2))
}

// at returns the value at a time in s, which must not go back.
func (w *wander) at(time float64) float64 {
	if w.sigma == 0 {
		return 0
	}
	var sum float64
	for i := range w.parts {
		p := &w.parts[i]
		if interval := time - p.time; interval > wanderPatience*p.constant {
			p.time = time
			step := p.step(interval)
			p.value = p.value*step.keep + normal(w.sigma*step.spread, &w.src)
		}
		sum += p.value
	}
	return sum
}

// step returns that of an interval. A sum of times carries rounding errors, and
// intervals are told apart only beyond them.
func (p *wanderPart) step(interval float64) *wanderStep {
	near := 1e-9 * interval
	if s := &p.steps[0]; math.Abs(s.interval-interval) <= near {
		return s
	}
	if s := &p.steps[1]; math.Abs(s.interval-interval) <= near {
		return s
	}
	s := &p.steps[p.next]
	p.next = 1 - p.next
	x := interval / p.constant
	*s = wanderStep{interval, math.Exp(-x), math.Sqrt(-math.Expm1(-2 * x))}
	return s
}
