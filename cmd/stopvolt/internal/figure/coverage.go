package figure

import (
	"fmt"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Coverage shows how often the stated interval of each method holds the true
// h/e, beside the share that the interval claims.
type Coverage struct {
	// Title stands above the picture; it may be empty.
	Title string
	// Nominal is the share that the intervals claim, such as 0.95, between
	// zero and one.
	Nominal float64
	// Rows are drawn from above in this order; there is at least one.
	Rows []CoverageRow
}

// A CoverageRow is the coverage of one method in a study. Shares are fractions
// of one; NaN stands for what is not known.
type CoverageRow struct {
	// Method is the method's name.
	Method string
	// Coverage is the share of the replicates with an answer whose interval
	// holds the truth, and Error its Monte Carlo standard error.
	Coverage, Error float64
	// Eliminated is the same for intervals shifted by the method's bias, which
	// tells a wrong uncertainty from a wrong value; EliminatedError is its
	// Monte Carlo standard error.
	Eliminated, EliminatedError float64
	// Failed counts the replicates without an answer out of Replicates.
	Failed, Replicates int
}

// Picture lays the rows out. The error says which row does not fit.
func (f Coverage) Picture() (Picture, error) {
	if len(f.Rows) == 0 {
		return Picture{}, fmt.Errorf("coverages to draw: none; at least one method is needed")
	}
	if !(f.Nominal > 0 && f.Nominal < 1) {
		return Picture{}, fmt.Errorf("nominal coverage %g; it must lie between 0 and 1", f.Nominal)
	}
	t := rowTable{
		title: f.Title, keys: f.keys(),
		alt:  fmt.Sprintf("Coverage of the stated intervals of %d methods beside the nominal %s per cent.", len(f.Rows), f.nominal()),
		axis: "coverage / %", headings: []string{"coverage / %", "bias taken off / %", "no answer"},
		under: []plot.Plotter{upright(100*f.Nominal, truthLine())},
	}
	low := 100 * f.Nominal
	for i, r := range f.Rows {
		for _, share := range []float64{r.Coverage, r.Eliminated} {
			if share < 0 || share > 1 {
				return Picture{}, fmt.Errorf("method %q: coverage %g; it must lie between 0 and 1", r.Method, share)
			}
		}
		for _, bar := range r.bars() {
			low = math.Min(low, 100*(bar.value-bar.u))
		}
		t.rows = append(t.rows, r.row(lookOf(r.Method, i)))
	}
	t.reach = extent{math.Max(low-0.06*(100-low), -2), 101}
	return t.picture(), nil
}

// nominal writes the claimed share in per cent.
func (f Coverage) nominal() string {
	return fmt.Sprintf("%.4g", 100*f.Nominal)
}

// keys explain the marks.
func (f Coverage) keys() []key {
	filled, open := shareMarks(looks(0))
	filled.Color, open.Color = shade, shade
	line, bar := truthLine(), stroke(shade, 1)
	return []key{
		{text: "coverage", mark: &filled, line: &bar},
		{text: "with the bias taken off", mark: &open, line: &bar},
		{text: fmt.Sprintf("claimed, %s %%", f.nominal()), line: &line},
		{text: "bars: Monte Carlo standard error"},
	}
}

// shareMarks returns the marks of the coverage as it is and with the bias
// taken off.
func shareMarks(l look) (filled, open draw.GlyphStyle) {
	filled = draw.GlyphStyle{Color: l.mark.Color, Radius: 3.2, Shape: shape{}}
	open = draw.GlyphStyle{Color: l.mark.Color, Radius: 3, Shape: shape{corners: ring(4, 0, 1.3), open: true}}
	return filled, open
}

// A bar is a value with a standard uncertainty, 0 where that is not known.
type bar struct{ value, u float64 }

// bars returns what is known of the row, as shares.
func (r CoverageRow) bars() []bar {
	var bars []bar
	if finite(r.Coverage) {
		bars = append(bars, bar{value: r.Coverage, u: known(r.Error)})
	}
	if finite(r.Eliminated) {
		bars = append(bars, bar{value: r.Eliminated, u: known(r.EliminatedError)})
	}
	return bars
}

// row returns the row of the table.
func (r CoverageRow) row(l look) tableRow {
	share := func(v, u float64) string {
		if !finite(v) {
			return "–"
		}
		if u > 0 {
			return number(100*v, 1) + " ± " + number(100*u, 1)
		}
		return number(100*v, 1)
	}
	row := tableRow{name: r.Method, cells: []string{
		share(r.Coverage, r.Error), share(r.Eliminated, r.EliminatedError), failures(r.Failed, r.Replicates)}}
	row.draw = func(c draw.Canvas, p *plot.Plot, y vg.Length) {
		if len(r.bars()) == 0 {
			note(c, "no answer in any replicate", vg.Point{X: c.Center().X, Y: y}, draw.XCenter)
			return
		}
		filled, open := shareMarks(l)
		if finite(r.Eliminated) {
			level(c, p, y-2, 100*r.Eliminated, 100*known(r.EliminatedError), open, l.bar)
		}
		if finite(r.Coverage) {
			level(c, p, y+2, 100*r.Coverage, 100*known(r.Error), filled, l.bar)
		}
	}
	return row
}

// level draws a mark with a level error bar at a height.
func level(c draw.Canvas, p *plot.Plot, y vg.Length, value, u float64, mark draw.GlyphStyle, line draw.LineStyle) {
	x := func(v float64) vg.Length { return c.X(p.X.Norm(v)) }
	if u > 0 {
		whisker(c, line, vg.Point{X: x(value - u), Y: y}, vg.Point{X: x(value + u), Y: y}, 2.5)
	}
	c.DrawGlyph(mark, vg.Point{X: x(value), Y: y})
}

// failures writes how many replicates had no answer.
func failures(failed, replicates int) string {
	if replicates == 0 {
		return "–"
	}
	return fmt.Sprintf("%d of %d", failed, replicates)
}
