package figure

import (
	"fmt"
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Paper is graph paper with numbered axes to draw on, and points where there are
// any.
type Paper struct {
	// Alt says what is to be seen; XLabel and YLabel name the axes with their units.
	Alt, XLabel, YLabel string
	// X and Y are the axes.
	X, Y PaperAxis
	// Points are values on the axes; those beyond them are left out.
	Points [][2]float64
	// Number writes a number at an axis, with some decimals.
	Number func(x float64, decimals int) string
	// Width and Height are in points.
	Width, Height float64
	// Grey leaves colour out, and Large has large letters.
	Grey, Large bool
}

// A PaperAxis goes from Low to High, with a thick line and a number every Major
// step and fine lines between. A logarithmic one has a thick line and a number at
// each power of ten, and Low and High are such powers.
type PaperAxis struct {
	Low, High, Major float64
	Fine             int
	Logarithmic      bool
}

// NewPaperAxis returns an axis that holds two values, with some eight major steps
// of 1, 2 or 5 times a power of ten.
func NewPaperAxis(low, high float64) PaperAxis {
	if !(high > low) {
		low, high = low-1, low+1
	}
	raw := (high - low) / 8
	power := math.Pow10(int(math.Floor(math.Log10(raw))))
	a := PaperAxis{Major: 10 * power, Fine: 10}
	for _, m := range []float64{1, 2, 5} {
		if m*power >= raw {
			a.Major = m * power
			break
		}
	}
	a.Low, a.High = a.Major*math.Floor(low/a.Major+1e-9), a.Major*math.Ceil(high/a.Major-1e-9)
	return a
}

// NewLogarithmicAxis returns an axis of whole decades that holds two values above
// zero.
func NewLogarithmicAxis(low, high float64) PaperAxis {
	a := PaperAxis{Logarithmic: true}
	a.Low = math.Pow10(int(math.Floor(math.Log10(low) + 1e-9)))
	a.High = math.Pow10(max(int(math.Ceil(math.Log10(high)-1e-9)), int(math.Round(math.Log10(a.Low)))+1))
	return a
}

// share returns where a value lies between the ends of the axis.
func (a PaperAxis) share(v float64) float64 {
	if a.Logarithmic {
		return math.Log10(v/a.Low) / math.Log10(a.High/a.Low)
	}
	return (v - a.Low) / (a.High - a.Low)
}

// lines returns the values of the fine lines and of the numbered ones.
func (a PaperAxis) lines() (fine, major []float64) {
	if a.Logarithmic {
		decades := int(math.Round(math.Log10(a.High / a.Low)))
		for k := range decades {
			for digit := 2; digit < 10; digit++ {
				fine = append(fine, a.Low*math.Pow10(k)*float64(digit))
			}
		}
		for k := range decades + 1 {
			major = append(major, a.Low*math.Pow10(k))
		}
		return fine, major
	}
	steps := int(math.Round((a.High - a.Low) / a.Major))
	for i := range steps*a.Fine + 1 {
		if v := a.Low + a.Major*float64(i)/float64(a.Fine); i%a.Fine != 0 {
			fine = append(fine, v)
		} else {
			major = append(major, v)
		}
	}
	return fine, major
}

// thinned returns the axis with fewer fine lines where they would lie so close on a
// length in points that the paper is a grey area.
func (a PaperAxis) thinned(length vg.Length) PaperAxis {
	const least = 1.8
	for _, fine := range []int{5, 2} {
		if a.Logarithmic || float64(length)*a.Major/((a.High-a.Low)*float64(a.Fine)) >= least {
			break
		}
		a.Fine = fine
	}
	return a
}

// decimals returns those that the number at a value needs.
func (a PaperAxis) decimals(v float64) int {
	step := a.Major
	if a.Logarithmic {
		step = v
	}
	return max(0, -int(math.Floor(math.Log10(step)+1e-9)))
}

// check says what is impossible.
func (f Paper) check() error {
	for _, a := range []PaperAxis{f.X, f.Y} {
		if !finite(a.Low, a.High) || a.High <= a.Low || a.Logarithmic && a.Low <= 0 || !a.Logarithmic && !(a.Major > 0 && a.Fine > 0) {
			return fmt.Errorf("an axis of graph paper from %g to %g in steps of %g", a.Low, a.High, a.Major)
		}
		const most = 100
		if !a.Logarithmic && (a.High-a.Low)/a.Major > most || a.Logarithmic && a.High/a.Low > 1e40 {
			return fmt.Errorf("an axis of graph paper from %g to %g in steps of %g has too many lines", a.Low, a.High, a.Major)
		}
	}
	if f.Width < 100 || f.Height < 100 {
		return fmt.Errorf("graph paper of %g by %g points", f.Width, f.Height)
	}
	return nil
}

// The inks of graph paper.
var (
	fineInk  = color.RGBA{R: 0x9c, G: 0xbc, B: 0xd8, A: 0xff}
	majorInk = color.RGBA{R: 0x5a, G: 0x8f, B: 0xbd, A: 0xff}
	fineGrey = color.RGBA{R: 0xb8, G: 0xb8, B: 0xb8, A: 0xff}
	darkGrey = color.RGBA{R: 0x80, G: 0x80, B: 0x80, A: 0xff}
)

// Picture lays the paper out.
func (f Paper) Picture() (Picture, error) {
	if err := f.check(); err != nil {
		return Picture{}, err
	}
	p := f.picture()
	p.narrow = func() Picture {
		f.Width = narrowPage
		return f.picture()
	}
	return p, nil
}

// picture is the paper of one size.
func (f Paper) picture() Picture {
	return Picture{Alt: f.Alt, width: vg.Length(f.Width), height: vg.Length(f.Height), draw: f.draw}
}

// draw draws the paper on a canvas of its size.
func (f Paper) draw(c draw.Canvas) {
	size := vg.Length(9)
	if f.Width <= narrowPage {
		size = tickSize
	}
	if f.Large {
		size = 13
	}
	letters := lettering(size, ink)
	area := c.Rectangle
	area.Min.Y += 2.6 * size
	area.Min.X += 1.9*size + f.numbersWidth(size)
	area.Max.X -= 1.2 * size
	area.Max.Y -= 0.8 * size
	x := func(v float64) vg.Length { return area.Min.X + vg.Length(f.X.share(v))*(area.Max.X-area.Min.X) }
	y := func(v float64) vg.Length { return area.Min.Y + vg.Length(f.Y.share(v))*(area.Max.Y-area.Min.Y) }
	fineX, majorX := f.X.thinned(area.Max.X - area.Min.X).lines()
	fineY, majorY := f.Y.thinned(area.Max.Y - area.Min.Y).lines()
	fine, major := fineInk, majorInk
	if f.Grey {
		fine, major = fineGrey, darkGrey
	}
	rule := func(style draw.LineStyle, atX, atY []float64) {
		var p vg.Path
		for _, v := range atX {
			p.Move(vg.Point{X: x(v), Y: area.Min.Y})
			p.Line(vg.Point{X: x(v), Y: area.Max.Y})
		}
		for _, v := range atY {
			p.Move(vg.Point{X: area.Min.X, Y: y(v)})
			p.Line(vg.Point{X: area.Max.X, Y: y(v)})
		}
		c.SetLineStyle(style)
		c.Stroke(p)
	}
	rule(stroke(fine, 0.3), fineX, fineY)
	rule(stroke(major, 0.65), majorX, majorY)
	if !f.Y.Logarithmic && f.Y.Low < 0 && f.Y.High > 0 {
		rule(stroke(ink, 0.9), nil, []float64{0})
	}
	stride := f.stride((area.Max.X-area.Min.X)/vg.Length(max(len(majorX)-1, 1)), majorX, size)
	for i := 0; i < len(majorX); i += stride {
		v := majorX[i]
		write(c, f.Number(v, f.X.decimals(v)), letters, vg.Point{X: x(v), Y: area.Min.Y - size}, draw.XCenter)
	}
	for _, v := range majorY {
		write(c, f.Number(v, f.Y.decimals(v)), letters, vg.Point{X: area.Min.X - 0.4*size, Y: y(v)}, draw.XRight)
	}
	write(c, f.XLabel, letters, vg.Point{X: (area.Min.X + area.Max.X) / 2, Y: c.Min.Y + 0.6*size}, draw.XCenter)
	c.Push()
	c.Translate(vg.Point{X: c.Min.X + 0.7*size, Y: (area.Min.Y + area.Max.Y) / 2})
	c.Rotate(math.Pi / 2)
	write(c, f.YLabel, letters, vg.Point{}, draw.XCenter)
	c.Pop()
	f.drawPoints(c, area, x, y)
}

// numbersWidth returns the room for the numbers of the upright axis.
func (f Paper) numbersWidth(size vg.Length) vg.Length {
	var w vg.Length
	_, major := f.Y.lines()
	for _, v := range major {
		w = max(w, widthOf(f.Number(v, f.Y.decimals(v)), lettering(size, ink)))
	}
	return w
}

// stride returns how many thick lines stand between numbers of the level axis, so that
// none touches another, for a distance of the lines in points.
func (f Paper) stride(apart vg.Length, major []float64, size vg.Length) int {
	var w vg.Length
	for _, v := range major {
		w = max(w, widthOf(f.Number(v, f.X.decimals(v)), lettering(size, ink)))
	}
	for _, n := range []int{1, 2, 5} {
		if vg.Length(n)*apart > w+size/2 {
			return n
		}
	}
	return 10
}

// drawPoints draws the points as upright crosses.
func (f Paper) drawPoints(c draw.Canvas, area vg.Rectangle, x, y func(float64) vg.Length) {
	const arm = 2
	var p vg.Path
	for _, q := range f.Points {
		at := vg.Point{X: x(q[0]), Y: y(q[1])}
		if !(at.X >= area.Min.X-0.1 && at.X <= area.Max.X+0.1 && at.Y >= area.Min.Y-0.1 && at.Y <= area.Max.Y+0.1) {
			continue
		}
		p.Move(vg.Point{X: at.X - arm, Y: at.Y})
		p.Line(vg.Point{X: at.X + arm, Y: at.Y})
		p.Move(vg.Point{X: at.X, Y: at.Y - arm})
		p.Line(vg.Point{X: at.X, Y: at.Y + arm})
	}
	if len(p) > 0 {
		c.SetLineStyle(stroke(ink, 0.8))
		c.Stroke(p)
	}
}
