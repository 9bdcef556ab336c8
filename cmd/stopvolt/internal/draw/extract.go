package draw

import (
	"fmt"
	"strings"
	"unicode"

	"stopvolt/analysis"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/figure"
	"stopvolt/instrument/run"
)

// Construction shows how a method, the m-th, reads curve i of the example.
func (e Example) Construction(method analysis.Method, m, i int) figure.Construction {
	s := e.Extraction.Settings[i]
	f := figure.Construction{Curve: e.Run.Curves[i], Method: method.Name(), Cutoff: s.Cutoffs[m]}
	if s.Prepared == nil {
		return f
	}
	f.Strokes = method.Construct(s.Prepared, s.Cutoffs[m])
	if windowed, ok := method.(analysis.Windowed); ok && f.Cutoff.Status == analysis.OK {
		taken := windowed.Window(s.Prepared)
		f.Taken = &taken
	}
	if planar, ok := method.(analysis.Planar); ok {
		if plane := planar.Plane(s.Prepared, s.Cutoffs[m]); len(plane.V) > 1 {
			f.Plane = &plane
		}
	}
	return f
}

// Sheet shows how a method, the m-th, reads all curves of the example.
func (e Example) Sheet(method analysis.Method, m int) figure.MethodSheet {
	f := figure.MethodSheet{Title: "How " + method.Name() + " reads the curves"}
	for i := range e.Extraction.Settings {
		f.Constructions = append(f.Constructions, e.Construction(method, m, i))
	}
	return f
}

// WriteExtract draws all curves with all cutoffs, a sheet for each method, and
// the lines of a few methods.
func WriteExtract(dir string, r run.Run, x analysis.Extraction, methods []analysis.Method) error {
	e := Example{Run: r, Extraction: x}
	curves := e.Curves(methods, "The curves, with the cutoffs that each method reads")
	for m, method := range methods {
		if err := Write(dir, "method-"+method.Name(), e.Sheet(method, m)); err != nil {
			return err
		}
	}
	if err := Write(dir, "curves", curves); err != nil {
		return err
	}
	line := figure.StoppingLine{Title: "Stopping voltage against frequency"}
	for _, l := range x.Lines {
		if l.Status == analysis.OK && len(line.Series) < mostSeries && (l.Fit == methodsOwnFit(x, l.Method)) {
			line.Series = append(line.Series, Series(x, methods, l))
		}
	}
	if len(line.Series) == 0 {
		return nil
	}
	return Write(dir, "line", line)
}

// mostSeries is the number of methods that one picture of lines can show.
const mostSeries = 4

// methodsOwnFit returns the first fit of a method, which is drawn.
func methodsOwnFit(x analysis.Extraction, method string) string {
	for _, l := range x.Lines {
		if l.Method == method {
			return l.Fit
		}
	}
	return ""
}

// Series returns the points of a method with its line.
func Series(x analysis.Extraction, methods []analysis.Method, l analysis.MethodLine) figure.LineSeries {
	s := figure.LineSeries{Method: l.Method, Line: &l.Line}
	for m, method := range methods {
		if method.Name() != l.Method {
			continue
		}
		for _, setting := range x.Settings {
			if c := setting.Cutoffs[m]; c.Status == analysis.OK {
				s.Points = append(s.Points, analysis.Point{
					Setting: setting.Name, Frequency: setting.Frequency, Stopping: c.Stopping, UStopping: c.U,
				})
			}
		}
	}
	return s
}

// fileName makes a name of a setting fit for a file, and no two alike.
func fileName(index int, setting string) string {
	safe := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return r
		}
		return '-'
	}, setting)
	return fmt.Sprintf("%d-%s", index+1, console.Clip(safe, 40))
}
