package figure

import (
	"fmt"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Budget shows by how much h/e as read by each method moves when an effect in the
// apparatus is removed: a panel to each method, a signed bar to each effect.
type Budget struct {
	// Title stands above the picture; it may be empty.
	Title string
	// Effects name the rows from above; there is at least one.
	Effects []string
	// Methods has at least one entry.
	Methods []BudgetColumn
}

// A BudgetColumn is the budget of one method.
type BudgetColumn struct {
	// Method is the method's name, and Fit says how its line is put; it may be empty.
	Method, Fit string
	// Shifts has one entry for each effect: the change of h/e that removing
	// the effect brings, over the true h/e, as a fraction; NaN where it is not known.
	Shifts []float64
	// Errors are the standard errors of Shifts, NaN or 0 where not known.
	Errors []float64
}

// budgetColumns is the most panels in a row, and linedColumns where their titles
// name the line, too.
const (
	budgetColumns = 4
	linedColumns  = 3
)

// Picture lays the panels out. The error says which method does not fit.
func (f Budget) Picture() (Picture, error) {
	if err := f.check(); err != nil {
		return Picture{}, err
	}
	line := stroke(ink, 1)
	h := head{title: f.Title, keys: []key{
		{text: "move of h/e when the effects are removed", fill: shade},
		{text: "its standard error", line: &line},
	}}
	alt := fmt.Sprintf("Move of h/e when each of %d effects is removed, for each of %d methods.", len(f.Effects), len(f.Methods))
	return h.page(alt, f.lay), nil
}

// lay lays the panels out.
func (f Budget) lay(width vg.Length) (vg.Length, func(draw.Canvas)) {
	g := f.grid(width)
	return vg.Length(g.bands) * g.height, func(c draw.Canvas) {
		for i, m := range f.Methods {
			column, row := i%g.columns, i/g.columns
			left := c.Min.X + g.names + vg.Length(column)*g.width
			top := c.Max.Y - vg.Length(row)*g.height
			title := lettering(labelSize, ink)
			c.DrawGlyphNoClip(lookOf(m.Method, i).mark, vg.Point{X: left + 4, Y: top - 8})
			write(c, fit(m.title(), title, g.width-budgetGap-12), title, vg.Point{X: left + 12, Y: top - 8}, draw.XLeft)
			top -= 18
			place(f.plot(i, column == 0, g.names), c, vg.Rectangle{
				Min: vg.Point{X: left, Y: top - g.panel},
				Max: vg.Point{X: left + g.width - budgetGap, Y: top},
			})
		}
	}
}

// title names the column.
func (m BudgetColumn) title() string {
	if m.Fit == "" {
		return m.Method
	}
	return m.Method + ", " + m.Fit
}

// check says what does not fit.
func (f Budget) check() error {
	if len(f.Effects) == 0 || len(f.Methods) == 0 {
		return fmt.Errorf("budget to draw: %d effects and %d methods; at least one of each is needed", len(f.Effects), len(f.Methods))
	}
	for _, m := range f.Methods {
		if len(m.Shifts) != len(f.Effects) || len(m.Errors) != len(f.Effects) {
			return fmt.Errorf("method %q: %d shifts and %d errors for %d effects; it needs one of each",
				m.Method, len(m.Shifts), len(m.Errors), len(f.Effects))
		}
		for i := range m.Shifts {
			if unbounded(m.Shifts[i], m.Errors[i]) {
				return fmt.Errorf("method %q, effect %q: a value is infinite", m.Method, f.Effects[i])
			}
		}
	}
	return nil
}

// budgetGap is the space between panels in points.
const budgetGap = 20

// A budgetGrid says how large the panels are, in points.
type budgetGrid struct {
	columns, bands              int
	names, width, panel, height vg.Length
}

// grid returns the layout: as many panels in each row of panels as possible,
// the rows being as full as one another; on a small screen each stands alone.
func (f Budget) grid(width vg.Length) budgetGrid {
	n, most := len(f.Methods), budgetColumns
	switch {
	case isNarrow(width):
		most = 1
	case slices.ContainsFunc(f.Methods, func(m BudgetColumn) bool { return m.Fit != "" }):
		most = linedColumns
	}
	g := budgetGrid{bands: (n + most - 1) / most}
	g.columns = (n + g.bands - 1) / g.bands
	for _, e := range f.Effects {
		g.names = max(g.names, min(widthOf(e, lettering(tickSize, ink)), 156))
	}
	g.names += 10
	g.width = (width - g.names) / vg.Length(g.columns)
	g.panel = 15 * vg.Length(len(f.Effects))
	g.height = 18 + g.panel + 42
	return g
}

// reach returns the range of shifts in per cent that all panels share.
func (f Budget) reach() extent {
	var bars []extent
	for _, m := range f.Methods {
		for i, s := range m.Shifts {
			if finite(s) {
				u := known(m.Errors[i])
				bars = append(bars, extent{100 * (s - u), 100 * (s + u)})
			}
		}
	}
	return reachOf(bars)
}

// plot returns the panel of method i.
func (f Budget) plot(i int, named bool, names vg.Length) *plot.Plot {
	n := len(f.Effects)
	p := newPlot(f.reach(), extent{-0.5, float64(n) - 0.5})
	p.X.Label.Text = "move of h/e / %"
	p.Y.Tick.Length = 0
	var marks plot.ConstantTicks
	l := lookOf(f.Methods[i].Method, i)
	for k, effect := range f.Effects {
		row := float64(n - 1 - k)
		if named {
			marks = append(marks, plot.Tick{Value: row, Label: fit(effect, p.Y.Tick.Label, names)})
		}
		p.Add(across(row, stroke(wash, 0.8)))
	}
	p.Y.Tick.Marker = marks
	p.Add(upright(0, stroke(ink, 1)))
	for k, s := range f.Methods[i].Shifts {
		p.Add(painter(func(c draw.Canvas, p *plot.Plot) {
			y := c.Y(p.Y.Norm(float64(n - 1 - k)))
			if !finite(s) {
				note(c, "not known", vg.Point{X: c.Center().X, Y: y}, draw.XCenter)
				return
			}
			signedBar(c, p, y, 100*s, 100*known(f.Methods[i].Errors[k]), l, number(100*s, 0)+" %")
		}))
	}
	return p
}

// signedBar draws a bar from zero to a value with its error, or an arrow with
// a remark where the value is beyond the plot.
func signedBar(c draw.Canvas, p *plot.Plot, y vg.Length, value, u float64, l look, beyond string) {
	x := func(v float64) vg.Length { return c.X(p.X.Norm(v)) }
	n := p.X.Norm(value)
	// The arrow stands at the edge, and the bar ends before it.
	a, b := x(0), min(max(x(value), c.Min.X+10), c.Max.X-10)
	if n >= 0 && n <= 1 {
		b = x(value)
	}
	area := vg.Rectangle{Min: vg.Point{X: min(a, b), Y: y - 4.5}, Max: vg.Point{X: max(a, b), Y: y + 4.5}}
	c.SetColor(paler(l.mark.Color))
	c.Fill(area.Path())
	c.SetLineStyle(stroke(l.mark.Color, 0.8))
	c.Stroke(area.Path())
	if n < 0 || n > 1 {
		pointer(c, n > 1, y, beyond, l)
		return
	}
	if u > 0 {
		whisker(c, stroke(ink, 1), vg.Point{X: x(value - u), Y: y}, vg.Point{X: x(value + u), Y: y}, 2.5)
	}
}
