package figure

import (
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgpdf"
)

// An outliner draws text on a PDF canvas as the outlines of its letters. The
// canvas's own text knows the 256 letters of Windows-1252 only, which has
// neither a minus sign nor the Greek letters.
type outliner struct{ *vgpdf.Canvas }

// fine is the size in pixels to the em at which outlines are read, large
// enough that their rounding to 1/64 pixel does not show.
const fine = 2048

// FillString fills the outlines of the text from pt to the right.
func (o outliner) FillString(f font.Face, pt vg.Point, text string) {
	scale := f.Font.Size / (64 * fine)
	// Letters are set one by one, at the advance of the text before them, so
	// that kerning is that of the layout.
	runes := []rune(text)
	for i, r := range runes {
		index, err := f.Face.GlyphIndex(nil, r)
		if err != nil {
			continue
		}
		segments, err := f.Face.LoadGlyph(nil, index, fine, nil)
		if err != nil {
			continue
		}
		at := vg.Point{X: pt.X + f.Width(string(runes[:i+1])) - f.Width(string(r)), Y: pt.Y}
		var p vg.Path
		for _, s := range segments {
			var args [3]vg.Point
			for k, a := range s.Args {
				// The font's y axis points downwards.
				args[k] = vg.Point{X: at.X + vg.Length(a.X)*scale, Y: at.Y - vg.Length(a.Y)*scale}
			}
			// The operators of package sfnt: move, line, quadratic, cubic.
			switch s.Op {
			case 0:
				p.Move(args[0])
			case 1:
				p.Line(args[0])
			case 2:
				p.QuadTo(args[0], args[1])
			case 3:
				p.CubeTo(args[0], args[1], args[2])
			}
		}
		if len(p) > 0 {
			o.Fill(p)
		}
	}
}
