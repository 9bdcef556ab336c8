package draw

import (
	"fmt"
	"math"

	"stopvolt/analysis"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/figure"
	"stopvolt/cmd/stopvolt/internal/words"
	"stopvolt/instrument"
	"stopvolt/instrument/run"
	"stopvolt/scenarios"
	"stopvolt/sim/knee"
)

// A Lesson is a knee that was built up, ready to be drawn.
type Lesson struct {
	Build    knee.Build
	Scenario scenarios.Scenario
	Steps    knee.Steps
	Causes   []words.Cause
}

// A Named is a picture with the name of its file.
type Named struct {
	Name    string
	Picture Picture
}

// Figures returns all pictures of the lesson. Those that the bench has no room
// for are left out.
func (l Lesson) Figures() ([]Named, error) {
	steps := l.StepsFigure()
	figures := []Named{{"steps", steps}}
	for i := range steps.Steps {
		figures = append(figures, Named{fmt.Sprintf("step-%d", i+1), slide{steps, i}})
	}
	for _, f := range []struct {
		name string
		make func() (Picture, error)
	}{
		{"intensities", l.Intensities},
		{"emitters", l.Emitters},
		{"threshold", l.Threshold},
		{"deflection", l.Deflection},
		{"fallback", l.Fallback},
	} {
		p, err := f.make()
		if err != nil {
			return nil, console.WrongUsef("figure %s: %w", f.name, err)
		}
		if p != nil {
			figures = append(figures, Named{f.name, p})
		}
	}
	return figures, nil
}

// A slide is one step in a picture of its own.
type slide struct {
	steps figure.Steps
	step  int
}

// Picture lays the step out.
func (s slide) Picture() (figure.Picture, error) { return s.steps.Slide(s.step) }

// enlargedFrom is the voltage in V before the true cutoff whose current ends the
// linear axis, so that the knee is seen enlarged, and kneeShare the most of the whole
// current that may be shown there: a weak line, whose curve has no more than a few
// tenths of a volt to fall, is enlarged at its own knee.
const (
	enlargedFrom = 0.25
	kneeShare    = 0.4
)

// top returns the largest current in A on the enlarged axis.
func (l Lesson) top() float64 {
	bench := l.Steps.Steps[len(l.Steps.Steps)-1]
	before := enlargedFrom
	for bench.At(l.Steps.Truth-before) > kneeShare*bench.I[0] && before > enlargedFrom/20 {
		before *= 0.9
	}
	return math.Max(bench.At(l.Steps.Truth-before), 0)
}

// StepsFigure shows the steps.
func (l Lesson) StepsFigure() figure.Steps {
	s := l.Steps
	f := figure.Steps{
		Title: fmt.Sprintf("Why the knee is round: %s, %.1f nm", s.Light.Name, s.Light.Nominal),
		Truth: s.Truth, Limit: s.Limit,
	}
	for i, step := range s.Steps {
		drawn := figure.Step{
			Cause: l.Causes[i].Name, Caption: l.Causes[i].Number,
			V: step.V, I: step.I, Readings: step.Readings,
		}
		if e := step.Energies; e != nil {
			drawn.Energies = &figure.Energies{Edges: e.Edges, Counts: e.Counts}
		}
		f.Steps = append(f.Steps, drawn)
	}
	f.Top = l.top()
	return f
}

// oneMethod reads the cutoffs of a run by the method of the lesson, and puts the
// weighted line through them.
func oneMethod(r run.Run) analysis.Extraction {
	lit, _ := analysis.WithoutDark(r)
	x := analysis.Extractor{Methods: []analysis.Method{lessonMethod}, Fits: []analysis.LineFit{analysis.Weighted{}}}
	return x.Extract(lit)
}

// lessonMethod is the method whose cutoffs the lesson's pictures show.
var lessonMethod = analysis.FowlerFit{}

// Intensities shows the same cutoff at three intensities.
func (l Lesson) Intensities() (Picture, error) {
	levels := []knee.Intensity{{Name: "full", Fraction: 1}, {Name: "half", Fraction: 0.5}, {Name: "a tenth", Fraction: 0.1}}
	r, err := l.Build.Session(l.Build.Dimmed(levels))
	if err != nil {
		return nil, err
	}
	truth := l.Steps.Truth
	f := figure.Intensities{
		Title:  fmt.Sprintf("The same cutoff at every intensity: %s", l.Steps.Light.Name),
		Method: lessonMethod.Name(), Truth: &truth,
	}
	lit, _ := analysis.WithoutDark(r)
	for i, s := range oneMethod(r).Settings {
		f.Curves = append(f.Curves, figure.IntensityCurve{Name: levels[i].Name, Curve: lit.Curves[i], Cutoff: &s.Cutoffs[0]})
	}
	return f, nil
}

// Emitters shows two emitters in front of one collector; nil where the lights
// leave no room for a second.
func (l Lesson) Emitters() (Picture, error) {
	a := l.Build.Apparatus
	second, ok := l.Build.SecondEmitter()
	if !ok {
		return nil, nil
	}
	f := figure.TwoEmitters{
		Title:     "Two emitters in one cell: one slope, and the collector's intercept",
		Collector: a.Collector.WorkFunction,
	}
	for _, cell := range []struct {
		name string
		a    instrument.Apparatus
	}{{"the bench's emitter", a}, {"another emitter", second}} {
		r, err := l.Build.Ideal(cell.a)
		if err != nil {
			return nil, err
		}
		x := oneMethod(r)
		if x.Lines[0].Status != analysis.OK {
			return nil, nil
		}
		phi := cell.a.Emitter.WorkFunction
		f.Emitters = append(f.Emitters, figure.EmitterLine{
			Name: fmt.Sprintf("%s, %.2f eV", cell.name, phi), WorkFunction: phi,
			Threshold: phi / a.World.HOverE, Points: Series(x, []analysis.Method{lessonMethod}, x.Lines[0]).Points, Line: x.Lines[0].Line,
		})
	}
	return f, nil
}

// Threshold shows the photocurrent against the frequency, for a cold emitter and
// for that of the bench.
func (l Lesson) Threshold() (Picture, error) {
	a := l.Build.Apparatus
	f := figure.Threshold{
		Title:     "The threshold: no electrons below it, but for those with heat to spare",
		Frequency: a.Emitter.WorkFunction / a.World.HOverE,
	}
	temperatures := []float64{a.Emitter.Temperature, 0}
	if a.Emitter.Temperature == 0 {
		temperatures = temperatures[:1]
	}
	for _, t := range temperatures {
		frequency, current, err := l.Build.Threshold(t)
		if err != nil {
			return nil, err
		}
		f.Responses = append(f.Responses, figure.Response{Name: fmt.Sprintf("at %g K", t), Frequency: frequency, Current: current})
	}
	return f, nil
}

// scale returns the scale on which a class sees the deflection, and the least
// part of a division that can be read.
func (l Lesson) scale(largest float64) (s knee.Scale, readable float64) {
	m := l.Build.Apparatus.Meter
	if !m.Needle.Present() {
		return knee.RoundScale(largest), 0.5
	}
	for _, r := range m.Ranges() {
		s = knee.Scale{FullScale: r.Highest, Divisions: m.Needle.Divisions}
		if r.Highest >= largest {
			break
		}
	}
	return s, m.Needle.Fraction
}

// Deflection shows what each line does to a needle at no retarding voltage.
func (l Lesson) Deflection() (Picture, error) {
	a := l.Build.Apparatus
	currents, err := l.Build.Currents(0)
	if err != nil {
		return nil, err
	}
	largest := 0.0
	for _, i := range currents {
		largest = max(largest, i)
	}
	scale, readable := l.scale(largest)
	f := figure.Deflection{
		Title:     fmt.Sprintf("What a needle will do on a range of %s", words.Quantity(scale.FullScale, "A")),
		FullScale: scale.Divisions, Readable: readable,
	}
	for i, light := range a.Lights {
		divisions := currents[i] / scale.FullScale * scale.Divisions
		noise := a.Meter.Ranges()[0].Uncertainty(currents[i], a.Plan.Dwell) / scale.FullScale * scale.Divisions
		f.Rows = append(f.Rows, figure.DeflectionRow{
			Setting: light.Name, Wavelength: light.Nominal, Current: currents[i], Divisions: divisions,
			// A reading to a fraction is uniform over it (JCGM 100:2008, 4.3.7).
			U: math.Hypot(noise, readable/math.Sqrt(12)),
		})
	}
	return f, nil
}

// Fallback shows one session's curves without any cutoff, to read by hand.
func (l Lesson) Fallback() (Picture, error) {
	lit, _ := analysis.WithoutDark(l.Steps.Run)
	return figure.Curves{Title: "Curves for the day when the lamp is dead: synthetic, from one sweep of " + l.Scenario.Name, Run: lit}, nil
}
