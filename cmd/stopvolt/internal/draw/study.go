package draw

import (
	"slices"

	"stopvolt/analysis"
	"stopvolt/analysis/study"
	"stopvolt/cmd/stopvolt/internal/figure"
	"stopvolt/cmd/stopvolt/internal/result"
	"stopvolt/instrument/run"
	"stopvolt/physics"
	"stopvolt/sim"
)

// An Example is one of the experiments of a study, read by its methods.
type Example struct {
	Run        run.Run
	Extraction analysis.Extraction
}

// ExampleOf returns the first experiment of a study.
func ExampleOf(s study.Study) (Example, error) {
	bench, err := sim.NewBench(s.Apparatus, physics.Quadrature{})
	if err != nil {
		return Example{}, err
	}
	var session sim.Session
	var taken run.Run
	session.Open(bench, s.Seed, 0)
	session.Acquire(&taken)
	lit, _ := analysis.WithoutDark(taken)
	extractor := analysis.Extractor{Methods: s.Methods, Fits: s.Fits}
	return Example{lit, extractor.Extract(lit)}, nil
}

// Curves shows the curves of the example with the cutoffs of all methods.
func (e Example) Curves(methods []analysis.Method, title string, truth []float64) figure.Curves {
	f := figure.Curves{Title: title, Run: e.Run, Truth: truth}
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
// lines, and the biases.
func WriteStudy(dir string, s study.Study, r study.Result, best study.Recommendation) error {
	e, err := ExampleOf(s)
	if err != nil {
		return err
	}
	curves := e.Curves(s.Methods, "One of the experiments, with the cutoffs that each method reads", r.Truth.Stopping)
	if err := Write(dir, "curves", curves); err != nil {
		return err
	}
	if err := Write(dir, "line", StoppingLine(s, r, best, e.Extraction)); err != nil {
		return err
	}
	return Write(dir, "bias", Biases(r))
}

// StoppingLine shows the lines of the recommended methods and of that with the
// largest bias.
func StoppingLine(s study.Study, r study.Result, best study.Recommendation, x analysis.Extraction) figure.StoppingLine {
	f := figure.StoppingLine{
		Title: "Stopping voltage against frequency in one of the experiments",
		Truth: &figure.TrueLine{Slope: r.Truth.HOverE, Intercept: -r.Truth.CollectorWorkFunction},
	}
	shown := make(map[string]bool)
	for _, row := range []int{best.ByComputer.Row, best.ByHand.Row, result.MostBiased(r)} {
		if row < 0 || shown[r.Rows[row].Method] {
			continue
		}
		shown[r.Rows[row].Method] = true
		series := figure.LineSeries{Method: r.Rows[row].Method}
		m := slices.IndexFunc(s.Methods, func(m analysis.Method) bool { return m.Name() == series.Method })
		for _, setting := range x.Settings {
			if c := setting.Cutoffs[m]; c.Status == analysis.OK {
				series.Points = append(series.Points, analysis.Point{
					Setting: setting.Name, Frequency: setting.Frequency, Stopping: c.Stopping, UStopping: c.U,
				})
			}
		}
		if line := x.Lines[row]; line.Status == analysis.OK {
			series.Line = &line.Line
		}
		if len(series.Points) > 0 {
			f.Series = append(f.Series, series)
		}
	}
	return f
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
