package figure

import (
	"fmt"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Deflection shows how far the meter's needle is expected to go for each
// spectral line, so that a demonstration can be set up: which line overloads
// the range, and which one cannot be seen from the last row.
type Deflection struct {
	// Title stands above the picture; it may be empty.
	Title string
	// Retarding is the retarding voltage in V at which the currents flow.
	Retarding float64
	// FullScale is the scale's length in divisions, and Readable the least
	// deflection in divisions that can be told from zero; 0 leaves the mark of
	// the latter out.
	FullScale, Readable float64
	// Rows are drawn from above in this order; there is at least one.
	Rows []DeflectionRow
}

// A DeflectionRow is the deflection that one line is expected to give.
type DeflectionRow struct {
	// Setting and Wavelength (nm, standard air) name the line.
	Setting    string
	Wavelength float64
	// Current is in A, and Divisions is the deflection on the meter's range
	// with its standard uncertainty U; both are negative for a current that
	// flows backwards.
	Current, Divisions, U float64
}

// Picture lays the bars out. The error says which row does not fit.
func (f Deflection) Picture() (Picture, error) {
	if len(f.Rows) == 0 {
		return Picture{}, fmt.Errorf("deflections to draw: none; at least one line is needed")
	}
	if !(f.FullScale > 0) || !finite(f.FullScale, f.Retarding, f.Readable) {
		return Picture{}, fmt.Errorf("full scale of %g divisions; it must be above zero and finite", f.FullScale)
	}
	line := stroke(ink, 1)
	end := truthLine()
	readable := stroke(shade, 1, 1.5, 2.5)
	t := rowTable{
		title: f.Title,
		keys: []key{
			{text: "expected deflection", fill: paler(hues[0])},
			{text: "its standard uncertainty", line: &line},
			{text: "end of the scale", line: &end},
		},
		alt:      fmt.Sprintf("Expected deflection of the meter for %d spectral lines.", len(f.Rows)),
		axis:     fmt.Sprintf("deflection at a retarding voltage of %.4g V / divisions", f.Retarding),
		headings: []string{"current", "divisions"},
		under:    []plot.Plotter{upright(f.FullScale, end)},
	}
	reach := nowhere().with(0, f.FullScale)
	if f.Readable > 0 {
		t.keys = append(t.keys, key{text: "least that can be read", line: &readable})
		t.under = append(t.under, upright(f.Readable, readable), upright(-f.Readable, readable))
		reach = reach.with(-f.Readable)
	}
	t.under = append(t.under, upright(0, line))
	for _, r := range f.Rows {
		if !finite(r.Current, r.Divisions, r.U) {
			return Picture{}, fmt.Errorf("setting %q: a value is not finite", r.Setting)
		}
		// What goes beyond the scale is an arrow and needs no room.
		if low := r.Divisions - r.U; low < 0 && low > -f.FullScale {
			reach = reach.with(low)
		}
		t.rows = append(t.rows, r.row())
	}
	t.reach = reach.padded(0.04, 1)
	return t.picture(), nil
}

// row returns the row of the table.
func (r DeflectionRow) row() tableRow {
	size := currentUnit(max(r.Current, -r.Current))
	return tableRow{
		name:  lineName(r.Setting, r.Wavelength),
		cells: []string{threeFigures(r.Current/size.size) + " " + size.name, measured(r.Divisions, r.U)},
		draw: func(c draw.Canvas, p *plot.Plot, y vg.Length) {
			signedBar(c, p, y, r.Divisions, r.U, looks(0), "beyond the scale")
		},
	}
}
