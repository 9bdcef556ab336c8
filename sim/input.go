package sim

import (
	"math"

	"stopvolt/instrument"
)

// input is the input of the meter with the leads that hang on it: what they
// remember of the past.
type input struct {
	// voltage is the retarding voltage in V across the leads.
	voltage float64
	// output is the current in A that the first-order response has reached,
	// and variance that of its noise, which is drawn only before a reading.
	output, variance float64
	// relaxed are the voltages in V that the insulation's relaxations have
	// reached.
	relaxed [instrument.Relaxations]float64
}

// rest makes the input one that has stood for long at a voltage in V and a
// current in A, with noise of a density in A^2 s.
func (in *input) rest(a *instrument.Apparatus, voltage, current, density float64) {
	in.voltage, in.output, in.variance = voltage, current, 0
	if a.Meter.Response > 0 {
		in.variance = density / (2 * a.Meter.Response)
	}
	for i := range in.relaxed {
		in.relaxed[i] = voltage
	}
}

// pass lets an interval pass in which the voltage goes evenly to another and
// the cell carries a mean current in A, with noise of a density in A^2 s. It
// returns the charge in C that flows into the meter. The relaxations are taken
// to see the mean of the two voltages.
func (in *input) pass(a *instrument.Apparatus, v *interval, to, current, density float64) (charge float64) {
	middle := (in.voltage + to) / 2
	if v.length > 0 {
		current += a.Leads.Displacement((to - in.voltage) / v.length)
	}
	in.voltage = to
	charge = current * v.length
	in.output = in.output*v.keep + current*(1-v.keep)
	in.variance = in.variance*(1-v.spread) + in.white(a, v, density)
	if a.Leads.Absorption == 0 {
		return charge
	}
	for i := range in.relaxed {
		r := a.Leads.Relaxation(i)
		rest := in.relaxed[i] - middle
		in.relaxed[i] = middle + rest*v.relaxing[i]
		charge += r.Capacitance * rest * (1 - v.relaxing[i])
		in.output += r.Capacitance * rest / r.Time * v.fed[i]
	}
	return charge
}

// white returns the variance in A^2 that noise of a density in A^2 s adds to
// the output.
func (in *input) white(a *instrument.Apparatus, v *interval, density float64) float64 {
	if a.Meter.Response == 0 {
		return 0
	}
	return density / (2 * a.Meter.Response) * v.spread
}

// jump changes the voltage at once. A response that takes time sees the charge
// that this moves; any other has it behind before the next reading.
func (in *input) jump(a *instrument.Apparatus, to float64) {
	if a.Meter.Response > 0 {
		in.output += a.Leads.Displacement((to - in.voltage) / a.Meter.Response)
	}
	in.voltage = to
}

// measure lets a dwell pass at a steady voltage and returns the mean of the
// meter's output in A. The cell carries a mean current in A with noise of a
// density in A^2 s; excess is the charge in C by which this dwell's noise
// differs from the mean.
//
// With y the output, tau dy/dt = i - y has the mean (Q - tau (y1 - y0))/T over
// a dwell T in which the charge Q flows. Of white noise, Q and y1 are jointly
// normal with the variances S T and S (1 - k^2)/(2 tau) and the covariance
// S (1 - k), where k = exp(-T/tau); so y1 is drawn given Q.
func (in *input) measure(a *instrument.Apparatus, v *interval, current, excess, density float64, src *Stream) float64 {
	response := a.Meter.Response
	if response == 0 {
		return (in.pass(a, v, in.voltage, current, density) + excess) / v.length
	}
	in.output += normal(math.Sqrt(in.variance), src)
	in.variance = 0
	before := in.output
	charge := in.pass(a, v, in.voltage, current, density) + excess
	gone := 1 - v.keep
	in.output += excess / v.length * gone
	left := in.variance - density*gone*gone/v.length
	in.output += normal(math.Sqrt(max(left, 0)), src)
	in.variance = 0
	return (charge - response*(in.output-before)) / v.length
}
