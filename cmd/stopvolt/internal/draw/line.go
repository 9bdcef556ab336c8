package draw

import (
	"stopvolt/analysis"
	"stopvolt/cmd/stopvolt/internal/figure"
)

// A Table is a line through a table of stopping voltages, to be drawn beside published
// ones.
type Table struct {
	// Points are those of the line, whose first fit Line is.
	Points []analysis.Point
	Line   analysis.Line
	// Published are lines to compare with.
	Published []analysis.PublishedLine
}

// Picture shows the points with their line, and the published ones on the same axes.
func (t Table) Picture() (figure.Picture, error) {
	f := figure.StoppingLine{
		Title:  "Stopping voltage against frequency: one slope, and an intercept for each collector",
		Series: []figure.LineSeries{{Method: "this table", Points: t.Points, Line: &t.Line}},
	}
	for _, p := range t.Published {
		points := p.Points()
		line, err := analysis.Ordinary{}.Fit(points)
		if err != nil {
			return figure.Picture{}, err
		}
		f.Series = append(f.Series, figure.LineSeries{Method: p.Name, Points: points, Line: &line})
	}
	return f.Picture()
}
