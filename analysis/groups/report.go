package groups

import (
	"fmt"
	"math"

	"stopvolt/analysis"
	"stopvolt/analysis/check"
	"stopvolt/instrument/run"
)

// A HandIn is the run of one group.
type HandIn struct {
	// Group and Bench are names.
	Group, Bench string
	// Run is what was measured, with its dark curves.
	Run run.Run
	// Method is the name of the method that the group used; empty where it did not
	// say.
	Method string
}

// A Reader reads all runs of a term in one way, so that they can be pooled.
type Reader struct {
	// Method reads the cutoffs and Fit puts the line.
	Method analysis.Method
	Fit    analysis.LineFit
	// Correction is that of the method; the zero Correction is none.
	Correction Correction
}

// A Row is what one group's run comes to.
type Row struct {
	Group, Bench string
	// HOverE is by the reader's method, and Own by the group's, in V s; NaN for
	// neither.
	HOverE, Own Estimate
	// OwnMethod is the name of the group's method.
	OwnMethod string
	// WorkFunction is the collector's in eV.
	WorkFunction float64
	// Corrected is h/e in V s with the ends of its 95 % interval; NaN without a
	// correction.
	Corrected, Low, High float64
	// Findings are what the readings themselves say.
	Findings []check.Finding
	// Reason says why the row has no part in the mean; empty for one that has.
	Reason string
	// Outlier says that it does not belong to the others.
	Outlier bool
}

// A Report is what a term comes to.
type Report struct {
	Rows []Row
	// Pooled is the number of rows that are pooled, outliers among them, and Reason
	// says why there is no mean where there is none.
	Pooled int
	Reason string
	// All is over all that are pooled, Without over those that are no outliers; equal
	// where there are none. The variance between results is by DerSimonian and Laird.
	All, Without Term
	// PauleMandel and Likelihood are the mean of Without by the two other estimates of
	// that variance.
	PauleMandel, Likelihood Pool
	// Corrected is the mean of Without with the ends of its 95 % interval, in V s; NaN
	// without a correction.
	Corrected, Low, High float64
	// Alike are pairs of runs with the same readings.
	Alike []Likeness
}

// Read reads the runs of a term.
func (rd Reader) Read(handed []HandIn) Report {
	var rep Report
	var runs []run.Run
	var results []Result
	var rows []int
	for _, h := range handed {
		row := rd.row(h)
		if row.Reason == "" {
			results = append(results, Result{h.Group, h.Bench, row.HOverE})
			rows = append(rows, len(rep.Rows))
		}
		rep.Rows = append(rep.Rows, row)
		runs = append(runs, h.Run)
	}
	rep.Alike = Alike(runs)
	rep.Pooled = len(results)
	rep.Corrected, rep.Low, rep.High = math.NaN(), math.NaN(), math.NaN()
	if len(results) < 2 {
		rep.Reason = fmt.Sprintf("%d runs can be pooled, and a mean needs two", len(results))
		return rep
	}
	if out, err := Outliers(results, DerSimonianLaird); err == nil {
		for _, i := range out {
			rep.Rows[rows[i]].Outlier = true
		}
	}
	var kept []Result
	for k, r := range results {
		if !rep.Rows[rows[k]].Outlier {
			kept = append(kept, r)
		}
	}
	rep.pool(results, kept)
	if rep.Reason == "" && rd.Correction.Factor > 0 {
		rep.Corrected, rep.Low, rep.High = rd.Correction.Apply(rep.Without.Mean)
	}
	return rep
}

// pool fills the means.
func (rep *Report) pool(all, kept []Result) {
	var err error
	if rep.All, err = Nest(all, DerSimonianLaird); err != nil {
		rep.Reason = err.Error()
		return
	}
	if rep.Without, err = Nest(kept, DerSimonianLaird); err != nil {
		rep.Reason = err.Error()
		return
	}
	for _, other := range []struct {
		spread Spread
		into   *Pool
	}{{PauleMandel, &rep.PauleMandel}, {RestrictedLikelihood, &rep.Likelihood}} {
		if term, err := Nest(kept, other.spread); err == nil {
			*other.into = term.Mean
		}
	}
}

// row reads one run.
func (rd Reader) row(h HandIn) Row {
	row := Row{Group: h.Group, Bench: h.Bench, OwnMethod: h.Method, Own: Estimate{math.NaN(), math.NaN()},
		Corrected: math.NaN(), Low: math.NaN(), High: math.NaN()}
	row.Findings = check.Run(h.Run)
	lit, _ := analysis.WithoutDark(h.Run)
	var line analysis.Line
	row.HOverE, line, row.Reason = rd.estimate(lit, rd.Method)
	row.WorkFunction = math.NaN()
	if row.Reason == "" {
		row.WorkFunction, _ = line.WorkFunction()
		if f := rd.Correction; f.Factor > 0 {
			row.Corrected, row.Low, row.High = f.Factor*row.HOverE.Value, f.Low*row.HOverE.Value, f.High*row.HOverE.Value
		}
	}
	if own, err := analysis.ByName(h.Method); err == nil {
		row.Own, _, _ = rd.estimate(lit, own)
	}
	// What a method says of readings that a wrong sign or unit makes nonsense of would send
	// the group after another cause than the finding does.
	spoiled := check.Nonsense(row.Findings)
	if len(spoiled) == 0 && row.Reason == "" {
		spoiled = check.Spoiled(row.Findings)
	}
	if len(spoiled) > 0 {
		row.Reason = "its readings: " + spoiled[0].Check
		if spoiled[0].Setting != "" {
			row.Reason += " of " + spoiled[0].Setting
		}
	}
	return row
}

// estimate returns h/e of a run by a method, and why there is none. The uncertainty is
// the scatter about the line, or what the cutoffs' own uncertainties ask for if that is
// more.
func (rd Reader) estimate(lit run.Run, m analysis.Method) (Estimate, analysis.Line, string) {
	none := Estimate{math.NaN(), math.NaN()}
	x := analysis.Extractor{Methods: []analysis.Method{m}, Fits: []analysis.LineFit{rd.Fit}}
	answer := analysis.Choice{Methods: []string{m.Name()}, Fit: rd.Fit.Name()}.Answer(x.Extract(lit))
	if answer.Status != analysis.OK {
		return none, analysis.Line{}, answer.Reason
	}
	e := Estimate{answer.HOverE, answer.UScatter}
	if !(e.U > 0) || math.IsInf(e.U, 0) {
		return none, analysis.Line{}, "its line has no finite uncertainty"
	}
	return e, analysis.Line{Slope: answer.HOverE, Intercept: -answer.WorkFunction}, ""
}
