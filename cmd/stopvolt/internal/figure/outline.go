package figure

import (
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// An outliner draws text on a canvas as the outlines of its letters. The text
// of a PDF canvas knows the 256 letters of Windows-1252 only, which has
// neither a minus sign nor the Greek letters.
type outliner struct{ vg.CanvasWriterTo }

// FillString fills the outlines of the text from a point to the right.
func (o outliner) FillString(f font.Face, from vg.Point, text string) {
	for _, letter := range outlines(f, from, text) {
		o.Fill(letter)
	}
}

// em is the size of the outlines that are read, in the units that the font
// itself has, so that nothing is rounded.
const em = 2048

// outlines returns the outlines of the letters of a text that begins at a
// point; what cannot be seen, such as a space, has none.
func outlines(f font.Face, from vg.Point, text string) []vg.Path {
	scale := f.Font.Size / em
	var letters []vg.Path
	runes := []rune(text)
	for i, r := range runes {
		index, err := f.Face.GlyphIndex(nil, r)
		if err != nil {
			continue
		}
		segments, err := f.Face.LoadGlyph(nil, index, em, nil)
		if err != nil {
			continue
		}
		// Letters stand where the text before them ends, kerning included.
		left := from.X + f.Width(string(runes[:i+1])) - f.Width(string(r))
		var p vg.Path
		for _, s := range segments {
			var at [3]vg.Point
			for k, a := range s.Args {
				// The font's y axis points downwards.
				at[k] = vg.Point{X: left + vg.Length(a.X)*scale, Y: from.Y - vg.Length(a.Y)*scale}
			}
			// The operators of package sfnt: move, line, quadratic and cubic
			// curve.
			switch s.Op {
			case 0:
				p.Move(at[0])
			case 1:
				p.Line(at[0])
			case 2:
				p.QuadTo(at[0], at[1])
			case 3:
				p.CubeTo(at[0], at[1], at[2])
			}
		}
		if len(p) > 0 {
			letters = append(letters, p)
		}
	}
	return letters
}
