package page

import (
	"fmt"

	"stopvolt/cmd/stopvolt/internal/draw"
	"stopvolt/cmd/stopvolt/internal/result"
	"stopvolt/cmd/stopvolt/internal/words"
)

// A Grid is what the page of studies over a grid of values is made of.
type Grid struct {
	Origin Origin
	// Title is that of what is not varied.
	Title  string
	Axes   []draw.Axis
	Points []result.GridPoint
	// Replicates is the number of experiments at each point.
	Replicates int
}

// Page returns the page.
func (p Grid) Page() (Page, error) {
	var keys []string
	for _, a := range p.Axes {
		keys = append(keys, a.Key)
	}
	last := keys[len(keys)-1]
	page := Page{
		Title:    "How the error of h/e goes with " + last,
		Lead:     p.Title,
		Findings: printed(p.findings()),
		Safety:   words.Cautions(),
		Made:     p.Origin.terms(Term{Name: "Experiments", Text: fmt.Sprintf("%d at each of %d points", p.Replicates, len(p.Points))}),
	}
	var figures []Block
	for _, f := range draw.Grids(p.Axes, p.Points) {
		block, err := drawn(f.Picture, "The mean deviation of h/e from the truth, with its Monte Carlo standard error; a gap has no answer.", nil)
		if err != nil {
			return page, err
		}
		figures = append(figures, block)
	}
	if len(figures) > 0 {
		page.Sections = append(page.Sections, Section{ID: "figures", Heading: "Method by method", Blocks: figures})
	}
	page.Sections = append(page.Sections, Section{ID: "table", Heading: "The numbers",
		Blocks: []Block{{Text: words.KeysOfParts}, {Table: tableOf("Relative measures in per cent of h/e, a row for each point, method and line", result.GridTable(keys, p.Points))}}})
	return page, nil
}

// findings say which row has the least and the largest error over the grid.
func (p Grid) findings() []string {
	var said []string
	for _, side := range []struct {
		name string
		more bool
	}{{"least", false}, {"largest", true}} {
		if at, row := result.Extreme(p.Points, side.more); row != nil {
			said = append(said, fmt.Sprintf("The %s root mean square error, %s of h/e, is that of %s with the %s line at %s.",
				side.name, words.Share(row.HOverE.RMSE.Value), row.Method, row.Fit, p.place(at)))
		}
	}
	return said
}

// place names a point of the grid.
func (p Grid) place(at int) string {
	text := ""
	for i, a := range p.Axes {
		if i > 0 {
			text += ", "
		}
		text += a.Key + " = " + p.Points[at].Values[i]
	}
	return text
}
