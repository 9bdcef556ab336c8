package sim

import "math"

// wander is a random process in time with a spectrum of 1/f: the sum of
// processes that each forget their past exponentially, with time constants in a
// geometric series (A. van der Ziel, Physica 16, 359 (1950), from memory). Its
// Allan deviation is level from about a second to an hour.
type wander struct {
	src    Stream
	values [wanderTimes]float64
	// sigma is the standard deviation of each of them.
	sigma float64
	time  float64
	// steps are what the last two different intervals do to the values;
	// next is the one to replace.
	steps [2]wanderStep
	next  int
}

const (
	wanderTimes = 4
	wanderFirst = 1.5 // s
	wanderRatio = 12
)

// wanderStep is what an interval in s leaves of each value, and the spread that
// it adds in units of sigma.
type wanderStep struct {
	interval     float64
	keep, spread [wanderTimes]float64
}

// start begins the process at a time of 0 s, with an Allan deviation.
func (w *wander) start(name StreamName, allan float64) {
	w.time = 0
	w.sigma = wanderSigma(allan)
	if w.sigma == 0 {
		return
	}
	w.src.Start(name)
	for i := range w.values {
		w.values[i] = normal(w.sigma, &w.src)
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
	if interval := time - w.time; interval > 0 {
		w.time = time
		step := w.step(interval)
		for i := range w.values {
			w.values[i] = w.values[i]*step.keep[i] + w.sigma*normal(step.spread[i], &w.src)
		}
	}
	var sum float64
	for _, v := range w.values {
		sum += v
	}
	return sum
}

// step returns that of an interval. A sum of times carries rounding errors, and
// intervals are told apart only beyond them.
func (w *wander) step(interval float64) *wanderStep {
	for i := range w.steps {
		if s := &w.steps[i]; math.Abs(s.interval-interval) <= 1e-9*interval {
			return s
		}
	}
	s := &w.steps[w.next]
	w.next = 1 - w.next
	s.interval = interval
	time := wanderFirst
	for i := range s.keep {
		s.keep[i] = math.Exp(-interval / time)
		s.spread[i] = math.Sqrt(-math.Expm1(-2 * interval / time))
		time *= wanderRatio
	}
	return s
}
