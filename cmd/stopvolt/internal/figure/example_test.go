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

// violetPlane is an invented plot of the violet curve in some other plane: each
// reading above the level of a fixed reverse current, as f makes it.
func violetPlane(kind analysis.PlaneKind, f func(v, current, u float64) (y, uy float64)) analysis.Plane {
	pl := analysis.Plane{Kind: kind}
	for _, r := range benchRun().Curves[1].Readings {
		y, u := f(r.Retarding, r.Current+violetLevel, r.Uncertainty)
		pl.V, pl.Y, pl.U = append(pl.V, r.Retarding), append(pl.Y, y), append(pl.U, u)
	}
	return pl
}

// violetLevel in A is taken off.
const violetLevel = 0.25e-11

// violetAbove is the mean current in A above that level, and violetFall the
// slope of the curve in A/V with its sign turned round.
func violetAbove(v float64) float64 { return benchCurrent(1, v) + violetLevel }

func violetFall(v float64) float64 { return (violetAbove(v-0.05) - violetAbove(v+0.05)) / 0.1 }

// meets returns where the straight line through f at two voltages is zero, and
// its height at the first.
func meets(f func(v float64) float64, first, second float64) (v, height float64) {
	height = f(first)
	return first + height*(second-first)/(height-f(second)), height
}

// violetConstruction shows an invented construction in a plane.
func violetConstruction(method string, cutoff float64, pl analysis.Plane, strokes ...analysis.Stroke) {
	pl.Strokes = strokes
	show(Construction{
		Title: "The violet curve in the plane of " + method, Curve: benchRun().Curves[1], Method: method,
		Cutoff: analysis.Cutoff{Stopping: cutoff, U: 0.02}, Plane: &pl,
	}.Picture())
}

func ExampleConstruction_roots() {
	pl := violetPlane(analysis.Roots, func(_, current, u float64) (float64, float64) {
		root := math.Sqrt(math.Max(current, 0))
		return root, math.Sqrt(math.Max(current, 0)+u) - root
	})
	at, height := meets(func(v float64) float64 { return math.Sqrt(violetAbove(v)) }, 0.8, 1.3)
	violetConstruction("square-root", at, pl,
		analysis.Stroke{Role: "straight line of the roots", V: []float64{0.8, at}, I: []float64{height, 0}},
		analysis.Stroke{Role: "root meets zero", V: []float64{at}, I: []float64{0}})
}

func ExampleConstruction_logarithms() {
	pl := violetPlane(analysis.Logarithms, func(_, current, u float64) (float64, float64) { return current, u })
	logarithm := func(v float64) float64 { return math.Log(violetAbove(v)) }
	tail := func(v float64) float64 { return logarithm(1.35) + (logarithm(1.5)-logarithm(1.35))*(v-1.35)/0.15 }
	const seen = 3 * 0.8e-12
	at, _ := meets(func(v float64) float64 { return tail(v) - math.Log(seen) }, 1.2, 2)
	violetConstruction("semi-log", at, pl,
		analysis.Stroke{Role: "steep end", V: []float64{1.2, at}, I: []float64{math.Exp(tail(1.2)), seen}},
		analysis.Stroke{Role: "three times the noise", V: []float64{at, 2.2}, I: []float64{seen, seen}},
		analysis.Stroke{Role: "meeting point", V: []float64{at}, I: []float64{seen}})
}

// differences returns the n-th differences of the violet curve with their
// voltages and uncertainties, over steps of three readings.
func differences(kind analysis.PlaneKind, n int) analysis.Plane {
	pl := violetPlane(analysis.Currents, func(_, current, u float64) (float64, float64) { return current, u })
	for range n {
		const step = 3
		next := analysis.Plane{}
		for i := range len(pl.V) - step {
			width := pl.V[i+step] - pl.V[i]
			next.V = append(next.V, (pl.V[i]+pl.V[i+step])/2)
			next.Y = append(next.Y, (pl.Y[i]-pl.Y[i+step])/width)
			next.U = append(next.U, math.Hypot(pl.U[i], pl.U[i+step])/width)
		}
		pl = next
	}
	pl.Kind = kind
	return pl
}

func ExampleConstruction_falls() {
	at, height := meets(violetFall, 0.8, 1.3)
	violetConstruction("first-derivative", at, differences(analysis.Falls, 1),
		analysis.Stroke{Role: "straight fall, extended", V: []float64{0.8, at}, I: []float64{height, 0}},
		analysis.Stroke{Role: "slope of the plateau", V: []float64{at, 2.5}, I: []float64{0, 0}},
		analysis.Stroke{Role: "where they meet", V: []float64{at}, I: []float64{0}})
}

func ExampleConstruction_bends() {
	height, at := (violetFall(0.9)-violetFall(1.3))/0.4, benchTruth()[1]
	violetConstruction("second-derivative", at, differences(analysis.Bends, 2),
		analysis.Stroke{Role: "height of the step", V: []float64{0.8, at}, I: []float64{height, height}},
		analysis.Stroke{Role: "half of it", V: []float64{0.8, at}, I: []float64{height / 2, height / 2}},
		analysis.Stroke{Role: "falls to the half", V: []float64{at}, I: []float64{height / 2}})
}

func ExampleConstruction_deviations() {
	pl := violetPlane(analysis.Deviations, func(v, current, u float64) (float64, float64) { return current - violetAbove(v), u })
	at := benchTruth()[1]
	violetConstruction("fowler-fit", at, pl,
		analysis.Stroke{Role: "fitted curve", V: []float64{-1, 2.5}, I: []float64{0, 0}},
		analysis.Stroke{Role: "cutoff", V: []float64{at}, I: []float64{0}})
}

func ExampleMethodSheet() {
	f := MethodSheet{Title: "How square-root reads the curves of a run at the school on Tern Island, simulated"}
	for i, c := range benchRun().Curves {
		stop := benchTruth()[i]
		pl := analysis.Plane{Kind: analysis.Roots}
		for _, r := range c.Readings {
			if above := r.Current + 0.004*benchLights[i].saturation; above > 0 {
				pl.V, pl.Y = append(pl.V, r.Retarding), append(pl.Y, math.Sqrt(above))
				pl.U = append(pl.U, math.Sqrt(above+r.Uncertainty)-math.Sqrt(above))
			}
		}
		construction := Construction{Curve: c, Method: "square-root", Plane: &pl, Cutoff: analysis.Cutoff{Stopping: stop, U: 0.03}}
		if i == len(benchLights)-1 {
			construction.Cutoff = analysis.Cutoff{Stopping: math.NaN(), U: math.NaN(), Status: analysis.TooFewReadings,
				Reason: "fewer than three readings between the steep part and the plateau; take smaller steps there"}
		} else {
			height := math.Sqrt(benchCurrent(i, stop-0.8) + 0.004*benchLights[i].saturation)
			pl.Strokes = []analysis.Stroke{
				{Role: "straight line of the roots", V: []float64{stop - 0.8, stop}, I: []float64{height, 0}},
				{Role: "root meets zero", V: []float64{stop}, I: []float64{0}},
			}
		}
		f.Constructions = append(f.Constructions, construction)
	}
	show(f.Picture())
}
