package figure

import (
	"fmt"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"stopvolt/analysis"
)

// MethodSheet shows how one method reads all curves of a run, a cell to each:
// in the method's own plane where it has one, else over the knee.
type MethodSheet struct {
	// Title stands above the picture; it may be empty.
	Title string
	// Constructions are those of the curves, at least one.
	Constructions []Construction
}

// Heights of a cell in points.
const (
	sheetTitle = 32
	sheetPanel = 150
	sheetAxis  = 44
)

// Picture lays the sheet out. The error says which curve does not fit.
func (f MethodSheet) Picture() (Picture, error) {
	if len(f.Constructions) == 0 {
		return Picture{}, fmt.Errorf("a sheet of no curves; at least one is needed")
	}
	for _, c := range f.Constructions {
		if err := c.check(); err != nil {
			return Picture{}, err
		}
	}
	alt := fmt.Sprintf("How the method %s reads the cutoff of %d curves.", f.Constructions[0].Method, len(f.Constructions))
	return head{title: f.Title, keys: f.keys()}.page(alt, f.lay), nil
}

// lay lays the cells out, two in a row, or one on a small screen.
func (f MethodSheet) lay(width vg.Length) (vg.Length, func(draw.Canvas)) {
	columns := min(len(f.Constructions), 2)
	if isNarrow(width) {
		columns = 1
	}
	rows := (len(f.Constructions) + columns - 1) / columns
	const height = sheetTitle + sheetPanel + sheetAxis
	return vg.Length(rows) * height, func(c draw.Canvas) {
		for i, construction := range f.Constructions {
			cell := c
			cell.Max.Y -= vg.Length(i/columns) * height
			panel := half(cell, i%columns, sheetPanel)
			panel.Min.Y -= sheetTitle
			panel.Max.Y -= sheetTitle
			style := lettering(labelSize, ink)
			width := panel.Max.X - panel.Min.X
			lines := wrap(construction.found(), style, width)
			if len(lines) > 2 {
				lines[1] = fit(strings.Join(lines[1:], " "), style, width)
			}
			for k, line := range lines[:min(len(lines), 2)] {
				write(c, line, style, vg.Point{X: panel.Min.X, Y: cell.Max.Y - keyHeight*(vg.Length(k)+0.5)}, draw.XLeft)
			}
			place(f.plot(construction), c, panel)
		}
	}
}

// roles returns those of all cells.
func (f MethodSheet) roles() strokeRoles {
	var all [][]analysis.Stroke
	for _, c := range f.Constructions {
		if c.Plane != nil {
			all = append(all, c.Plane.Strokes)
		} else {
			all = append(all, c.Strokes)
		}
	}
	return rolesOf(all...)
}

// plot returns the plot of a cell.
func (f MethodSheet) plot(c Construction) *plot.Plot {
	if c.Plane != nil {
		return c.planePlot(f.roles())
	}
	return c.plot(c.knee(), kneeShare)
}

// keys explain readings, strokes, cutoff and truth.
func (f MethodSheet) keys() []key {
	first := f.Constructions[0]
	first.Strokes = f.roles()
	if first.Plane != nil {
		first.Plane = &analysis.Plane{}
	}
	for _, c := range f.Constructions {
		if c.Cutoff.Status == analysis.OK {
			first.Cutoff, first.Taken = c.Cutoff, c.Taken
			break
		}
	}
	return first.keys()
}
