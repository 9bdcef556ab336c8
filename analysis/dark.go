package analysis

import (
	"math"
	"slices"

	"stopvolt/instrument/run"
)

// WithoutDark returns the run without its dark curves, and with the current
// that they show taken off the others: a straight line in the voltage, since
// what flows in the dark is leakage through a resistance and an offset. It
// reports whether there was a dark curve to do that with. The argument is not
// changed.
func WithoutDark(r run.Run) (run.Run, bool) {
	var dark trend
	found := false
	var v, c, u []float64
	for _, curve := range r.Curves {
		if !curve.Dark {
			continue
		}
		for _, reading := range curve.Readings {
			if reading.Flags&run.Overload == 0 {
				v, c, u = append(v, reading.Retarding), append(c, reading.Current), append(u, 1)
			}
		}
	}
	if !slices.ContainsFunc(r.Curves, func(c run.Curve) bool { return c.Dark }) {
		return r, false
	}
	if len(v) > 0 {
		found = true
		dark = straight(v, c, u)
		if math.IsInf(dark.VarSlope, 0) {
			// All at one voltage: there is no slope to see.
			dark = dark.Level()
		}
	}
	lit := run.Run{Facts: r.Facts}
	for _, curve := range r.Curves {
		if curve.Dark {
			continue
		}
		if found {
			readings := make([]run.Reading, len(curve.Readings))
			for i, reading := range curve.Readings {
				reading.Current -= dark.At(reading.Retarding)
				readings[i] = reading
			}
			curve.Readings = readings
		}
		lit.Curves = append(lit.Curves, curve)
	}
	return lit, found
}
