package figure

import (
	"cmp"
	"math"
	"slices"

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
	return head{title: t.title, keys: t.keys}.page(t.alt, t.lay)
}

// lay lays the rows out, with names and numbers beside them, or on a small screen above
// them.
func (t rowTable) lay(width vg.Length) (vg.Length, func(draw.Canvas)) {
	if isNarrow(width) {
		return t.layNarrow(width)
	}
	panel := rowHeight * vg.Length(len(t.rows))
	const headings = keyHeight
	return headings + panel + 40, func(c draw.Canvas) {
		names, columns := t.nameWidth(), t.columnWidths()
		area := vg.Rectangle{
			Min: vg.Point{X: c.Min.X + names + 6, Y: c.Max.Y - headings - 4 - panel},
			Max: vg.Point{X: c.Max.X - 2, Y: c.Max.Y - headings - 4},
		}
		for _, w := range columns {
			area.Max.X -= w + columnSpace
		}
		place(t.plot(names), c, area)
		t.write(c, area, columns)
	}
}

// lineSpace is the distance of lines of words in points.
const lineSpace = 12.5

// layNarrow gives each row its name and its numbers above its bar.
func (t rowTable) layNarrow(width vg.Length) (vg.Length, func(draw.Canvas)) {
	const side = 8
	name := lettering(labelSize, ink)
	lines := make([][]string, len(t.rows))
	var body vg.Length
	heights := make([]vg.Length, len(t.rows))
	for i, r := range t.rows {
		lines[i] = t.told(r, width)
		heights[i] = lineSpace*vg.Length(1+len(lines[i])) + rowHeight + 4
		body += heights[i]
	}
	return body + 40, func(c draw.Canvas) {
		p := newPlot(t.reach, extent{0, float64(body)})
		p.X.Label.Text = fit(t.axis, p.X.Label.TextStyle, width)
		p.Y.Tick.Length, p.Y.Tick.Marker = 0, plot.ConstantTicks(nil)
		p.Add(t.under...)
		p.Add(painter(func(c draw.Canvas, p *plot.Plot) {
			top := c.Max.Y
			for i, r := range t.rows {
				noteIn(c, fit(r.name, name, width-side), name, vg.Point{X: c.Min.X, Y: top - lineSpace/2}, draw.XLeft)
				for k, line := range lines[i] {
					note(c, line, vg.Point{X: c.Min.X, Y: top - lineSpace*(vg.Length(k)+1.5)}, draw.XLeft)
				}
				top -= heights[i]
				y := top + rowHeight/2 + 2
				c.StrokeLine2(stroke(wash, 0.8), c.Min.X, y, c.Max.X, y)
				r.draw(c, p, y)
			}
		}))
		place(p, c, vg.Rectangle{Min: vg.Point{X: c.Min.X + side, Y: c.Max.Y - body}, Max: vg.Point{X: c.Max.X - side, Y: c.Max.Y}})
	}
}

// told writes the numbers of a row in lines of a width, each with its heading.
func (t rowTable) told(r tableRow, width vg.Length) []string {
	var parts []string
	for k, h := range t.headings {
		switch {
		case r.cells[k] == "":
		case h == "":
			parts = append(parts, r.cells[k])
		default:
			parts = append(parts, h+": "+r.cells[k])
		}
	}
	style := lettering(tickSize, shade)
	var lines []string
	for _, part := range parts {
		if last := len(lines) - 1; last >= 0 && widthOf(lines[last]+"; "+part, style) <= width {
			lines[last] += "; " + part
			continue
		}
		lines = append(lines, fit(part, style, width))
	}
	return lines
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
		widths[k] = widthOf(h, lettering(tickSize, shade))
		for _, r := range t.rows {
			widths[k] = max(widths[k], widthOf(r.cells[k], lettering(tickSize, ink)))
		}
	}
	return widths
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
		write(c, h, lettering(tickSize, shade), vg.Point{X: right, Y: area.Max.Y + 2 + keyHeight*0.5}, draw.XRight)
		for i, r := range t.rows {
			y := area.Max.Y - rowHeight*(vg.Length(i)+0.5)
			write(c, r.cells[k], lettering(tickSize, ink), vg.Point{X: right, Y: y}, draw.XRight)
		}
	}
}

// reachOf returns a range that holds zero and the bars given, except for the
// longest of them as long as one is far longer than the next, up to a third of
// all: such a bar becomes an arrow, so that the others can still be read.
func reachOf(bars []extent) extent {
	const far = 4
	length := func(b extent) float64 { return math.Max(math.Abs(b.low), math.Abs(b.high)) }
	sorted := slices.Clone(bars)
	slices.SortFunc(sorted, func(a, b extent) int { return cmp.Compare(length(a), length(b)) })
	n := len(sorted)
	for n > 1 && n > len(bars)-len(bars)/3 && length(sorted[n-1]) > far*length(sorted[n-2]) {
		n--
	}
	all := nowhere().with(0)
	for _, b := range sorted[:n] {
		all = all.with(b.low, b.high)
	}
	return all.padded(0.06, 1)
}
