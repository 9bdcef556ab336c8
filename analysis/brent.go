package analysis

import "math"

// A minimum is the lowest point found of a function of one variable.
type minimum struct {
	// X is where, and F the function there.
	X, F float64
	// Inside is false if the function still falls at an end of the range.
	Inside bool
}

// search finds a minimum of f within [low, high], starting at x with a step,
// to within a tolerance in x. It walks downhill until the minimum is bracketed
// and then takes R. P. Brent's method without derivatives (Algorithms for
// Minimization without Derivatives, 1973, chapter 5).
func search(f func(float64) float64, x, step, low, high, tolerance float64) minimum {
	x = min(max(x, low), high)
	a, b := max(x-step, low), min(x+step, high)
	fa, fx, fb := f(a), f(x), f(b)
	for fa < fx || fb < fx {
		step *= 2
		switch {
		case fa <= fb && a > low:
			a, x, b = max(a-step, low), a, x
			fa, fx, fb = f(a), fa, fx
		case fb < fa && b < high:
			a, x, b = x, b, min(b+step, high)
			fa, fx, fb = fx, fb, f(b)
		case fa < fb:
			return minimum{X: a, F: fa}
		default:
			return minimum{X: b, F: fb}
		}
	}
	if a == x || x == b || math.IsNaN(fx) {
		return minimum{X: x, F: fx}
	}
	return brent(f, a, x, b, fx, tolerance)
}

// brent refines a minimum that lies between a and b with f(x) lowest.
func brent(f func(float64) float64, a, x, b, fx, tolerance float64) minimum {
	// golden is the smaller part of the golden section.
	const golden = 0.3819660112501051
	w, v, fw, fv := x, x, fx, fx
	var step, last float64
	for range 60 {
		middle := (a + b) / 2
		if math.Abs(x-middle)+(b-a)/2 <= 2*tolerance {
			break
		}
		next, ok := parabola(x, w, v, fx, fw, fv)
		if ok && next > a && next < b && math.Abs(next-x) < math.Abs(last)/2 {
			last, step = step, next-x
			if next-a < 2*tolerance || b-next < 2*tolerance {
				step = math.Copysign(tolerance, middle-x)
			}
		} else {
			last = b - x
			if x >= middle {
				last = a - x
			}
			step = golden * last
		}
		if math.Abs(step) < tolerance {
			step = math.Copysign(tolerance, step)
		}
		u := x + step
		fu := f(u)
		if fu <= fx {
			if u < x {
				b = x
			} else {
				a = x
			}
			v, fv, w, fw, x, fx = w, fw, x, fx, u, fu
			continue
		}
		if u < x {
			a = u
		} else {
			b = u
		}
		switch {
		case fu <= fw || w == x:
			v, fv, w, fw = w, fw, u, fu
		case fu <= fv || v == x || v == w:
			v, fv = u, fu
		}
	}
	return minimum{X: x, F: fx, Inside: true}
}

// parabola returns the lowest point of the parabola through three points.
func parabola(x, w, v, fx, fw, fv float64) (at float64, ok bool) {
	r := (x - w) * (fx - fv)
	q := (x - v) * (fx - fw)
	p := (x-v)*q - (x-w)*r
	q = 2 * (q - r)
	if q == 0 {
		return 0, false
	}
	return x - p/q, true
}
