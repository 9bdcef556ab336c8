package figure

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat"

	"stopvolt/analysis"
	"stopvolt/instrument/run"
	"stopvolt/physics"
)

// The examples show an invented cell at an invented school: a collector of
// 1.42 eV, a little reverse current, and five mercury lines.
var benchLights = []struct {
	setting    string
	wavelength float64
	// saturation in A.
	saturation float64
}{
	{"ultraviolet", 365.4, 1.9e-9},
	{"violet", 404.7, 0.62e-9},
	{"blue", 435.8, 1.1e-9},
	{"green", 546.1, 0.34e-9},
	{"yellow", 578.0, 0.12e-9},
}

// benchWorkFunction is that of the collector in eV.
const benchWorkFunction = 1.42

// benchTruth returns the true cutoff of each light in V.
func benchTruth() []float64 {
	truth := make([]float64, len(benchLights))
	for i, l := range benchLights {
		truth[i] = physics.PhotonEnergy(physics.HOverE, l.wavelength) - benchWorkFunction
	}
	return truth
}

// benchCurrent is the mean current in A of light i at a retarding voltage.
func benchCurrent(i int, v float64) float64 {
	l, truth := benchLights[i], benchTruth()[i]
	const kT = 0.0252
	most := math.Max(truth+1, 0.3) / kT
	share := physics.Fowler((truth-v)/kT) / physics.Fowler(most)
	back := 1 / (1 + math.Exp(-(v+0.6)/0.25))
	return l.saturation * (math.Min(share, 1)*0.55 + 0.45*share - 0.004*back)
}

// benchZero returns where the current of light i crosses zero, in V.
func benchZero(i int) float64 {
	low, high := -1.0, 2.5
	for high-low > 1e-6 {
		if middle := (low + high) / 2; benchCurrent(i, middle) > 0 {
			low = middle
		} else {
			high = middle
		}
	}
	return low
}

// benchRun is an invented run with noise of a picoampere.
func benchRun() run.Run {
	rnd := rand.New(rand.NewPCG(1905, 17))
	var r run.Run
	for i, l := range benchLights {
		c := run.Curve{Setting: l.setting, Wavelength: l.wavelength}
		for v := -1.0; v < 2.505; v += 0.05 {
			current := benchCurrent(i, v)
			u := math.Hypot(0.8e-12, 0.01*current)
			c.Readings = append(c.Readings, run.Reading{Retarding: v, Current: current + u*rnd.NormFloat64(), Uncertainty: u})
		}
		r.Curves = append(r.Curves, c)
	}
	return r
}

// benchCutoffs are invented answers of some methods, each with its own error.
func benchCutoffs() []MethodCutoffs {
	answers := []struct {
		method    string
		off, u    float64
		noAnswers int
	}{
		{"null-reading", -0.11, 0.012, 0},
		{"zero-crossing", -0.2, 0.009, 0},
		{"tangent", -0.34, 0.02, 0},
		{"two-tangent", -0.29, 0.015, 0},
		{"square-root", 0.02, 0.018, 1},
		{"fowler-fit", 0.006, 0.006, 0},
	}
	rnd := rand.New(rand.NewPCG(1916, 4))
	var cutoffs []MethodCutoffs
	for _, a := range answers {
		m := MethodCutoffs{Method: a.method}
		for i, truth := range benchTruth() {
			if a.method == "zero-crossing" {
				a.off = benchZero(i) - truth
			}
			if i >= len(benchLights)-a.noAnswers {
				m.Cutoffs = append(m.Cutoffs, analysis.Cutoff{Stopping: math.NaN(), U: math.NaN(), Status: analysis.NotConverged,
					Reason: "the fit found no minimum inside its range; take more readings below the knee"})
				continue
			}
			m.Cutoffs = append(m.Cutoffs, analysis.Cutoff{Stopping: truth + a.off + a.u*rnd.NormFloat64(), U: a.u})
		}
		cutoffs = append(cutoffs, m)
	}
	return cutoffs
}

func ExampleCurves() {
	show(Curves{
		Title:   "A run at the school on Tern Island, simulated",
		Run:     benchRun(),
		Methods: benchCutoffs(),
		Truth:   benchTruth(),
	}.Picture())
}

func ExampleConstruction() {
	truth := benchTruth()[1]
	// The steep tangent touches the curve at 0.6 V.
	const at, flat = 0.6, -0.25e-11
	slope := (benchCurrent(1, at+0.05) - benchCurrent(1, at-0.05)) / 0.1
	meet := at + (flat-benchCurrent(1, at))/slope
	show(Construction{
		Title:  "Two tangents on the violet curve",
		Curve:  benchRun().Curves[1],
		Method: "two-tangent",
		Cutoff: analysis.Cutoff{Stopping: meet, U: 0.021},
		Strokes: []analysis.Stroke{
			{Role: "steep part", V: []float64{at - 0.8, meet + 0.1}, I: []float64{flat + (at-0.8-meet)*slope, flat + 0.1*slope}},
			{Role: "flat part", V: []float64{meet - 0.5, 2.5}, I: []float64{flat, flat}},
			{Role: "where they meet", V: []float64{meet}, I: []float64{flat}},
		},
		Truth: &truth,
	}.Picture())
}

func ExampleStoppingLine() {
	f := StoppingLine{
		Title: "Stopping voltage against frequency, Tern Island",
		Truth: &TrueLine{Slope: physics.HOverE, Intercept: -benchWorkFunction},
	}
	for _, m := range benchCutoffs() {
		if m.Method != "tangent" && m.Method != "fowler-fit" {
			continue
		}
		s := LineSeries{Method: m.Method}
		var x, y []float64
		for i, l := range benchLights {
			pt := analysis.Point{Setting: l.setting, Frequency: physics.Frequency(l.wavelength),
				Stopping: m.Cutoffs[i].Stopping, UStopping: m.Cutoffs[i].U}
			s.Points = append(s.Points, pt)
			x, y = append(x, pt.Frequency), append(y, pt.Stopping)
		}
		intercept, slope := stat.LinearRegression(x, y, nil, false)
		// Both errors follow from the scatter of five points with one u each.
		u := s.Points[0].UStopping
		uSlope := u / (stat.StdDev(x, nil) * 2)
		s.Line = &analysis.Line{Slope: slope, Intercept: intercept, USlope: uSlope,
			UIntercept: math.Hypot(uSlope*stat.Mean(x, nil), u/math.Sqrt(5))}
		f.Series = append(f.Series, s)
	}
	show(f.Picture())
}

func ExampleBias() {
	show(Bias{
		Title: "Bias of h/e in 200 invented experiments",
		Rows: []BiasRow{
			{Method: "null-reading", Bias: -0.034, BiasError: 0.0011, Spread: 0.016, Replicates: 200},
			{Method: "zero-crossing", Bias: -0.048, BiasError: 0.0009, Spread: 0.013, Replicates: 200},
			{Method: "tangent", Bias: -0.121, BiasError: 0.0020, Spread: 0.028, Failed: 3, Replicates: 200},
			{Method: "two-tangent", Bias: -0.083, BiasError: 0.0018, Spread: 0.025, Replicates: 200},
			{Method: "square-root", Bias: 0.019, BiasError: 0.0016, Spread: 0.022, Failed: 41, Replicates: 200},
			{Method: "semi-log", Bias: 1.72, BiasError: 0.21, Spread: 2.9, Failed: 12, Replicates: 200},
			{Method: "second-derivative", Bias: math.NaN(), BiasError: math.NaN(), Spread: math.NaN(), Failed: 200, Replicates: 200},
			{Method: "fowler-fit", Bias: 0.0016, BiasError: 0.0006, Spread: 0.008, Replicates: 200},
		},
	}.Picture())
}
