package figure

import (
	"fmt"
	"image/color"
	"math"
	"testing"
)

// luminance returns the relative luminance of a colour, 0 for black and 1 for
// white (IEC 61966-2-1, sRGB).
func luminance(c color.RGBA) float64 {
	r, g, b := linear(c)
	return 0.2126*r + 0.7152*g + 0.0722*b
}

// linear undoes the transfer function of sRGB.
func linear(c color.RGBA) (r, g, b float64) {
	undo := func(v uint8) float64 {
		x := float64(v) / 255
		if x <= 0.04045 {
			return x / 12.92
		}
		return math.Pow((x+0.055)/1.055, 2.4)
	}
	return undo(c.R), undo(c.G), undo(c.B)
}

// Every ink has a contrast of at least 2.5 to paper; that of thin strokes and
// text is higher: the contrast ratio is that of the Web Content Accessibility
// Guidelines 2.1, whose 3 for graphics all inks but the palest reach.
func TestInksStandOutFromPaper(t *testing.T) {
	contrast := func(c color.RGBA) float64 { return 1.05 / (luminance(c) + 0.05) }
	for i, c := range hues {
		if got := contrast(c); got < 2.5 {
			t.Errorf("ink %d has a contrast of %.2f", i, got)
		}
	}
	for _, c := range []color.RGBA{ink, shade} {
		if got := contrast(c); got < 4.5 {
			t.Errorf("text in %v has a contrast of %.2f; the guideline asks for 4.5", c, got)
		}
	}
}

// Neighbours in the order of series are told apart by lightness alone, so that
// two or three series survive a grey copy and every kind of colour blindness.
func TestNeighbouringInksDifferInGrey(t *testing.T) {
	// Lightness as CIE 1976 L*.
	lightness := func(c color.RGBA) float64 { return 116*math.Cbrt(luminance(c)) - 16 }
	for i := range hues {
		a, b := lightness(hues[i]), lightness(hues[(i+1)%len(hues)])
		if d := math.Abs(a - b); d < 10 {
			t.Errorf("inks %d and %d differ by %.1f in lightness", i, (i+1)%len(hues), d)
		}
	}
}

// Among as many series as there are methods no two share a mark, and no two
// that share an ink share a dash.
func TestSeriesDifferInMoreThanHue(t *testing.T) {
	const methods = 13
	mark, line := map[string]int{}, map[string]int{}
	for i := range methods {
		l := looks(i)
		for seen, key := range map[*map[string]int]string{
			&mark: fmt.Sprint(l.mark.Shape),
			&line: fmt.Sprint(l.line.Color, l.line.Dashes),
		} {
			if j, ok := (*seen)[key]; ok {
				t.Errorf("series %d and %d look alike: %s", i, j, key)
			}
			(*seen)[key] = i
		}
	}
}
