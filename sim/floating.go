package sim

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// Floating is the collector left to itself, instead of a sweep: electrons charge
// it until what still arrives balances what leaks away and what the amplifier
// that watches its potential takes or gives. The retarding potential then is
// read as the stopping voltage.
type Floating struct {
	// Capacitance is that of collector, leads and amplifier in F, above zero.
	Capacitance float64
	// Resistance is that of the amplifier's input in ohm, above zero; infinite
	// for one that takes no current.
	Resistance float64
	// Bias is the constant current in A of the amplifier's input; it counts as
	// a forward current where it makes the collector more negative.
	Bias float64
	// Intensity is that of the light relative to the setting's, not negative.
	Intensity float64
	// Start is the retarding potential in V from which the collector is let go.
	Start float64
}

// A FloatingPoint is the collector's retarding potential in V at a time in s
// after it was let go.
type FloatingPoint struct {
	Time, Retarding float64
}

const (
	// farthest is the potential in V beyond which no cell comes to rest by
	// itself.
	farthest = 1000
	// approach is the part of the way to the limit that is left after each
	// point, and nearest the part of the whole way at which the points end.
	approach = 0.98
	nearest  = 1e-6
)

// charging returns the current in A that charges the collector at a retarding
// potential in V. It falls as the potential rises.
func (f Floating) charging(b *Bench, light int) func(retarding float64) float64 {
	return func(retarding float64) float64 {
		return b.at(light, retarding, f.Intensity).Net() - retarding/f.Resistance + f.Bias
	}
}

// Limit returns the retarding potential in V at which the collector comes to
// rest in a setting of the light, counted from zero, or in the dark. The error
// says that it never does.
func (f Floating) Limit(b *Bench, light int) (float64, error) {
	if !(f.Capacitance > 0) || !(f.Resistance > 0) || !(f.Intensity >= 0) || math.IsNaN(f.Bias+f.Start) {
		return 0, fmt.Errorf("a floating collector of %g F behind %g ohm at intensity %g; the first two must be above zero and the last not negative",
			f.Capacitance, f.Resistance, f.Intensity)
	}
	current := f.charging(b, light)
	low, high := f.Start, f.Start
	for width := 0.1; current(low) < 0; width *= 2 {
		if low -= width; low < -farthest {
			return 0, fmt.Errorf("a current of %g A still discharges the collector at %g V; it needs a resistance to come to rest", current(low), low)
		}
	}
	for width := 0.1; current(high) > 0; width *= 2 {
		if high += width; high > farthest {
			return 0, fmt.Errorf("a current of %g A still charges the collector at %g V; it needs a resistance to come to rest", current(high), high)
		}
	}
	for {
		middle := low + (high-low)/2
		if middle <= low || middle >= high {
			return middle, nil
		}
		if current(middle) > 0 {
			low = middle
		} else {
			high = middle
		}
	}
}

// Limits returns those at several intensities of the light.
func (f Floating) Limits(b *Bench, light int, intensities []float64) ([]float64, error) {
	limits := make([]float64, len(intensities))
	for i, intensity := range intensities {
		f.Intensity = intensity
		var err error
		if limits[i], err = f.Limit(b, light); err != nil {
			return nil, fmt.Errorf("at intensity %g: %w", intensity, err)
		}
	}
	return limits, nil
}

// Charge returns the retarding potential against time, from the start to the
// limit but for a millionth of the way, and the limit. From C dV/dt = I(V) the
// time to a potential is the integral of C dV/I(V), which has no steps of time
// to choose.
func (f Floating) Charge(b *Bench, light int) (points []FloatingPoint, limit float64, err error) {
	if limit, err = f.Limit(b, light); err != nil {
		return nil, 0, err
	}
	current := f.charging(b, light)
	slowness := func(v float64) float64 { return f.Capacitance / current(v) }
	points = []FloatingPoint{{0, f.Start}}
	way := limit - f.Start
	var time float64
	for left := approach; left > nearest; left *= approach {
		from, to := points[len(points)-1].Retarding, limit-way*left
		if from == to {
			break
		}
		if from < to {
			time += quad.Fixed(slowness, from, to, 8, quad.Legendre{}, 0)
		} else {
			// Both the way and the current are negative.
			time -= quad.Fixed(slowness, to, from, 8, quad.Legendre{}, 0)
		}
		if math.IsInf(time, 0) || math.IsNaN(time) {
			// The current has died away before the limit, as at 0 K.
			break
		}
		points = append(points, FloatingPoint{time, to})
	}
	return points, limit, nil
}
