package figure

import (
	"fmt"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Traces shows currents against one quantity, a line or marks each, as a bench
// gives them under different circumstances.
type Traces struct {
	// Title stands above the picture; it may be empty.
	Title string
	// Quantity names the horizontal axis with its unit, such as "dwell / s".
	Quantity string
	// Current names the vertical axis without its unit, such as "current".
	Current string
	// Traces has at least one entry.
	Traces []Trace
}

// A Trace is one line of currents.
type Trace struct {
	// Name is such as "up".
	Name string
	// X is the quantity in the axis' unit, and I the current in A, of equal
	// length, at least two.
	X, I []float64
	// Marks asks for marks instead of a line.
	Marks bool
}

// Picture lays the traces out. The error says which does not fit.
func (f Traces) Picture() (Picture, error) {
	if len(f.Traces) == 0 {
		return Picture{}, fmt.Errorf("traces to draw: none; at least one is needed")
	}
	x, y := nowhere(), nowhere().with(0)
	var keys []key
	for i, t := range f.Traces {
		if len(t.X) != len(t.I) || len(t.X) < 2 || !finite(t.X...) || !finite(t.I...) {
			return Picture{}, fmt.Errorf("trace %q: %d places and %d currents; as many finite ones of both are needed, and at least two", t.Name, len(t.X), len(t.I))
		}
		x, y = x.with(t.X...), y.with(t.I...)
		l := traceLook(i)
		if t.Marks {
			keys = append(keys, key{text: t.Name, mark: &l.mark})
		} else {
			keys = append(keys, key{text: t.Name, line: &l.line})
		}
	}
	alt := fmt.Sprintf("%s against %s, %d traces.", f.Current, f.Quantity, len(f.Traces))
	const height = 230
	return head{title: f.Title, keys: keys}.page(alt, height+48, func(c draw.Canvas) {
		c.Max.Y -= 4
		axis, u := currentAxis(y)
		p := newPlot(x.padded(0.02, 1), axis)
		p.X.Label.Text, p.Y.Label.Text = f.Quantity, f.Current+" / "+u.name
		p.Add(across(0, stroke(faint, 0.8)))
		for i, t := range f.Traces {
			l, currents := traceLook(i), scaled(t.I, u.size)
			if !t.Marks {
				p.Add(through(t.X, currents, l.line))
				continue
			}
			var data []datum
			for k := range t.X {
				data = append(data, datum{x: t.X[k], y: currents[k]})
			}
			add(p, data, l.mark, l.bar)
		}
		// The data stop short of the page by the room of the axes.
		place(p, c, vg.Rectangle{
			Min: vg.Point{X: c.Min.X + 62, Y: c.Max.Y - height},
			Max: vg.Point{X: c.Max.X - 12, Y: c.Max.Y},
		})
	}), nil
}

// traceLook is the look of trace i.
func traceLook(i int) look {
	l := looks(i)
	l.mark.Radius = 2
	return l
}
