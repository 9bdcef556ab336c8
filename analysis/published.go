package analysis

import "stopvolt/physics"

// A PublishedLine is stopping voltages that somebody has published, to be laid beside
// one's own.
type PublishedLine struct {
	// Name is such as "lithium, after Millikan", and Source where the numbers stand.
	Name, Source string
	// Note says whose work function the intercept is.
	Note string
	// Wavelengths are in nm and Stopping in V, in one order.
	Wavelengths, Stopping []float64
}

// Points returns the points of the line, without uncertainties.
func (p PublishedLine) Points() []Point {
	points := make([]Point, len(p.Stopping))
	for i, v := range p.Stopping {
		points[i] = Point{Frequency: physics.Frequency(p.Wavelengths[i]), Stopping: v}
	}
	return points
}

// PublishedLines returns those whose numbers can be checked at their source. To add
// one, add it here, and its check to published_test.go.
func PublishedLines() []PublishedLine {
	return []PublishedLine{{
		Name: "lithium, after Millikan (1916)",
		Source: "R. A. Millikan, Phys. Rev. 7, 355 (1916), as given in D. Halliday, R. Resnick and J. Walker, Fundamentals of Physics, " +
			"10th edition, chapter 38, problem 85",
		Note:        "the contact potential was corrected for, so that the intercept is the lithium's own work function and not a collector's",
		Wavelengths: []float64{433.9, 404.7, 365.0, 312.5, 253.5},
		Stopping:    []float64{0.55, 0.73, 1.09, 1.67, 2.57},
	}}
}
