package analysis

// A Point is the stopping voltage of one setting against its frequency.
type Point struct {
	// Setting names the state of the light.
	Setting string
	// Frequency is that of the nominal wavelength in Hz; UFrequency its
	// standard uncertainty in Hz, 0 for none.
	Frequency, UFrequency float64
	// Stopping is the stopping voltage in V; UStopping its standard
	// uncertainty in V, 0 where it is not known.
	Stopping, UStopping float64
}

// A Line is a straight line through points.
type Line struct {
	// Slope is h/e in V s, and Intercept minus the collector's work function
	// in V.
	Slope, Intercept float64
	// USlope and UIntercept are standard uncertainties, and Covariance is that
	// of slope and intercept in V^2 s.
	USlope, UIntercept, Covariance float64
	// DegreesOfFreedom is the number of points less two.
	DegreesOfFreedom int
	// ChiSquare is the weighted sum of squared residuals; NaN where the fit
	// has no weights.
	ChiSquare float64
	// Residuals are those of the points in their order, in V.
	Residuals []float64
}

// A LineFit is one way of putting a straight line through points.
type LineFit interface {
	// Name is the fit's name on the command line and in files.
	Name() string
	// Fit returns the line. It needs at least three points at two or more
	// distinct frequencies, and an error says what is missing.
	Fit(points []Point) (Line, error)
}
