package draw

import (
	"stopvolt/analysis"
	"stopvolt/analysis/study"
	"stopvolt/cmd/stopvolt/internal/figure"
	"stopvolt/cmd/stopvolt/internal/result"
	"stopvolt/instrument/run"
	"stopvolt/sim"
)

// An Example is one of the experiments of a study, or a run of curves, read by
// its methods.
type Example struct {
	Run        run.Run
	Extraction analysis.Extraction
	// Truth is what they should have found, nil where nobody knows.
	Truth *sim.Truth
}

// ExampleOf returns the first experiment of a study.
func ExampleOf(s study.Study) (Example, error) {
	x, err := s.Example()
	return Example{x.Run, x.Extraction, &x.Truth}, err
}

// Stopping returns the true stopping voltages, nil where nobody knows them.
func (e Example) Stopping() []float64 {
	if e.Truth == nil {
		return nil
	}
	return e.Truth.Stopping
}

// Curves shows the curves of the example with the cutoffs of all methods.
func (e Example) Curves(methods []analysis.Method, title string) figure.Curves {
	f := figure.Curves{Title: title, Run: e.Run, Truth: e.Stopping()}
	for m, method := range methods {
		c := figure.MethodCutoffs{Method: method.Name()}
		for _, setting := range e.Extraction.Settings {
			c.Cutoffs = append(c.Cutoffs, setting.Cutoffs[m])
		}
		f.Methods = append(f.Methods, c)
	}
	return f
}

// WriteStudy draws one experiment of the study with its cutoffs and
// lines, and the factors.
func WriteStudy(dir string, s study.Study, r study.Result) error {
	e, err := ExampleOf(s)
	if err != nil {
		return err
	}
	curves := e.Curves(s.Methods, "One of the experiments, with the cutoffs that each method reads")
	if err := Write(dir, "curves", curves); err != nil {
		return err
	}
	line := e.StoppingLine(r)
	line.Title = "Stopping voltage against frequency in one of the experiments"
	if len(line.Series) > 0 {
		if err := Write(dir, "line", line); err != nil {
			return err
		}
	}
	return Write(dir, "bias", Biases(r))
}

// StoppingLine shows the lines of the recommended methods and of that with the
// largest bias in the example of a study.
func (e Example) StoppingLine(r study.Result) figure.StoppingLine {
	f := figure.StoppingLine{Truth: &figure.TrueLine{Slope: e.Truth.HOverE, Intercept: -e.Truth.CollectorWorkFunction}}
	shown := make(map[string]bool)
	for _, row := range []int{r.ByComputer.Row, r.ByHand.Row, result.MostBiased(r)} {
		if row < 0 || shown[r.Rows[row].Method] {
			continue
		}
		shown[r.Rows[row].Method] = true
		if series := e.series(r.Rows[row]); len(series.Points) > 0 {
			f.Series = append(f.Series, series)
		}
	}
	return f
}

// series returns the cutoffs and the line of a row, of a person's reading those
// that the program reads by the same method.
func (e Example) series(row study.Row) figure.LineSeries {
	series := figure.LineSeries{Method: row.Method}
	for i, line := range e.Extraction.Lines {
		if line.Method != row.Method || line.Fit != row.Fit && row.Fit != study.HandLine {
			continue
		}
		if line.Status == analysis.OK {
			series.Line = &e.Extraction.Lines[i].Line
		}
		break
	}
	for _, setting := range e.Extraction.Settings {
		if c := setting.Cutoffs[e.index(row.Method)]; c.Status == analysis.OK {
			series.Points = append(series.Points, analysis.Point{
				Setting: setting.Name, Frequency: setting.Frequency, Stopping: c.Stopping, UStopping: c.U,
			})
		}
	}
	return series
}

// index returns the place of a method among the cutoffs.
func (e Example) index(method string) int {
	at, last := -1, ""
	for _, line := range e.Extraction.Lines {
		if line.Method != last {
			at, last = at+1, line.Method
		}
		if line.Method == method {
			return at
		}
	}
	return -1
}

// Biases shows the biases of all rows.
func Biases(r study.Result) figure.Bias {
	f := figure.Bias{Title: "How far each method puts h/e from the truth"}
	for _, row := range r.Rows {
		m := row.HOverE
		f.Rows = append(f.Rows, figure.BiasRow{
			Method: row.Method + ", " + row.Fit,
			Bias:   m.Bias.Value, BiasError: m.Bias.Error, Spread: m.EmpiricalSE.Value,
			Failed: m.Failures, Replicates: m.Replicates,
		})
	}
	return f
}
