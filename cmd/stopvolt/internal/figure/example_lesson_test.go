package figure

import (
	"math"
	"math/rand/v2"

	"stopvolt/analysis"
	"stopvolt/instrument/run"
	"stopvolt/physics"
)

func ExampleCoverage() {
	show(Coverage{
		Title:   "Coverage of the stated intervals in 200 invented experiments",
		Nominal: 0.95,
		Rows: []CoverageRow{
			{Method: "null-reading", Coverage: 0.61, Error: 0.034, Eliminated: 0.945, EliminatedError: 0.016, Replicates: 200},
			{Method: "zero-crossing", Coverage: 0.34, Error: 0.033, Eliminated: 0.955, EliminatedError: 0.015, Replicates: 200},
			{Method: "tangent", Coverage: 0.11, Error: 0.022, Eliminated: 0.81, EliminatedError: 0.028, Failed: 3, Replicates: 200},
			{Method: "square-root", Coverage: 0.93, Error: 0.020, Eliminated: 0.97, EliminatedError: 0.014, Failed: 41, Replicates: 200},
			{Method: "second-derivative", Coverage: math.NaN(), Error: math.NaN(), Eliminated: math.NaN(), EliminatedError: math.NaN(), Failed: 200, Replicates: 200},
			{Method: "fowler-fit", Coverage: 0.955, Error: 0.015, Eliminated: 0.955, EliminatedError: 0.015, Replicates: 200},
		},
	}.Picture())
}

func ExampleDeflection() {
	show(Deflection{
		Title:     "What the needle will do on the range of 1 nA",
		FullScale: 100, Readable: 0.5,
		Rows: []DeflectionRow{
			{Setting: "ultraviolet", Wavelength: 365.4, Current: 1.31e-9, Divisions: 131, U: 4},
			{Setting: "violet", Wavelength: 404.7, Current: 0.38e-9, Divisions: 38, U: 1.2},
			{Setting: "blue", Wavelength: 435.8, Current: 0.61e-9, Divisions: 61, U: 1.9},
			{Setting: "green", Wavelength: 546.1, Current: 0.07e-9, Divisions: 7, U: 0.5},
			{Setting: "yellow", Wavelength: 578.0, Current: -0.003e-9, Divisions: -0.3, U: 0.3},
		},
	}.Picture())
}

func ExampleBudget() {
	show(Budget{
		Title:   "What moves h/e, and by how much: invented figures",
		Effects: []string{"heat of the electrons", "angular spread", "width of the lines", "patches", "reverse emission", "leakage", "noise"},
		Methods: []BudgetColumn{
			{Method: "null-reading",
				Shifts: []float64{0.011, -0.002, 0.004, 0.003, -0.048, -0.006, 0.001},
				Errors: []float64{0.001, 0.001, 0.001, 0.001, 0.002, 0.001, 0.002}},
			{Method: "tangent",
				Shifts: []float64{-0.006, -0.103, -0.001, -0.004, -0.021, -0.002, 0.002},
				Errors: []float64{0.002, 0.004, 0.001, 0.002, 0.003, 0.001, 0.005}},
			{Method: "square-root",
				Shifts: []float64{0.009, 0.81, 0.002, math.NaN(), 0.007, 0.011, -0.003},
				Errors: []float64{0.002, 0.030, 0.001, math.NaN(), 0.002, 0.002, 0.003}},
			{Method: "fowler-fit",
				Shifts: []float64{0.000, 0.001, 0.006, 0.004, 0.002, 0.001, 0.000},
				Errors: []float64{0.0005, 0.0005, 0.001, 0.001, 0.001, 0.0005, 0.001}},
		},
	}.Picture())
}

// gridOf is an invented study of stray light with so many methods.
func gridOf(methods int) Grid {
	names := []string{"null-reading", "zero-crossing", "tangent", "square-root", "fowler-fit", "two-tangent", "power-law",
		"semi-log", "first-derivative", "second-derivative", "fixed-current", "cell-fit", "joint-fit"}
	f := Grid{
		Title:     "Bias of h/e as more light falls on the collector: invented figures",
		Parameter: "stray light / %",
		Values:    []float64{0.1, 0.2, 0.5, 1, 2, 5}, Logarithmic: true,
	}
	for k := range methods {
		s := GridSeries{Method: names[k]}
		for i, v := range f.Values {
			b := 0.004*float64(k) - 0.01*float64((k*3)%5)*math.Sqrt(v)
			if k%4 == 3 && i == 4 {
				b = math.NaN()
			}
			s.Bias, s.Error = append(s.Bias, b), append(s.Error, 0.002+0.0008*float64(k))
		}
		f.Series = append(f.Series, s)
	}
	return f
}

func ExampleGrid() {
	show(gridOf(5).Picture())
}

func ExampleGrid_many() {
	show(gridOf(8).Picture())
}

func ExampleIntensities() {
	truth := benchTruth()[2]
	f := Intensities{Title: "The same cutoff at every intensity", Method: "fowler-fit", Truth: &truth}
	rnd := rand.New(rand.NewPCG(1902, 3))
	for _, level := range []struct {
		name  string
		share float64
	}{{"full", 1}, {"half", 0.5}, {"a tenth", 0.1}} {
		c := run.Curve{Setting: "blue, " + level.name, Wavelength: 435.8}
		for v := -1.0; v < 2.005; v += 0.05 {
			current := level.share * benchCurrent(2, v)
			u := math.Hypot(0.5e-12, 0.01*current)
			c.Readings = append(c.Readings, run.Reading{Retarding: v, Current: current + u*rnd.NormFloat64(), Uncertainty: u})
		}
		u := 0.004 / math.Sqrt(level.share)
		f.Curves = append(f.Curves, IntensityCurve{Name: level.name, Curve: c,
			Cutoff: &analysis.Cutoff{Stopping: truth + u*rnd.NormFloat64(), U: u}})
	}
	show(f.Picture())
}

func ExampleTwoEmitters() {
	f := TwoEmitters{Title: "Two emitters before one collector", Collector: benchWorkFunction}
	rnd := rand.New(rand.NewPCG(1914, 8))
	for _, e := range []struct {
		name         string
		workFunction float64
		lines        int
	}{{"caesium film", 1.95, 5}, {"sodium", 2.36, 3}} {
		threshold := e.workFunction / physics.HOverE
		emitter := EmitterLine{Name: e.name, WorkFunction: e.workFunction, Threshold: threshold,
			Line: analysis.Line{Slope: physics.HOverE * (1 + 0.004*rnd.NormFloat64()), USlope: 0.02e-15, UIntercept: 0.013}}
		emitter.Line.Intercept = -benchWorkFunction - 6.5e14*(emitter.Line.Slope-physics.HOverE)
		for _, l := range benchLights[:e.lines] {
			pt := analysis.Point{Setting: l.setting, Frequency: physics.Frequency(l.wavelength), UStopping: 0.01}
			pt.Stopping = emitter.Line.Slope*pt.Frequency + emitter.Line.Intercept + 0.01*rnd.NormFloat64()
			emitter.Points = append(emitter.Points, pt)
		}
		f.Emitters = append(f.Emitters, emitter)
	}
	show(f.Picture())
}

func ExampleThreshold() {
	const workFunction = 1.95
	f := Threshold{Title: "The threshold of an invented caesium film", Frequency: workFunction / physics.HOverE}
	response := func(name string, kT float64) Response {
		r := Response{Name: name}
		for freq := 4e14; freq <= 8.5e14; freq += 2e12 {
			above := freq*physics.HOverE - workFunction
			current := math.Pow(max(above, 0), 2) / 2
			if kT > 0 {
				current = kT * kT * physics.Fowler(above/kT)
			}
			r.Frequency, r.Current = append(r.Frequency, freq), append(r.Current, 1.5e-9*current)
		}
		return r
	}
	f.Responses = []Response{response("at 0 K", 0), response("at 293 K", physics.ThermalEnergy(293)), response("at 600 K", physics.ThermalEnergy(600))}
	for i, l := range benchLights {
		freq := physics.Frequency(l.wavelength)
		kT := physics.ThermalEnergy(293)
		current := 1.5e-9 * kT * kT * physics.Fowler((freq*physics.HOverE-workFunction)/kT)
		f.Lines = append(f.Lines, ResponseLine{Setting: l.setting, Wavelength: l.wavelength, Frequency: freq,
			Current: current * (1 + 0.02*float64(i%3-1)), U: 0.04*current + 1e-12})
	}
	show(f.Picture())
}

// benchSteps builds up the violet curve of the invented cell.
func benchSteps() Steps {
	const emitter, collector, photon, saturation = 1.95, benchWorkFunction, 3.0634, 1.2e-9
	f := Steps{Title: "Why the knee is round: violet light on an invented cell",
		Truth: photon - collector, Limit: photon - emitter, Top: 0.12e-9}
	cold := physics.Emission{Excess: photon - emitter}
	warm := physics.Emission{Excess: photon - emitter, Thermal: physics.ThermalEnergy(293)}
	radial, wide := physics.Spheres{}, physics.Spheres{RadiusRatio: 0.5}
	// smeared averages the curve over shifts of the barrier of a spread in eV.
	smeared := func(spread, barrier float64) float64 {
		sum, weight := 0.0, 0.0
		for z := -3.0; z <= 3; z += 0.25 {
			w := math.Exp(-z * z / 2)
			sum, weight = sum+w*wide.Share(warm, barrier+z*spread), weight+w
		}
		return sum / weight
	}
	reverse := func(v float64) float64 { return 5e-12 / (1 + math.Exp(-(v+0.3)/0.2)) }
	leakage := func(v float64) float64 { return v / 1e12 }
	rnd := rand.New(rand.NewPCG(1931, 45))
	energies := func(e physics.Emission) *Energies {
		const width, electrons = 0.04, 4000
		h := &Energies{Edges: []float64{0}}
		for low := 0.0; low < 1.3; low += width {
			mean := electrons * e.Density(low+width/2) * width / e.Total()
			h.Counts = append(h.Counts, math.Round(max(mean+math.Sqrt(mean)*rnd.NormFloat64(), 0)))
			h.Edges = append(h.Edges, low+width)
		}
		return h
	}
	for _, s := range []struct {
		cause, caption string
		current        func(v, barrier float64) float64
		energies       *Energies
	}{
		{"cold emitter, electrons leave straight", "The fastest electrons have the photon energy less the emitter's work function, 1.11 eV, and none has more: a sharp corner at the true cutoff.",
			func(_, b float64) float64 { return saturation * radial.Share(cold, b) }, energies(cold)},
		{"angular spread", "Electrons that leave at a slant spend part of their energy sideways. With radii of 1 to 2 a quarter of it is not analysed at worst.",
			func(_, b float64) float64 { return saturation * wide.Share(cold, b) }, nil},
		{"heat of the electrons", "At 293 K, kT = 25 meV: a few electrons have more than the photon gave, and the curve has a tail beyond the cutoff.",
			func(_, b float64) float64 { return saturation * wide.Share(warm, b) }, energies(warm)},
		{"patches on the collector", "Its work function varies by 40 meV from place to place, and each patch has a cutoff of its own.",
			func(_, b float64) float64 { return saturation * smeared(0.04, b) }, nil},
		{"reverse emission", "0.4 % of the light falls on the collector, whose electrons flow backwards: 5 pA.",
			func(v, b float64) float64 { return saturation*smeared(0.04, b) - reverse(v) }, nil},
		{"leakage", "1 TΩ of dirt between the terminals: 1 pA for each volt.",
			func(v, b float64) float64 { return saturation*smeared(0.04, b) - reverse(v) - leakage(v) }, nil},
	} {
		step := Step{Cause: s.cause, Caption: s.caption, Energies: s.energies}
		// Fine enough near the knee for its enlargement.
		for v := -0.6; v <= 2.4; {
			step.V, step.I = append(step.V, v), append(step.I, s.current(v, v+collector-emitter))
			if math.Abs(v-f.Truth) < 0.25 {
				v += 0.005
			} else {
				v += 0.04
			}
		}
		f.Steps = append(f.Steps, step)
	}
	noise := f.Steps[len(f.Steps)-1]
	noise.Cause, noise.Caption, noise.Energies = "noise", "The meter reads to 0.8 pA in a second.", nil
	for i, last := 0, math.Inf(-1); i < len(noise.V); i++ {
		if noise.V[i] < last+0.04 {
			continue
		}
		last = noise.V[i]
		noise.Readings = append(noise.Readings, run.Reading{Retarding: last, Current: noise.I[i] + 0.8e-12*rnd.NormFloat64(), Uncertainty: 0.8e-12})
	}
	f.Steps = append(f.Steps, noise)
	return f
}

func ExampleSteps() {
	show(benchSteps().Picture())
}

func ExampleSteps_Slide() {
	show(benchSteps().Slide(2))
}
