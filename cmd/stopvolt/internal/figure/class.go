package figure

import (
	"fmt"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Class shows how far each answer of a class is from the truth: a mark at its
// deviation, and a bar for the uncertainty that was stated. The words come from
// the caller, for they may be in any language.
type Class struct {
	// Title stands above the picture, Axis under it, and Alt says in a sentence
	// what is to be seen. Mark and Bar explain the mark and the bar.
	Title, Axis, Alt, Mark, Bar string
	// Headings stand over the cells of the rows.
	Headings []string
	// Rows are drawn from above in this order; there is at least one.
	Rows []ClassRow
}

// A ClassRow is the answer of one student, or of several together.
type ClassRow struct {
	// Name stands at the left, and Cells, one for each heading, at the right.
	Name  string
	Cells []string
	// Deviation is that of h/e over the true h/e, and U the stated standard
	// uncertainty over the true h/e: fractions. Either is NaN where there is
	// none.
	Deviation, U float64
}

// Picture lays the rows out. The error says which row does not fit.
func (f Class) Picture() (Picture, error) {
	if len(f.Rows) == 0 {
		return Picture{}, fmt.Errorf("answers to draw: none; at least one is needed")
	}
	mark, bar := looks(0).mark, stroke(shade, 1)
	t := rowTable{
		title: f.Title, alt: f.Alt, axis: f.Axis, headings: f.Headings,
		keys:  []key{{text: f.Mark, mark: &mark}, {text: f.Bar, line: &bar}},
		under: []plot.Plotter{upright(0, stroke(ink, 1))},
	}
	var bars []extent
	for _, r := range f.Rows {
		if len(r.Cells) != len(f.Headings) {
			return Picture{}, fmt.Errorf("row %q has %d cells for %d headings", r.Name, len(r.Cells), len(f.Headings))
		}
		if math.IsInf(r.Deviation, 0) || math.IsInf(r.U, 0) {
			return Picture{}, fmt.Errorf("row %q: a value is infinite", r.Name)
		}
		row := tableRow{name: r.Name, cells: r.Cells, draw: func(draw.Canvas, *plot.Plot, vg.Length) {}}
		if finite(r.Deviation) {
			bars = append(bars, extent{100 * (r.Deviation - known(r.U)), 100 * (r.Deviation + known(r.U))})
			row.draw = func(c draw.Canvas, p *plot.Plot, y vg.Length) {
				twoBars(c, p, y, 100*r.Deviation, 0, 100*known(r.U), looks(0))
			}
		}
		t.rows = append(t.rows, row)
	}
	t.reach = reachOf(bars)
	return t.picture(), nil
}
