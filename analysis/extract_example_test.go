package analysis_test

import (
	"fmt"
	"math"

	"stopvolt/analysis"
	"stopvolt/instrument/run"
	"stopvolt/physics"
)

// Three parabolas that end at 1.0, 0.6 and 0.2 V above the axis: the square root of the
// current is straight, and its cutoffs lie on a line.
func ExampleExtract() {
	var r run.Run
	r.Facts = run.Facts{Temperature: 295, Resolution: 1e-13}
	for _, light := range []struct {
		name       string
		wavelength float64
	}{{"violet", 404.656}, {"blue", 435.833}, {"green", 546.074}} {
		stopping := physics.PhotonEnergy(physics.HOverE, light.wavelength) - 2
		curve := run.Curve{Setting: light.name, Wavelength: light.wavelength}
		for i := range 61 {
			v := -1 + 0.05*float64(i)
			rest := math.Max(stopping-v, 0)
			curve.Readings = append(curve.Readings, run.Reading{Retarding: v, Current: 1e-9 * rest * rest, Uncertainty: 1e-13})
		}
		r.Curves = append(r.Curves, curve)
	}
	x := analysis.Extract(r, []analysis.Method{analysis.SquareRoot{}})
	for _, s := range x.Settings {
		fmt.Printf("%s: %.2f V\n", s.Name, s.Cutoffs[0].Stopping)
	}
	line := x.Lines[0]
	fmt.Printf("h/e = %.3g V s by the %s line\n", line.Line.Slope, line.Fit)
	// Output:
	// violet: 1.06 V
	// blue: 0.84 V
	// green: 0.27 V
	// h/e = 4.14e-15 V s by the ordinary line
}
