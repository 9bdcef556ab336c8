package figure

import (
	"fmt"
	"math"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// History shows what benches do over the years: a panel for each quantity, a series
// for each bench.
type History struct {
	// Title stands above the picture.
	Title string
	// Benches are the names, at least one and at most as many as there are marks.
	Benches []string
	// Panels are drawn from above; there is at least one.
	Panels []HistoryPanel
}

// A HistoryPanel is one quantity.
type HistoryPanel struct {
	// Axis names the quantity with its unit.
	Axis string
	// Series has one entry for each bench; it may be empty.
	Series []Dated
}

// Dated values are those of one bench.
type Dated struct {
	Days   []time.Time
	Values []float64
	// Repairs are days from which on the bench was another.
	Repairs []time.Time
}

// panelHeight is that of a panel of the history in points.
const panelHeight = 104

// Picture lays the panels out. The error says which series does not fit.
func (f History) Picture() (Picture, error) {
	if err := f.check(); err != nil {
		return Picture{}, err
	}
	var keys []key
	for i, name := range f.Benches {
		l := looks(i)
		keys = append(keys, key{text: name, mark: &l.mark, line: &l.line})
	}
	years := f.years()
	height := vg.Length(panelHeight*len(f.Panels)) + 40
	alt := fmt.Sprintf("%d quantities of %d benches against time.", len(f.Panels), len(f.Benches))
	return head{title: f.Title, keys: keys}.page(alt, panels(height, func(c draw.Canvas) {
		for i, panel := range f.Panels {
			top := c.Max.Y - 4 - vg.Length(i*panelHeight)
			p := panel.plot(years, i == len(f.Panels)-1)
			place(p, c, vg.Rectangle{
				Min: vg.Point{X: c.Min.X + axisRoom, Y: top - panelHeight + 14},
				Max: vg.Point{X: c.Max.X - 10, Y: top},
			})
		}
	})), nil
}

// check says what does not fit.
func (f History) check() error {
	if len(f.Panels) == 0 || len(f.Benches) == 0 {
		return fmt.Errorf("a history of %d quantities of %d benches; at least one of each is needed", len(f.Panels), len(f.Benches))
	}
	if len(f.Benches) > len(marks) {
		return fmt.Errorf("a history of %d benches; more than %d cannot be told apart", len(f.Benches), len(marks))
	}
	for _, p := range f.Panels {
		if len(p.Series) != len(f.Benches) {
			return fmt.Errorf("panel %q has %d series for %d benches", p.Axis, len(p.Series), len(f.Benches))
		}
		for i, s := range p.Series {
			if len(s.Days) != len(s.Values) {
				return fmt.Errorf("panel %q, bench %q: %d days for %d values", p.Axis, f.Benches[i], len(s.Days), len(s.Values))
			}
			if !finite(s.Values...) {
				return fmt.Errorf("panel %q, bench %q: a value is not finite", p.Axis, f.Benches[i])
			}
		}
	}
	return nil
}

// inYears returns a day as a number of years of our era.
func inYears(day time.Time) float64 {
	start := time.Date(day.Year(), 1, 1, 0, 0, 0, 0, time.UTC)
	return float64(day.Year()) + day.Sub(start).Hours()/start.AddDate(1, 0, 0).Sub(start).Hours()
}

// years returns the range of all days.
func (f History) years() extent {
	all := nowhere()
	for _, p := range f.Panels {
		for _, s := range p.Series {
			for _, day := range s.Days {
				all = all.with(inYears(day))
			}
		}
	}
	if math.IsInf(all.low, 0) {
		return extent{2000, 2001}
	}
	return all.padded(0.04, 0.5)
}

// plot returns the plot of a panel; the last one has the years written under it.
func (p HistoryPanel) plot(years extent, last bool) *plot.Plot {
	values := nowhere()
	for _, s := range p.Series {
		values = values.with(s.Values...)
	}
	if math.IsInf(values.low, 0) {
		values = extent{0, 1}
	}
	out := newPlot(years, values.padded(0.12, 1e-3*math.Max(math.Abs(values.high), math.Abs(values.low))))
	out.Y.Label.Text = p.Axis
	if last {
		out.X.Label.Text = "year"
	} else {
		out.X.Tick.Marker = withoutTickLabels{}
	}
	for i, s := range p.Series {
		l := looks(i)
		for _, day := range s.Repairs {
			out.Add(upright(inYears(day), stroke(l.line.Color, 0.8, 1.5, 2)))
		}
		var x []float64
		var points []datum
		for k, day := range s.Days {
			x = append(x, inYears(day))
			points = append(points, datum{x: x[k], y: s.Values[k]})
		}
		if len(x) > 1 {
			out.Add(through(x, s.Values, l.line))
		}
		add(out, points, l.mark, l.bar)
	}
	return out
}
