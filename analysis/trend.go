package analysis

import "math"

// A trend is a straight line through readings by weighted least squares,
//
//	I = Mean + Slope (V - Centre),
//
// about the weighted mean voltage, where mean and slope are independent.
type trend struct {
	// Centre is in V, Mean in A, Slope in A/V.
	Centre, Mean, Slope float64
	// VarMean and VarSlope are variances from the readings' uncertainties.
	VarMean, VarSlope float64
	// N is the number of readings.
	N int
}

// straight returns the trend of readings at two or more distinct voltages.
func straight(v, i, u []float64) trend {
	var sw, sv, si float64
	for k := range v {
		w := 1 / (u[k] * u[k])
		sw += w
		sv += w * v[k]
		si += w * i[k]
	}
	t := trend{Centre: sv / sw, Mean: si / sw, N: len(v)}
	var svv, svi float64
	for k := range v {
		w := 1 / (u[k] * u[k])
		d := v[k] - t.Centre
		svv += w * d * d
		svi += w * d * (i[k] - t.Mean)
	}
	t.Slope = svi / svv
	t.VarMean, t.VarSlope = 1/sw, 1/svv
	return t
}

// At returns the current in A on the line at v in V.
func (t trend) At(v float64) float64 { return t.Mean + t.Slope*(v-t.Centre) }

// Var returns the variance of At(v) in A^2.
func (t trend) Var(v float64) float64 {
	return t.VarMean + (v-t.Centre)*(v-t.Centre)*t.VarSlope
}

// Level returns the line with its slope left out.
func (t trend) Level() trend {
	t.Slope, t.VarSlope = 0, 0
	return t
}

// Widen returns the line with the variances of readings that scatter about it
// by more than their uncertainties: R. T. Birge's ratio, Phys. Rev. 40, 207
// (1932). It never makes them smaller.
func (t trend) Widen(v, i, u []float64) trend {
	if t.N < 3 {
		return t
	}
	var chi2 float64
	for k := range v {
		r := (i[k] - t.At(v[k])) / u[k]
		chi2 += r * r
	}
	ratio := max(1, chi2/float64(t.N-2))
	t.VarMean *= ratio
	t.VarSlope *= ratio
	return t
}

// cross returns the voltage at which two lines meet and its standard
// uncertainty by the delta method.
func cross(a, b trend) (v, u float64) {
	slope := a.Slope - b.Slope
	v = (b.Mean - a.Mean + a.Slope*a.Centre - b.Slope*b.Centre) / slope
	u = math.Sqrt(a.Var(v)+b.Var(v)) / math.Abs(slope)
	return v, u
}

// stroke returns the line between two voltages as a construction.
func (t trend) stroke(role string, from, to float64) Stroke {
	return Stroke{Role: role, V: []float64{from, to}, I: []float64{t.At(from), t.At(to)}}
}
