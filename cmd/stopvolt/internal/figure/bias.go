package figure

import (
	"fmt"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Bias shows how far each method puts h/e from the truth: the bias with its
// Monte Carlo standard error as a thick bar, and the spread from one
// experiment to the next as a thin one.
type Bias struct {
	// Title stands above the picture; it may be empty.
	Title string
	// Rows are drawn from above in this order; there is at least one.
	Rows []BiasRow
}

// A BiasRow is the result of one method in a study.
type BiasRow struct {
	// Method is the method's name.
	Method string
	// Bias is the mean deviation of h/e over the true h/e, BiasError its Monte
	// Carlo standard error, and Spread the empirical standard error of h/e
	// over the true one: fractions, so that 0.01 is one per cent. Bias is NaN
	// where the method has no answer, and an error that is not known is NaN.
	Bias, BiasError, Spread float64
	// Failed counts the replicates without an answer out of Replicates.
	Failed, Replicates int
}

// Picture lays the rows out. The error says which row does not fit.
func (f Bias) Picture() (Picture, error) {
	if len(f.Rows) == 0 {
		return Picture{}, fmt.Errorf("biases to draw: none; at least one method is needed")
	}
	t := rowTable{
		title: f.Title, keys: append(biasKeys(), methodKeys()...),
		alt:  fmt.Sprintf("Mean relative error of h/e of %d methods with its Monte Carlo standard error and the spread.", len(f.Rows)),
		axis: "mean relative error of h/e / %", headings: []string{"mean / %", "spread / %", "no answer"},
		under: []plot.Plotter{upright(0, stroke(ink, 1))},
	}
	var bars []extent
	for i, r := range f.Rows {
		if unbounded(r.Bias, r.BiasError, r.Spread) {
			return Picture{}, fmt.Errorf("method %q: a value is infinite", r.Method)
		}
		if r.answered() {
			reach := 100 * math.Max(known(r.Spread), known(r.BiasError))
			bars = append(bars, extent{100*r.Bias - reach, 100*r.Bias + reach})
		}
		t.rows = append(t.rows, r.row(lookOf(r.Method, i), biasDecimals(f.Rows)))
	}
	t.reach = reachOf(bars)
	return t.picture(), nil
}

// answered says whether the method has a bias to show.
func (r BiasRow) answered() bool {
	return finite(r.Bias) && (r.Replicates == 0 || r.Failed < r.Replicates)
}

// known returns a standard error, and 0 where it is not known.
func known(u float64) float64 {
	if u > 0 {
		return u
	}
	return 0
}

// biasKeys explain the two bars.
func biasKeys() []key {
	spread := stroke(shade, 1)
	return []key{
		{text: "mean error (bias), with its Monte Carlo standard error", fill: paler(shade)},
		{text: "spread of single experiments (empirical standard error)", line: &spread},
	}
}

// biasDecimals returns the decimals that show the smallest error of any row in
// per cent.
func biasDecimals(rows []BiasRow) int {
	least := math.Inf(1)
	for _, r := range rows {
		if r.BiasError > 0 {
			least = math.Min(least, 100*r.BiasError)
		}
	}
	return max(decimalsFor(least)-1, 1)
}

// row returns the row of the table.
func (r BiasRow) row(l look, decimals int) tableRow {
	row := tableRow{name: r.Method, cells: []string{"–", "–", failures(r.Failed, r.Replicates)}}
	if !r.answered() {
		row.draw = func(c draw.Canvas, p *plot.Plot, y vg.Length) {
			note(c, "no answer in any replicate", vg.Point{X: c.Center().X, Y: y}, draw.XCenter)
		}
		return row
	}
	// A row of a much larger error is not written to more than two figures of
	// it.
	decimals = min(decimals, decimalsFor(100*r.BiasError))
	row.cells[0] = number(100*r.Bias, decimals)
	if r.BiasError > 0 {
		row.cells[0] += " ± " + number(100*r.BiasError, decimals)
	}
	if r.Spread > 0 {
		row.cells[1] = number(100*r.Spread, min(1, decimals))
	}
	row.draw = func(c draw.Canvas, p *plot.Plot, y vg.Length) {
		twoBars(c, p, y, 100*r.Bias, known(100*r.BiasError), known(100*r.Spread), l)
	}
	return row
}

// twoBars draws a value as its mark on a box as wide as the inner error to each
// side, with a thin bar for the outer; a value beyond the plot is an arrow.
func twoBars(c draw.Canvas, p *plot.Plot, y vg.Length, value, inner, outer float64, l look) {
	x := func(v float64) vg.Length { return c.X(p.X.Norm(v)) }
	if n := p.X.Norm(value); n < 0 || n > 1 {
		pointer(c, n > 1, y, number(value, 0)+" %", l)
		return
	}
	if outer > 0 {
		whisker(c, l.bar, vg.Point{X: x(value - outer), Y: y}, vg.Point{X: x(value + outer), Y: y}, 3)
	}
	box := vg.Rectangle{
		Min: vg.Point{X: max(x(value-inner), c.Min.X), Y: y - 5},
		Max: vg.Point{X: min(x(value+inner), c.Max.X), Y: y + 5},
	}
	c.SetColor(paler(l.mark.Color))
	c.Fill(box.Path())
	c.SetLineStyle(stroke(l.mark.Color, 1))
	c.Stroke(box.Path())
	c.DrawGlyph(l.mark, vg.Point{X: x(value), Y: y})
}
