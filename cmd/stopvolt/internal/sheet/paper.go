package sheet

import (
	"fmt"
	"html"
	"html/template"
	"math"
	"strings"
)

// A paper is graph paper with axes, and points where there are any, as an
// inline picture of a fixed size in millimetres.
type paper struct {
	// alt says what is to be seen; xLabel and yLabel name the axes.
	alt, xLabel, yLabel string
	// x and y are the axes.
	x, y axis
	// points are values on the axes.
	points [][2]float64
	// number writes a number on an axis.
	number func(x float64, decimals int) string
	// grey leaves colour out.
	grey bool
}

// An axis goes from low to high, with a thick line and a number every major
// step and fine lines between.
type axis struct {
	low, high, major float64
	fine             int
}

// The size of a paper and the margins for its numbers, in millimetres.
const (
	paperWidth, paperHeight = 180.0, 112.0
	marginLeft, marginRight = 16.0, 4.0
	marginTop, marginBottom = 4.0, 14.0
)

// niceAxis returns an axis that holds two values, with some eight major steps of
// 1, 2 or 5 times a power of ten.
func niceAxis(low, high float64) axis {
	if !(high > low) {
		low, high = low-1, low+1
	}
	raw := (high - low) / 8
	power := math.Pow10(int(math.Floor(math.Log10(raw))))
	a := axis{major: 10 * power, fine: 10}
	for _, m := range []float64{1, 2, 5} {
		if m*power >= raw {
			a.major = m * power
			break
		}
	}
	a.low, a.high = a.major*math.Floor(low/a.major+1e-9), a.major*math.Ceil(high/a.major-1e-9)
	return a
}

// steps returns the number of major steps.
func (a axis) steps() int { return int(math.Round((a.high - a.low) / a.major)) }

// decimals returns those that the numbers of the axis need.
func (a axis) decimals() int { return max(0, -int(math.Floor(math.Log10(a.major)+1e-9))) }

// at returns the place of a value in millimetres between two others.
func (a axis) at(v, from, to float64) float64 {
	return from + (to-from)*(v-a.low)/(a.high-a.low)
}

// svg draws the paper.
func (p paper) svg() template.HTML {
	var b strings.Builder
	left, right, top, bottom := marginLeft, paperWidth-marginRight, marginTop, paperHeight-marginBottom
	fmt.Fprintf(&b, `<svg class="paper%s" role="img" viewBox="0 0 %g %g" xmlns="http://www.w3.org/2000/svg"><title>%s</title>`,
		map[bool]string{true: " grey"}[p.grey], paperWidth, paperHeight, html.EscapeString(p.alt))
	var fine, major strings.Builder
	lines := func(a axis, from, to float64, path func(b *strings.Builder, at float64)) {
		n := a.steps() * a.fine
		for i := range n + 1 {
			into := &fine
			if i%a.fine == 0 {
				into = &major
			}
			path(into, from+(to-from)*float64(i)/float64(n))
		}
	}
	lines(p.x, left, right, func(b *strings.Builder, at float64) { fmt.Fprintf(b, "M%.2f %gV%g", at, top, bottom) })
	lines(p.y, bottom, top, func(b *strings.Builder, at float64) { fmt.Fprintf(b, "M%g %.2fH%g", left, at, right) })
	fmt.Fprintf(&b, `<path class="fine" d="%s"/><path class="major" d="%s"/>`, fine.String(), major.String())
	if p.y.low < 0 && p.y.high > 0 {
		fmt.Fprintf(&b, `<path class="zero" d="M%g %.2fH%g"/>`, left, p.y.at(0, bottom, top), right)
	}
	for i := range p.x.steps() + 1 {
		v := p.x.low + float64(i)*p.x.major
		fmt.Fprintf(&b, `<text x="%.2f" y="%.2f" text-anchor="middle">%s</text>`, p.x.at(v, left, right), bottom+4.5, p.number(v, p.x.decimals()))
	}
	for i := range p.y.steps() + 1 {
		v := p.y.low + float64(i)*p.y.major
		fmt.Fprintf(&b, `<text x="%.2f" y="%.2f" text-anchor="end">%s</text>`, left-1.5, p.y.at(v, bottom, top)+1.2, p.number(v, p.y.decimals()))
	}
	fmt.Fprintf(&b, `<text x="%g" y="%g" text-anchor="middle">%s</text>`, (left+right)/2, paperHeight-3, html.EscapeString(p.xLabel))
	fmt.Fprintf(&b, `<text transform="translate(3.6 %g) rotate(-90)" text-anchor="middle">%s</text>`, (top+bottom)/2, html.EscapeString(p.yLabel))
	if len(p.points) > 0 {
		b.WriteString(`<path class="points" d="`)
		for _, q := range p.points {
			x, y := p.x.at(q[0], left, right), p.y.at(q[1], bottom, top)
			fmt.Fprintf(&b, "M%.2f %.2fh1.4m-.7-.7v1.4", x-0.7, y)
		}
		b.WriteString(`"/>`)
	}
	b.WriteString("</svg>")
	return template.HTML(b.String())
}
