package figure

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/plot"

	"stopvolt/analysis"
)

// checkPlane says what does not fit in a method's own plane.
func checkPlane(pl analysis.Plane) error {
	if len(pl.V) != len(pl.Y) || len(pl.V) != len(pl.U) {
		return fmt.Errorf("a plane of %d voltages, %d values and %d uncertainties; as many of each are needed", len(pl.V), len(pl.Y), len(pl.U))
	}
	if !finite(pl.V...) || !finite(pl.Y...) || !finite(pl.U...) {
		return fmt.Errorf("a plane with a value that is not finite")
	}
	return nil
}

// planeWindow returns the range of voltages that a plane is shown in: the knee
// and the whole construction, as far as there are points, or all points where
// there is no construction.
func planeWindow(pl analysis.Plane, knee extent) extent {
	points, window := nowhere().with(pl.V...), knee
	if len(pl.Strokes) == 0 || pl.Kind == analysis.Deviations {
		for _, s := range pl.Strokes {
			points = points.with(s.V...)
		}
		return points.padded(0.03, 0.1)
	}
	for _, s := range pl.Strokes {
		window = window.with(s.V...)
	}
	width := knee.high - knee.low
	window.low = math.Max(window.low, math.Max(points.low, knee.low-2*width))
	window.high = math.Min(math.Max(window.high, knee.high), math.Max(points.high, knee.high))
	return window.padded(0.03, 0.1)
}

// planeUnit returns the unit of what a plane shows, for the largest value of it,
// and how its axis is named.
func planeUnit(kind analysis.PlaneKind, largest float64) (unit, string) {
	switch kind {
	case analysis.Roots:
		u := currentUnit(largest * largest)
		return unit{"√" + u.name, math.Sqrt(u.size)}, "root of the current / √" + u.name
	case analysis.Falls:
		u := currentUnit(largest)
		return u, "fall of the current / (" + u.name + "/V)"
	case analysis.Bends:
		u := currentUnit(largest)
		return u, "curvature / (" + u.name + "/V²)"
	case analysis.Deviations:
		u := currentUnit(largest)
		return u, "reading less fit / " + u.name
	}
	u := currentUnit(largest)
	return u, "current above its level / " + u.name
}

// planePlot returns the plot of a method's own plane over the knee: the cutoff as a
// band, the points, and the construction.
func (f Construction) planePlot(look strokeRoles) *plot.Plot {
	pl, c := *f.Plane, f.Cutoff
	window := planeWindow(pl, f.knee())
	y, shown := nowhere().with(0), [][]float64{nil}
	for i, v := range pl.V {
		if !window.holds(v) {
			continue
		}
		shown[0] = append(shown[0], pl.Y[i])
		if pl.Kind == analysis.Deviations {
			y = y.with(pl.Y[i]-pl.U[i], pl.Y[i]+pl.U[i])
		}
	}
	for _, s := range pl.Strokes {
		var inside []float64
		for k, v := range s.V {
			if window.holds(v) {
				inside = append(inside, s.I[k])
			}
		}
		shown = append(shown, inside)
	}
	for _, list := range shown {
		y = y.with(list...)
	}
	u, label := planeUnit(pl.Kind, math.Max(math.Max(y.high, -y.low), finestCurrent))
	logarithmic := pl.Kind == analysis.Logarithms
	var p *plot.Plot
	if logarithmic {
		r := logRange(shown...)
		p = newLogPlot(window, extent{r.low / u.size, r.high / u.size}, label)
	} else {
		p = newPlot(window, extent{y.low / u.size, y.high / u.size}.padded(0.06, 1))
		p.Y.Label.Text = label
		p.Add(across(0, stroke(faint, 0.8)))
	}
	p.X.Label.Text = voltageLabel
	addBand(p, c)
	var taken, others []datum
	for i, v := range pl.V {
		d := datum{x: v, y: pl.Y[i] / u.size, uy: pl.U[i] / u.size}
		if f.takes(v) {
			taken = append(taken, d)
		} else {
			others = append(others, d)
		}
	}
	put := add
	if logarithmic {
		put = addPositive
	}
	put(p, taken, readingMark(), readingBar())
	put(p, others, passedOverMark(), readingBar())
	addCutoff(p, c)
	if f.Truth != nil {
		addTruth(p, *f.Truth)
	}
	look.add(p, pl.Strokes, u.size, logarithmic)
	return p
}

// addBand marks what a cutoff is uncertain by.
func addBand(p *plot.Plot, c analysis.Cutoff) {
	if c.Status == analysis.OK && c.U > 0 && finite(c.U) {
		p.Add(band(c.Stopping-c.U, c.Stopping+c.U, haze))
	}
}

// addCutoff marks a cutoff.
func addCutoff(p *plot.Plot, c analysis.Cutoff) {
	if c.Status == analysis.OK {
		p.Add(upright(c.Stopping, cutoffLine()))
	}
}

// strokeRoles are the roles of the strokes of a figure. A role looks the same in
// every panel.
type strokeRoles []analysis.Stroke

// rolesOf gathers the roles of constructions, each once.
func rolesOf(constructions ...[]analysis.Stroke) strokeRoles {
	var roles strokeRoles
	for _, strokes := range constructions {
		for _, s := range strokes {
			if roles.index(s.Role) < 0 {
				roles = append(roles, s)
			}
		}
	}
	return roles
}

// index returns the place of a role, -1 for none.
func (r strokeRoles) index(role string) int {
	return slices.IndexFunc(r, func(s analysis.Stroke) bool { return s.Role == role })
}

// add draws a construction in a unit.
func (r strokeRoles) add(p *plot.Plot, strokes []analysis.Stroke, size float64, logarithmic bool) {
	for _, s := range strokes {
		l := strokeLook(max(r.index(s.Role), 0))
		amount := make([]float64, len(s.I))
		for k := range amount {
			amount[k] = s.I[k] / size
		}
		switch {
		case len(s.V) > 1 && logarithmic:
			p.Add(throughPositive(s.V, amount, l.line))
		case len(s.V) > 1:
			p.Add(through(s.V, amount, l.line))
		case !logarithmic || amount[0] > 0:
			add(p, []datum{{x: s.V[0], y: amount[0]}}, l.mark, l.bar)
		}
	}
}

// keys explain the strokes.
func (r strokeRoles) keys() []key {
	var keys []key
	for i, s := range r {
		l := strokeLook(i)
		if len(s.V) == 1 {
			keys = append(keys, key{text: s.Role, mark: &l.mark})
		} else {
			keys = append(keys, key{text: s.Role, line: &l.line})
		}
	}
	return keys
}
