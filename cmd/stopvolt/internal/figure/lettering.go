package figure

import (
	"image/color"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// sans is the typeface at a size in points. There is one face only, so that it
// is the same in every format.
func sans(size vg.Length) font.Font {
	return font.Font{Typeface: "Liberation", Variant: "Sans", Size: size}
}

// lettering returns the style of text at a size in points.
func lettering(size vg.Length, c color.Color) text.Style {
	return text.Style{Color: c, Font: sans(size), Handler: plot.DefaultTextHandler}
}

// face returns the typeface of a style.
func face(style text.Style) font.Face {
	return style.Handler.Cache().Lookup(style.Font, style.Font.Size)
}

// raised is the size of an exponent over that of its text, and by how much of
// the text's size it is raised.
const (
	raised   = 0.72
	raisedBy = 0.36
)

// A piece is a part of a line of text in one size.
type piece struct {
	text string
	// exponent says that it is small and raised.
	exponent bool
}

// pieces splits a line at its exponents, which are written as in "10^{15}".
func pieces(s string) []piece {
	var out []piece
	for {
		before, rest, found := strings.Cut(s, "^{")
		inside, after, closed := strings.Cut(rest, "}")
		if !found || !closed {
			return append(out, piece{text: s})
		}
		out = append(out, piece{text: before}, piece{text: inside, exponent: true})
		s = after
	}
}

// style returns the style of a piece within text of a style.
func (p piece) style(style text.Style) text.Style {
	if p.exponent {
		style.Font.Size *= raised
	}
	return style
}

// widthOf returns the width of a line with its exponents.
func widthOf(s string, style text.Style) vg.Length {
	var w vg.Length
	for _, p := range pieces(s) {
		w += p.style(style).Width(p.text)
	}
	return w
}

// write draws one line of text, with its exponents, at a point: by its left
// end or as said, with the middle of its small letters there.
func write(c draw.Canvas, s string, style text.Style, at vg.Point, align draw.XAlignment) {
	at.X += vg.Length(align) * widthOf(s, style)
	at.Y -= style.Font.Size * 0.26
	for _, p := range pieces(s) {
		if p.text == "" {
			continue
		}
		own, base := p.style(style), at
		if p.exponent {
			base.Y += style.Font.Size * raisedBy
		}
		// An SVG viewer drops spaces at the beginning.
		seen := strings.TrimLeft(p.text, " ")
		base.X += own.Width(p.text) - own.Width(seen)
		c.SetColor(own.Color)
		c.FillString(face(own), base, seen)
		at.X += own.Width(p.text)
	}
}

// fit returns the text, cut and ended by dots where it is wider than a length.
func fit(s string, style text.Style, width vg.Length) string {
	if widthOf(s, style) <= width {
		return s
	}
	runes := []rune(s)
	for n := len(runes) - 1; n > 0; n-- {
		short := strings.TrimRight(string(runes[:n]), " ,-") + "…"
		if widthOf(short, style) <= width {
			return short
		}
	}
	return "…"
}

// wrap breaks text into lines no wider than a length; a longer word is cut.
func wrap(s string, style text.Style, width vg.Length) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(s) {
		word = fit(word, style, width)
		longer := strings.TrimSpace(line + " " + word)
		if line != "" && widthOf(longer, style) > width {
			lines = append(lines, line)
			longer = word
		}
		line = longer
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}
