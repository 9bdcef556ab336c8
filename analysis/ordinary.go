package analysis

import "math"

// Ordinary is the straight line by least squares with equal weights.
type Ordinary struct{}

// Name returns "ordinary".
func (Ordinary) Name() string { return "ordinary" }

// Fit returns the line. Its uncertainties come from the residuals; those of the
// points are not used.
func (Ordinary) Fit(points []Point) (Line, error) {
	if err := checkPoints(points); err != nil {
		return Line{}, err
	}
	l, _ := leastSquares(points, func(Point) float64 { return 1 })
	l.ChiSquare = math.NaN()
	return l.sound()
}
