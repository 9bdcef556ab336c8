package draw

import (
	"fmt"
	"strconv"
	"strings"

	"stopvolt/cmd/stopvolt/internal/figure"
	"stopvolt/cmd/stopvolt/internal/result"
)

// An Axis is one key of a grid with its values.
type Axis struct {
	Key    string
	Values []string
}

// Grids show the biases against the values of the last axis, a
// figure for each method and, where there are more axes, for each combination of
// their values. Words instead of numbers have no axis, and no figure.
func Grids(axes []Axis, points []result.GridPoint) []Named {
	var figures []Named
	last := axes[len(axes)-1]
	values := make([]float64, len(last.Values))
	for i, text := range last.Values {
		x, err := strconv.ParseFloat(text, 64)
		if err != nil || i > 0 && x <= values[i-1] {
			return nil
		}
		values[i] = x
	}
	if len(values) < 2 {
		return nil
	}
	for start := 0; start < len(points); start += len(values) {
		line := points[start : start+len(values)]
		others := strings.Join(line[0].Values[:len(axes)-1], ", ")
		for m, first := range line[0].Result.Rows {
			if m > 0 && line[0].Result.Rows[m-1].Method == first.Method {
				continue
			}
			f := figure.Grid{Title: gridTitle(first.Method, axes, line[0].Values), Parameter: last.Key, Values: values}
			for i := m; i < len(line[0].Result.Rows) && line[0].Result.Rows[i].Method == first.Method; i++ {
				s := figure.GridSeries{Method: line[0].Result.Rows[i].Fit + " line"}
				for _, p := range line {
					bias := p.Result.Rows[i].HOverE.Bias
					s.Bias, s.Error = append(s.Bias, bias.Value), append(s.Error, bias.Error)
				}
				f.Series = append(f.Series, s)
			}
			name := "grid-" + first.Method
			if others != "" {
				name = fileName(start/len(values), others) + "-" + first.Method
			}
			figures = append(figures, Named{name, f})
		}
	}
	return figures
}

// gridTitle names a method and the values of all axes but the last.
func gridTitle(method string, axes []Axis, values []string) string {
	title := "Bias of h/e by " + method
	for i, a := range axes[:len(axes)-1] {
		title += fmt.Sprintf(", %s = %s", a.Key, values[i])
	}
	return title
}
