package figure

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"pgregory.net/rapid"

	"stopvolt/analysis"
	"stopvolt/instrument/run"
)

// A ruler is a canvas that draws nothing and notes where text and strokes are.
type ruler struct {
	width, height vg.Length
	// at maps (x, y) to (a x + b y + e, c x + d y + f), one entry for each
	// Push.
	at    []transform
	texts []textBox
	// outside counts the corners of strokes and areas off the page.
	outside int
}

type transform struct{ a, b, c, d, e, f float64 }

// A textBox is a line of text and the rectangle that its letters fill.
type textBox struct {
	text string
	vg.Rectangle
}

func (r *ruler) now() *transform { return &r.at[len(r.at)-1] }

func (t transform) apply(p vg.Point) vg.Point {
	x, y := float64(p.X), float64(p.Y)
	return vg.Point{X: vg.Length(t.a*x + t.b*y + t.e), Y: vg.Length(t.c*x + t.d*y + t.f)}
}

func (t transform) times(u transform) transform {
	return transform{
		t.a*u.a + t.b*u.c, t.a*u.b + t.b*u.d,
		t.c*u.a + t.d*u.c, t.c*u.b + t.d*u.d,
		t.a*u.e + t.b*u.f + t.e, t.c*u.e + t.d*u.f + t.f,
	}
}

func (r *ruler) Size() (w, h vg.Length)              { return r.width, r.height }
func (r *ruler) SetLineWidth(vg.Length)              {}
func (r *ruler) SetLineDash([]vg.Length, vg.Length)  {}
func (r *ruler) SetColor(color.Color)                {}
func (r *ruler) DrawImage(vg.Rectangle, image.Image) {}
func (r *ruler) Push()                               { r.at = append(r.at, *r.now()) }
func (r *ruler) Pop()                                { r.at = r.at[:len(r.at)-1] }
func (r *ruler) Stroke(p vg.Path)                    { r.measure(p) }
func (r *ruler) Fill(p vg.Path)                      { r.measure(p) }

func (r *ruler) Rotate(angle float64) {
	sin, cos := math.Sincos(angle)
	*r.now() = r.now().times(transform{cos, -sin, sin, cos, 0, 0})
}

func (r *ruler) Translate(p vg.Point) {
	*r.now() = r.now().times(transform{1, 0, 0, 1, float64(p.X), float64(p.Y)})
}

func (r *ruler) Scale(x, y float64) { *r.now() = r.now().times(transform{x, 0, 0, y, 0, 0}) }

func (r *ruler) measure(p vg.Path) {
	for _, comp := range p {
		at := r.now().apply(comp.Pos)
		if comp.Type != vg.CloseComp && !r.holds(at, at) {
			r.outside++
		}
	}
}

// holds says whether a rectangle is on the page.
func (r *ruler) holds(low, high vg.Point) bool {
	const slack = 1e-6
	return low.X >= -slack && low.Y >= -slack && high.X <= r.width+slack && high.Y <= r.height+slack
}

// FillString notes the rectangle from the foot of a "g" to the top of an "H",
// a little less so that letters may touch.
func (r *ruler) FillString(f font.Face, at vg.Point, text string) {
	if strings.TrimSpace(text) == "" {
		return
	}
	const slack = 0.3
	size := f.Font.Size
	box := textBox{text: text, Rectangle: vg.Rectangle{
		Min: vg.Point{X: vg.Length(math.Inf(1)), Y: vg.Length(math.Inf(1))},
		Max: vg.Point{X: vg.Length(math.Inf(-1)), Y: vg.Length(math.Inf(-1))},
	}}
	for _, x := range []vg.Length{slack, f.Width(text) - slack} {
		for _, y := range []vg.Length{-0.2*size + slack, 0.72*size - slack} {
			p := r.now().apply(at.Add(vg.Point{X: x, Y: y}))
			box.Min = vg.Point{X: min(box.Min.X, p.X), Y: min(box.Min.Y, p.Y)}
			box.Max = vg.Point{X: max(box.Max.X, p.X), Y: max(box.Max.Y, p.Y)}
		}
	}
	r.texts = append(r.texts, box)
}

// checkLayout says which labels collide or leave the page.
func checkLayout(t rapid.TB, p Picture) {
	t.Helper()
	r := &ruler{width: p.width, height: p.height, at: []transform{{a: 1, d: 1}}}
	p.paint(r)
	if len(r.texts) == 0 {
		t.Error("no label at all")
	}
	if r.outside > 0 {
		t.Errorf("%d corners of strokes lie off the page", r.outside)
	}
	for i, a := range r.texts {
		if !r.holds(a.Min, a.Max) {
			t.Errorf("%q leaves the page of %.0f by %.0f: %.0f", a.text, r.width, r.height, a.Rectangle)
		}
		for _, b := range r.texts[:i] {
			if a.Min.X < b.Max.X && b.Min.X < a.Max.X && a.Min.Y < b.Max.Y && b.Min.Y < a.Max.Y {
				t.Errorf("%q at %.0f and %q at %.0f collide", a.text, a.Rectangle, b.text, b.Rectangle)
			}
		}
	}
}

// drawing is what every figure of the package is.
type drawing interface{ Picture() (Picture, error) }

// examples are the pictures of the golden images.
var examples = map[string]func(){
	"Curves":       ExampleCurves,
	"Construction": ExampleConstruction,
	"Roots":        ExampleConstruction_roots, "Logarithms": ExampleConstruction_logarithms, "Falls": ExampleConstruction_falls,
	"Bends": ExampleConstruction_bends, "Deviations": ExampleConstruction_deviations, "MethodSheet": ExampleMethodSheet,
	"StoppingLine": ExampleStoppingLine,
	"Bias":         ExampleBias,
	"Coverage":     ExampleCoverage,
	"Budget":       ExampleBudget,
	"Grid":         ExampleGrid,
	"Grid of many": ExampleGrid_many,
	"Intensities":  ExampleIntensities,
	"TwoEmitters":  ExampleTwoEmitters,
	"Threshold":    ExampleThreshold,
	"Deflection":   ExampleDeflection,
	"Steps":        ExampleSteps,
	"Slide":        ExampleSteps_Slide,
	"Class":        ExampleClass, "History": ExampleHistory, "Bands": ExampleBands, "Correction": ExampleCorrection, "Chart": ExampleChart,
}

func TestLabelsNeitherCollideNorLeaveThePage(t *testing.T) {
	for name, example := range examples {
		t.Run(name, func(t *testing.T) {
			example()
			checkLayouts(t, shown)
		})
	}
	for name, d := range hostile() {
		t.Run(name, func(t *testing.T) {
			p, err := d.Picture()
			if err != nil {
				t.Fatal(err)
			}
			checkLayouts(t, p)
		})
	}
}

// checkLayouts checks both layouts of a picture.
func checkLayouts(t *testing.T, p Picture) {
	t.Helper()
	checkLayout(t, p)
	if narrow, ok := p.Narrow(); ok {
		t.Run("narrow", func(t *testing.T) { checkLayout(t, narrow) })
	}
}

// Every figure but the page of all steps, each of which has a slide, has a layout for
// small screens.
func TestFiguresHaveALayoutForSmallScreens(t *testing.T) {
	for name, example := range examples {
		example()
		if _, ok := shown.Narrow(); ok == (name == "Steps") {
			t.Errorf("%s has a narrow layout: %t", name, ok)
		}
	}
}

// A slideShow draws a step of its own of Steps.
type slideShow struct{ Steps }

func (s slideShow) Picture() (Picture, error) { return s.Slide(len(s.Steps.Steps) - 1) }

const longName = "a setting with a name that somebody thought about for far too long, in a corridor, on a rainy day"

// hostile are figures of data that strain a layout.
func hostile() map[string]drawing {
	figures := map[string]drawing{}
	for _, n := range []int{1, 2, 3, 4, 7, 9} {
		for _, methods := range []int{0, 1, 13} {
			figures[fmt.Sprintf("%d curves, %d methods", n, methods)] = strained(n, methods)
		}
	}
	odd := run.Curve{Setting: longName, Readings: []run.Reading{
		{Retarding: 0.1, Current: -3e-7}, {Retarding: 0.1001, Current: -3.1e-7, Flags: run.Overload}}}
	figures["two readings"] = Curves{Run: run.Run{Curves: []run.Curve{odd}}}
	figures["no current"] = Curves{Run: run.Run{Curves: []run.Curve{{Readings: []run.Reading{{Retarding: 1}, {Retarding: 2}}}}}}
	none := analysis.Cutoff{Stopping: math.NaN(), U: math.NaN(), Status: analysis.NoCutoff, Reason: longName + ". " + longName}
	figures["construction without an answer"] = Construction{Title: longName, Curve: odd, Method: longName, Cutoff: none}
	far := analysis.Cutoff{Stopping: 812.3456, U: 312}
	figures["construction far off"] = Construction{Curve: benchRun().Curves[0], Method: "tangent", Cutoff: far,
		Strokes: []analysis.Stroke{{Role: longName, V: []float64{-1e6, 1e6}, I: []float64{1, -1}}}}
	pt := analysis.Point{Setting: longName, Frequency: 6e14, Stopping: -0.3}
	figures["one point"] = StoppingLine{Series: []LineSeries{{Method: longName, Points: []analysis.Point{pt}}}}
	lines := StoppingLine{Title: longName}
	for i := range 13 {
		u := math.Pow(10, float64(i-6))
		lines.Series = append(lines.Series, LineSeries{
			Method: fmt.Sprintf("method-of-many-letters-%d", i),
			Points: []analysis.Point{{Frequency: 5e14, UFrequency: 1e12 * u, Stopping: 1, UStopping: u}, {Frequency: 8e14, Stopping: 2, UStopping: u}},
			Line:   &analysis.Line{Slope: -4e-15 * u, USlope: 1e-15 * u, Intercept: 3, UIntercept: 12345},
		})
	}
	figures["thirteen lines"] = lines
	biases := Bias{Title: longName}
	for i := range 13 {
		b := math.Pow(-10, float64(i-8))
		biases.Rows = append(biases.Rows, BiasRow{Method: longName[i:], Bias: b, BiasError: math.Abs(b) / 3, Spread: math.Abs(b) * 2,
			Failed: 123456, Replicates: 1234567})
	}
	figures["biases of all sizes"] = biases
	coverages := Coverage{Title: longName, Nominal: 0.6827}
	for i := range 13 {
		coverages.Rows = append(coverages.Rows, CoverageRow{Method: longName[i:], Coverage: float64(i) / 12, Error: 0.4,
			Eliminated: 1 - float64(i)/12, EliminatedError: 0.2, Failed: 123456, Replicates: 1234567})
	}
	figures["coverages of all sizes"] = coverages
	figures["full coverage"] = Coverage{Nominal: 0.95, Rows: []CoverageRow{{Method: "tangent", Coverage: 1, Eliminated: math.NaN()}}}
	for _, n := range []int{1, 2, 5, 13} {
		budget := Budget{Title: longName}
		for k := range 12 {
			budget.Effects = append(budget.Effects, longName[k:])
		}
		for i := range n {
			column := BudgetColumn{Method: longName[i:]}
			for k := range budget.Effects {
				column.Shifts = append(column.Shifts, math.Pow(-10, float64(k-i)))
				column.Errors = append(column.Errors, math.Pow(10, float64(i-k)))
			}
			budget.Methods = append(budget.Methods, column)
		}
		figures[fmt.Sprintf("budget of %d methods", n)] = budget
	}
	for _, n := range []int{1, 6, 13} {
		grid := gridOf(n)
		grid.Parameter = longName + " / %"
		figures[fmt.Sprintf("grid of %d methods", n)] = grid
		grid.Logarithmic = false
		grid.Values = []float64{-1e5, -1, 0, 1, 2, 123456.789}
		figures[fmt.Sprintf("grid of %d methods over wide values", n)] = grid
		grid.Logarithmic = true
		grid.Values = []float64{3e-9, 1e-5, 1e-3, 1, 1e3, 4e7}
		figures[fmt.Sprintf("grid of %d methods over many decades", n)] = grid
		grid.Values = []float64{3, 3.1, 3.2, 3.3, 3.4, 3.5}
		figures[fmt.Sprintf("grid of %d methods over no decade", n)] = grid
	}
	figures["intensities without cutoffs"] = Intensities{Title: longName, Curves: []IntensityCurve{{Name: longName, Curve: odd}}}
	figures["intensity without an answer"] = Intensities{Method: longName, Curves: []IntensityCurve{{Name: longName, Curve: odd, Cutoff: &none}}}
	figures["intensity far off"] = Intensities{Method: "tangent", Curves: []IntensityCurve{{Curve: odd, Cutoff: &far}, {Curve: odd, Cutoff: &far}}}
	emitters := TwoEmitters{Title: longName, Collector: 1.4}
	for range 4 {
		emitters.Emitters = append(emitters.Emitters, EmitterLine{Name: longName, WorkFunction: 1.4, Threshold: 3e14,
			Points: []analysis.Point{{Frequency: 5e14, Stopping: 0.6, UStopping: 0.1}}, Line: analysis.Line{Slope: 4e-15, Intercept: -1.4}})
	}
	figures["emitters like the collector"] = emitters
	response := Response{Name: longName, Frequency: []float64{1e14, 2e14}, Current: []float64{-1, 0}}
	dark := Threshold{Title: longName, Frequency: 9e14, Responses: []Response{response, response}}
	for i := range 12 {
		dark.Lines = append(dark.Lines, ResponseLine{Setting: longName[i:], Wavelength: 123.4, Frequency: 1e14 * float64(i), Current: 1e-30, U: 1})
	}
	figures["threshold without current"] = dark
	figures["deflections"] = Deflection{Title: longName, Retarding: -123.456789, FullScale: 1e-3, Rows: []DeflectionRow{
		{Setting: longName, Wavelength: 1234567, Current: 1e9, Divisions: 1e9, U: 1e9}, {Current: -1e-30, Divisions: -1e9, U: 1}, {}}}
	flat := Step{Cause: longName, Caption: strings.Repeat(longName+". ", 5), V: []float64{0, 1e-6}, I: []float64{-1e-9, -1e-9},
		Readings: []run.Reading{{Retarding: 0.5e-6, Current: -1e-9, Uncertainty: 1e-9}},
		Energies: &Energies{Edges: []float64{0, 1e-9}, Counts: []float64{0}}}
	figures["step without current"] = Steps{Title: longName, Truth: 4, Limit: math.NaN(), Steps: []Step{flat, {V: flat.V, I: []float64{0, 0}}}}
	figures["slide without current"] = slideShow{figures["step without current"].(Steps)}
	figures["step enlarged beyond sense"] = Steps{Truth: -4, Top: 1e-30, Limit: 1e6, Steps: []Step{flat}}
	figures["no bias"] = Bias{Rows: []BiasRow{{Method: "tangent", Bias: math.NaN(), BiasError: math.NaN(), Spread: math.NaN()}}}
	return figures
}

// strained returns curves at many settings with many methods, some of whose
// answers are far off.
func strained(n, methods int) Curves {
	f := Curves{Title: longName}
	bench := benchRun()
	for i := range n {
		c := bench.Curves[i%len(bench.Curves)]
		c.Setting = longName[i:]
		f.Run.Curves = append(f.Run.Curves, c)
	}
	for k := range methods {
		m := MethodCutoffs{Method: fmt.Sprintf("method-of-many-letters-%d", k)}
		for i := range n {
			cut := analysis.Cutoff{Stopping: float64(k*i) - 0.07*float64(k), U: float64(k) * 0.09}
			if (k+i)%5 == 4 {
				cut = analysis.Cutoff{Status: analysis.NoCutoff}
			}
			m.Cutoffs = append(m.Cutoffs, cut)
		}
		f.Methods = append(f.Methods, m)
	}
	return f
}

func TestSameInputSameBytes(t *testing.T) {
	for name, example := range examples {
		formats := []string{SVG}
		// Pixels follow from the same strokes, and take longer.
		if name == "Bias" {
			formats = append(formats, PNG)
		}
		for _, format := range formats {
			var first, second bytes.Buffer
			for _, b := range []*bytes.Buffer{&first, &second} {
				example()
				if err := shown.Save(b, format); err != nil {
					t.Fatal(err)
				}
			}
			if !bytes.Equal(first.Bytes(), second.Bytes()) {
				t.Errorf("%s as %s differs from one time to the next", name, format)
			}
		}
	}
}

func TestUnknownFormatIsAnError(t *testing.T) {
	ExampleBias()
	err := shown.Save(new(bytes.Buffer), "bmp")
	if err == nil || !strings.Contains(err.Error(), "svg") {
		t.Errorf("got %v, want an error that names the known formats", err)
	}
}
