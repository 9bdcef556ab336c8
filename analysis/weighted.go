package analysis

import "fmt"

// Weighted is the straight line by least squares with weights inverse to the
// squares of the stopping voltages' uncertainties.
type Weighted struct{}

// Name returns "weighted".
func (Weighted) Name() string { return "weighted" }

// Fit returns the line. The weights are taken as relative: the uncertainties of
// the line come from the residuals, so that an error which all stopping
// voltages share, and which none of their uncertainties holds, still shows. An
// error says which point lacks an uncertainty.
func (Weighted) Fit(points []Point) (Line, error) {
	if err := checkPoints(points); err != nil {
		return Line{}, err
	}
	for _, p := range points {
		if p.UStopping == 0 {
			return Line{}, fmt.Errorf("setting %q has no uncertainty of its stopping voltage; a weighted line needs one above zero for each", p.Setting)
		}
	}
	l, chi2 := leastSquares(points, func(p Point) float64 { return p.UStopping })
	l.ChiSquare = chi2
	return l.sound()
}
