// Package figure draws the pictures of the project, all in one style: marks
// and dashes differ and not only hue, so that a picture can be projected,
// printed, copied in grey and read by colour-blind eyes; every axis states its
// quantity and unit; every value stands with its uncertainty.
//
// Each picture is a struct of plain data, whose Picture method checks the data
// and lays them out. To add a picture, add a file with such a struct, and an
// Example of it whose picture is the golden image of its test.
package figure

import (
	"bytes"
	"fmt"
	"html"
	"html/template"
	"image/color"
	"io"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"
)

// The formats that Save writes.
const (
	SVG = "svg"
	PNG = "png"
)

// A Picture is a laid-out figure, ready to be written in any format.
type Picture struct {
	// Alt says in a sentence what is to be seen, for those who cannot see it.
	Alt string

	width, height vg.Length
	draw          func(draw.Canvas)
	// narrow lays it out for a small screen; nil for a picture of one layout.
	narrow func() Picture
}

// Narrow returns the picture laid out for a screen of some 390 pixels; ok is false
// where it has one layout only.
func (p Picture) Narrow() (narrow Picture, ok bool) {
	if p.narrow == nil {
		return Picture{}, false
	}
	narrow = p.narrow()
	narrow.Alt = p.Alt
	return narrow, true
}

// Size returns the width and height in points, of which an inch has 72.
func (p Picture) Size() (width, height float64) {
	return p.width.Points(), p.height.Points()
}

// Save writes the picture as SVG or PNG. Equal pictures give equal bytes.
func (p Picture) Save(w io.Writer, format string) error {
	var b []byte
	var err error
	switch format {
	case SVG:
		b, err = p.svg()
	case PNG:
		b, err = p.png()
	default:
		return fmt.Errorf("figure format %q is not known: use %s or %s", format, SVG, PNG)
	}
	if err != nil {
		return err
	}
	_, err = w.Write(b)
	return err
}

// paint draws the picture on a white ground.
func (p Picture) paint(c vg.CanvasSizer) {
	dc := draw.New(c)
	dc.SetColor(color.White)
	dc.Fill(dc.Path())
	p.draw(dc)
}

// svgFont stands for the typeface in an SVG file. The other families have
// letters of the same widths, so labels keep their places where the first is
// missing.
const svgFont = "font-family:'Liberation Sans',Arimo,Arial,Helvetica,sans-serif;"

// svg returns the picture as SVG with its description as the title.
func (p Picture) svg() ([]byte, error) {
	c := vgsvg.New(p.width, p.height)
	p.paint(c)
	var b bytes.Buffer
	if _, err := c.WriteTo(&b); err != nil {
		return nil, err
	}
	out := bytes.ReplaceAll(b.Bytes(), []byte("font-family:Liberation Sans;"), []byte(svgFont))
	open := []byte(`xmlns:xlink="http://www.w3.org/1999/xlink">`)
	title := append([]byte(`role="img" `), open...)
	title = append(title, "\n<title>"+html.EscapeString(p.Alt)+"</title>"...)
	return bytes.Replace(out, open, title, 1), nil
}

// Element returns the picture as an element of HTML, in which all text is escaped.
func (p Picture) Element() (template.HTML, error) {
	b, err := p.svg()
	at := bytes.Index(b, []byte("<svg"))
	if err == nil && at < 0 {
		err = fmt.Errorf("the picture %q has no svg element", p.Alt)
	}
	if err != nil {
		return "", err
	}
	return template.HTML(b[at:]), nil
}

// resolution of PNG pictures in dots per inch.
const resolution = 150

// png returns the picture as PNG.
func (p Picture) png() ([]byte, error) {
	c := vgimg.NewWith(vgimg.UseWH(p.width, p.height), vgimg.UseDPI(resolution))
	p.paint(c)
	var b bytes.Buffer
	_, err := vgimg.PngCanvas{Canvas: c}.WriteTo(&b)
	return b.Bytes(), err
}
