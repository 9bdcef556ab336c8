package figure

import (
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Lengths of the style in points. A picture is as wide as the text of an A4
// page with narrow margins, and its smallest letters are 1/65 of that.
const (
	pageWidth  = 624
	pageMargin = 10
	tickSize   = 9.5
	labelSize  = 10.5
	titleSize  = 12
	tickLength = 4
	gap        = 14
)

// grey shades, from the darkest, for what is not a series.
var (
	ink    = color.RGBA{R: 0x22, G: 0x22, B: 0x2a, A: 0xff}
	shade  = color.RGBA{R: 0x6e, G: 0x6e, B: 0x78, A: 0xff}
	faint  = color.RGBA{R: 0xb4, G: 0xb4, B: 0xbc, A: 0xff}
	haze   = color.RGBA{R: 0xc4, G: 0xd0, B: 0xea, A: 0xff}
	wash   = color.RGBA{R: 0xe4, G: 0xe4, B: 0xea, A: 0xff}
	ground = color.RGBA{R: 0xff, G: 0xff, B: 0xff, A: 0xff}
)

// hues are the inks of series. They are ordered so that neighbours differ in
// lightness too, which the grey copy and the colour-blind eye need; the test
// says by how much.
var hues = [...]color.RGBA{
	{R: 0x1d, G: 0x3f, B: 0x8a, A: 0xff}, // deep blue
	{R: 0xd9, G: 0x6b, B: 0x1e, A: 0xff}, // orange
	{R: 0x8c, G: 0x1c, B: 0x4a, A: 0xff}, // wine
	{R: 0xb9, G: 0x8f, B: 0xd9, A: 0xff}, // lilac
	{R: 0x14, G: 0x6e, B: 0x5c, A: 0xff}, // bottle green
}

// dashes are the patterns of the series' lines in points. None is a row of
// plain short dashes, which stand for the truth.
var dashes = [...][]vg.Length{
	nil,
	{2, 2.5},
	{9, 3, 2, 3},
	{2, 2, 2, 6},
	{9, 2.5, 2, 2.5, 2, 2.5},
	{16, 3},
	{5, 1.5, 1.5, 1.5},
}

// stroke returns a line of a width in points.
func stroke(c color.Color, width vg.Length, dash ...vg.Length) draw.LineStyle {
	return draw.LineStyle{Color: c, Width: width, Dashes: dash}
}

// truthLine is the style of what is known to be true.
func truthLine() draw.LineStyle { return stroke(ink, 1.2, 5, 3) }

// A look is the appearance of the i-th of several series: a mark, an ink and a
// dash, no two of which agree in their marks below thirteen.
type look struct {
	mark draw.GlyphStyle
	line draw.LineStyle
	bar  draw.LineStyle
}

// looks returns the look of series i, counted from zero.
func looks(i int) look {
	hue := hues[i%len(hues)]
	return look{
		mark: draw.GlyphStyle{Color: hue, Radius: 3.2, Shape: marks[i%len(marks)]},
		line: draw.LineStyle{Color: hue, Width: 1.3, Dashes: dashes[i%len(dashes)]},
		bar:  draw.LineStyle{Color: hue, Width: 1},
	}
}

// A shape is a mark made of straight strokes around a point, or a circle where
// it has no corners.
type shape struct {
	// corners are x and y in units of the radius.
	corners [][2]float64
	// open marks have white inside; spokes are strokes through the centre
	// to each corner.
	open, spokes bool
}

// marks in the order of use; filled and open ones of one form are far apart.
var marks = [...]shape{
	{},
	{corners: ring(4, math.Pi/4, 1.15), open: true},
	{corners: ring(3, math.Pi/2, 1.3)},
	{corners: ring(4, 0, 1.3), open: true},
	{corners: ring(3, -math.Pi/2, 1.3)},
	{corners: ring(4, math.Pi/4, 1.3), spokes: true},
	{corners: ring(4, math.Pi/4, 1.15)},
	{open: true},
	{corners: ring(3, -math.Pi/2, 1.3), open: true},
	{corners: ring(4, 0, 1.3)},
	{corners: ring(3, math.Pi/2, 1.3), open: true},
	{corners: ring(4, 0, 1.3), spokes: true},
	{corners: ring(6, math.Pi/2, 1.3), spokes: true},
}

// ring returns n corners at equal angles, the first at an angle in rad.
func ring(n int, first, radius float64) [][2]float64 {
	corners := make([][2]float64, n)
	for i := range corners {
		sin, cos := math.Sincos(first + 2*math.Pi*float64(i)/float64(n))
		corners[i] = [2]float64{radius * cos, radius * sin}
	}
	return corners
}

// DrawGlyph draws the mark.
func (s shape) DrawGlyph(c *draw.Canvas, style draw.GlyphStyle, at vg.Point) {
	outline := s.outline(at, style.Radius)
	width := max(style.Radius*0.38, 0.5)
	if s.spokes {
		c.SetLineStyle(draw.LineStyle{Color: style.Color, Width: width})
		for _, comp := range outline[:len(outline)-1] {
			c.Stroke(vg.Path{{Type: vg.MoveComp, Pos: at}, {Type: vg.LineComp, Pos: comp.Pos}})
		}
		return
	}
	if !s.open {
		c.SetColor(style.Color)
		c.Fill(outline)
		return
	}
	c.SetColor(ground)
	c.Fill(outline)
	c.SetLineStyle(draw.LineStyle{Color: style.Color, Width: width})
	c.Stroke(outline)
}

// outline returns the closed path of the mark around a point.
func (s shape) outline(at vg.Point, radius vg.Length) vg.Path {
	var p vg.Path
	if len(s.corners) == 0 {
		return circle(at, radius)
	}
	for i, c := range s.corners {
		pt := vg.Point{X: at.X + vg.Length(c[0])*radius, Y: at.Y + vg.Length(c[1])*radius}
		if i == 0 {
			p.Move(pt)
		} else {
			p.Line(pt)
		}
	}
	p.Close()
	return p
}

// circle returns a circle of four cubic curves, for which the control points
// lie at 0.5523 of the radius.
func circle(at vg.Point, r vg.Length) vg.Path {
	const k = 0.5522847498
	on := func(x, y vg.Length) vg.Point { return vg.Point{X: at.X + x*r, Y: at.Y + y*r} }
	var p vg.Path
	p.Move(on(1, 0))
	p.CubeTo(on(1, k), on(k, 1), on(0, 1))
	p.CubeTo(on(-k, 1), on(-1, k), on(-1, 0))
	p.CubeTo(on(-1, -k), on(-k, -1), on(0, -1))
	p.CubeTo(on(k, -1), on(1, -k), on(1, 0))
	p.Close()
	return p
}

// paler returns a colour mixed with as much white, on which a dark error bar
// can be seen.
func paler(c color.Color) color.RGBA {
	r, g, b, _ := c.RGBA()
	half := func(v uint32) uint8 { return uint8((v>>8 + 0xff) / 2) }
	return color.RGBA{R: half(r), G: half(g), B: half(b), A: 0xff}
}
