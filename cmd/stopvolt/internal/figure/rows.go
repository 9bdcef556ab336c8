package figure

import (
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// A rowTable is a picture of named rows over one horizontal axis, with the
// numbers written beside.
type rowTable struct {
	title, alt string
	keys       []key
	// axis names the horizontal axis, and reach is its range.
	axis  string
	reach extent
	// under is drawn beneath the rows.
	under []plot.Plotter
	// headings stand over the columns of numbers to the right.
	headings []string
	rows     []tableRow
}

// A tableRow is one row of a table.
type tableRow struct {
	name string
	// draw draws the row at a height in points.
	draw func(c draw.Canvas, p *plot.Plot, y vg.Length)
	// cells has one entry for each heading.
	cells []string
}

// rowHeight is the height of a row in points.
const rowHeight = 19

// picture lays the table out.
func (t rowTable) picture() Picture {
	const width = pageWidth - 2*pageMargin
	head := head{title: t.title, keys: t.keys}
	panel := rowHeight * vg.Length(len(t.rows))
	top := head.height(width) + vg.Length(t.headingLines())*keyHeight + 4
	return Picture{
		Alt: t.alt, width: pageWidth, height: 2*pageMargin + top + panel + 36,
		draw: func(c draw.Canvas) {
			c = draw.Crop(c, pageMargin, -pageMargin, pageMargin, -pageMargin)
			head.draw(c)
			names, columns := t.nameWidth(), t.columnWidths()
			area := vg.Rectangle{
				Min: vg.Point{X: c.Min.X + names + 6, Y: c.Max.Y - top - panel},
				Max: vg.Point{X: c.Max.X - 2, Y: c.Max.Y - top},
			}
			for _, w := range columns {
				area.Max.X -= w + columnSpace
			}
			place(t.plot(names), c, area)
			t.write(c, area, columns)
		},
	}
}

// columnSpace is the space before a column of numbers in points.
const columnSpace = 14

// nameWidth returns the room for the names, at most a third of the page.
func (t rowTable) nameWidth() vg.Length {
	var w vg.Length
	for _, r := range t.rows {
		w = max(w, widthOf(r.name, lettering(labelSize, ink)))
	}
	return min(w, pageWidth/3)
}

// columnWidths returns the widths of the columns of numbers.
func (t rowTable) columnWidths() []vg.Length {
	widths := make([]vg.Length, len(t.headings))
	for k, h := range t.headings {
		for _, line := range splitLines(h) {
			widths[k] = max(widths[k], widthOf(line, lettering(tickSize, shade)))
		}
		for _, r := range t.rows {
			widths[k] = max(widths[k], widthOf(r.cells[k], lettering(tickSize, ink)))
		}
	}
	return widths
}

// headingLines returns the number of lines of the tallest heading.
func (t rowTable) headingLines() int {
	n := 0
	for _, h := range t.headings {
		n = max(n, len(splitLines(h)))
	}
	return n
}

// plot returns the plot of the rows.
func (t rowTable) plot(names vg.Length) *plot.Plot {
	n := len(t.rows)
	p := newPlot(t.reach, extent{-0.5, float64(n) - 0.5})
	p.X.Label.Text = t.axis
	p.Y.Tick.Length = 0
	p.Y.Tick.Label.Font = sans(labelSize)
	var marks plot.ConstantTicks
	for i, r := range t.rows {
		y := float64(n - 1 - i)
		marks = append(marks, plot.Tick{Value: y, Label: fit(r.name, p.Y.Tick.Label, names)})
		p.Add(across(y, stroke(wash, 0.8)))
	}
	p.Y.Tick.Marker = marks
	p.Add(t.under...)
	for i, r := range t.rows {
		p.Add(painter(func(c draw.Canvas, p *plot.Plot) {
			r.draw(c, p, c.Y(p.Y.Norm(float64(n-1-i))))
		}))
	}
	return p
}

// write writes the columns of numbers right of an area, flush right.
func (t rowTable) write(c draw.Canvas, area vg.Rectangle, widths []vg.Length) {
	right := area.Max.X
	for k, h := range t.headings {
		right += columnSpace + widths[k]
		lines := splitLines(h)
		for i, line := range lines {
			y := area.Max.Y + 2 + keyHeight*(vg.Length(len(lines)-i)-0.5)
			write(c, line, lettering(tickSize, shade), vg.Point{X: right, Y: y}, draw.XRight)
		}
		for i, r := range t.rows {
			y := area.Max.Y - rowHeight*(vg.Length(i)+0.5)
			write(c, r.cells[k], lettering(tickSize, ink), vg.Point{X: right, Y: y}, draw.XRight)
		}
	}
}

// splitLines breaks a heading where it says so.
func splitLines(s string) []string { return strings.Split(s, "\n") }

// reachOf returns a range that holds zero and the bars given, except for bars
// that reach more than far times further from zero than the middle one does:
// such a row becomes an arrow, so that the others can still be read.
func reachOf(bars []extent) extent {
	const far = 5
	var lengths []float64
	for _, b := range bars {
		lengths = append(lengths, math.Max(math.Abs(b.low), math.Abs(b.high)))
	}
	all := nowhere().with(0)
	if len(bars) == 0 {
		return all.padded(0.06, 1)
	}
	sorted := slices.Sorted(slices.Values(lengths))
	middle := sorted[(len(sorted)-1)/2]
	for i, b := range bars {
		if lengths[i] <= far*middle || middle == 0 {
			all = all.with(b.low, b.high)
		}
	}
	return all.padded(0.06, 1)
}
