package main

import (
	"context"
	"fmt"
	"math"
	"strings"

	"stopvolt/analysis"
	"stopvolt/analysis/study"
	"stopvolt/cmd/stopvolt/internal/figure"
	"stopvolt/cmd/stopvolt/internal/report"
	"stopvolt/cmd/stopvolt/internal/words"
	"stopvolt/instrument/run"
	"stopvolt/physics"
	"stopvolt/scenarios"
	"stopvolt/sim"
)

// An example is one of the experiments of a study, read by its methods.
type example struct {
	run        run.Run
	extraction analysis.Extraction
}

// exampleOf returns the first experiment of a study.
func exampleOf(s study.Study) (example, error) {
	bench, err := sim.NewBench(s.Apparatus, physics.Quadrature{})
	if err != nil {
		return example{}, err
	}
	var session sim.Session
	var taken run.Run
	session.Open(bench, s.Seed, 0)
	session.Acquire(&taken)
	lit, _ := analysis.WithoutDark(taken)
	extractor := analysis.Extractor{Methods: s.Methods, Fits: s.Fits}
	return example{lit, extractor.Extract(lit)}, nil
}

// curves shows the curves of the example with the cutoffs of all methods.
func (e example) curves(methods []analysis.Method, title string, truth []float64) figure.Curves {
	f := figure.Curves{Title: title, Run: e.run, Truth: truth}
	for m, method := range methods {
		c := figure.MethodCutoffs{Method: method.Name()}
		for _, setting := range e.extraction.Settings {
			c.Cutoffs = append(c.Cutoffs, setting.Cutoffs[m])
		}
		f.Methods = append(f.Methods, c)
	}
	return f
}

// A studyPage is what the page of a study is made of.
type studyPage struct {
	scenario scenarios.Scenario
	study    study.Study
	result   study.Result
	best     study.Recommendation
	example  example
	budget   study.Budget
}

// budgetReplicates is the number of experiments on each apparatus of the page's
// budget. They share their random numbers, so that a few tell.
const budgetReplicates = 8

// writeStudyReport writes the page of a study.
func writeStudyReport(ctx context.Context, name string, scenario scenarios.Scenario, s study.Study, r study.Result, best study.Recommendation) error {
	p := studyPage{scenario: scenario, study: s, result: r, best: best}
	var err error
	if p.example, err = exampleOf(s); err != nil {
		return err
	}
	few := study.Study{
		Apparatus: s.Apparatus, Methods: s.Methods, Fits: s.Fits[:1],
		Replicates: budgetReplicates, Seed: s.Seed,
	}
	if p.budget, err = few.Budget(ctx); err != nil {
		return err
	}
	page, err := p.page()
	if err != nil {
		return err
	}
	return writeReport(name, page)
}

// page returns the page.
func (p studyPage) page() (report.Page, error) {
	out := report.Page{
		Title:    "How far each method puts h/e from the truth",
		Lead:     p.scenario.Title,
		Findings: printed(verdict(p.result, p.best)),
		Safety:   cautions(),
		Made:     made(p.study.Seed, report.Term{Name: "Experiments", Text: fmt.Sprintf("%d, and %d on each apparatus of the budget", p.result.Replicates, budgetReplicates)}),
	}
	for _, part := range []struct {
		id, heading string
		blocks      func() ([]report.Block, error)
	}{
		{"asked", "What was asked", p.asked},
		{"bias", "Bias of h/e", p.biasBlocks},
		{"coverage", "Can the stated uncertainty be believed?", p.coverageBlocks},
		{"budget", "Which effect makes how much", p.budgetBlocks},
		{"curves", "One of the experiments", p.curveBlocks},
		{"line", "The line of one experiment", p.lineBlocks},
		{"constructions", "How each method reads the cutoff", p.constructionBlocks},
		{"apparatus", "The apparatus", p.apparatusBlocks},
	} {
		blocks, err := part.blocks()
		if err != nil {
			return out, fmt.Errorf("%s: %w", part.heading, err)
		}
		out.Sections = append(out.Sections, report.Section{ID: part.id, Heading: part.heading, Blocks: blocks})
	}
	return out, nil
}

// drawn lays a figure out for a page.
func drawn(f picture, caption string, data *report.Table) (report.Block, error) {
	laid, err := f.Picture()
	if err != nil {
		return report.Block{}, err
	}
	return report.Block{Figure: &report.Figure{Picture: laid, Caption: caption, Data: data}}, nil
}

// asked says what the study did.
func (p studyPage) asked() ([]report.Block, error) {
	var names []string
	for _, m := range p.study.Methods {
		names = append(names, m.Name())
	}
	var cells []string
	for _, c := range p.best.Cells {
		cells = append(cells, c.Name)
	}
	blocks := []report.Block{
		{Text: fmt.Sprintf("The experiment was simulated %d times, from the electron to the meter's last digit, in a world whose true h/e is %.6g × 10⁻¹⁵ V s. Each time every method read the cutoffs, and a line through them gave h/e. Since the truth is known, the error of each method is measured and not estimated.",
			p.result.Replicates, p.result.Truth.HOverE*1e15)},
		{Text: "Methods: " + strings.Join(names, ", ") + "."},
		{Text: "A fit that knows the simulated cell's own law would win on that cell. So what is recommended is what errs least on the worst of several cells: " + strings.Join(cells, ", ") + "."},
	}
	if set := p.scenario.Assignments; len(set) > 0 {
		blocks = append(blocks, report.Block{Text: "Changed from the scenario: " + strings.Join(set, ", ") + "."})
	}
	return blocks, nil
}

// biasBlocks show the biases.
func (p studyPage) biasBlocks() ([]report.Block, error) {
	figure, err := drawn(biases(p.result), "A box is the bias with its Monte Carlo standard error, and the thin bar the spread of single experiments. A method whose box is far from zero is wrong every time, however small its spread.", p.measures())
	return []report.Block{figure}, err
}

// measures is the table of the study.
func (p studyPage) measures() *report.Table {
	t := &report.Table{
		Caption: "The numbers, in per cent of h/e",
		Columns: append([]report.Column{{Name: "method"}, {Name: "line"}},
			report.Numbered("bias", "median", "spread", "rms error", "stated u", "coverage", "no answer")...),
	}
	for _, row := range p.result.Rows {
		m := row.HOverE
		t.Rows = append(t.Rows, []string{row.Method, row.Fit, minus(withError(m.Bias)), minus(percent(m.MedianBias.Value, "%+.2f")),
			percent(m.EmpiricalSE.Value, "%.2f"), percent(m.RMSE.Value, "%.2f"), percent(m.MeanU.Value, "%.2f"),
			percent(m.Coverage.Value, "%.0f"), fmt.Sprintf("%d of %d", m.Failures, m.Replicates)})
	}
	return t
}

// minus writes the minus sign of print.
func minus(text string) string { return strings.ReplaceAll(text, "-", "−") }

// printed writes sentences with the signs and blanks of print.
func printed(sentences []string) []string {
	out := make([]string, len(sentences))
	for i, s := range sentences {
		s = strings.ReplaceAll(s, " -", " −")
		out[i] = strings.ReplaceAll(s, " %", "\u00a0%")
	}
	return out
}

// coverageBlocks show how honest the stated uncertainties are.
func (p studyPage) coverageBlocks() ([]report.Block, error) {
	f := figure.Coverage{Title: "How often the stated 95 % interval holds the true h/e", Nominal: 0.95}
	for _, row := range p.result.Rows {
		m := row.HOverE
		f.Rows = append(f.Rows, figure.CoverageRow{
			Method:   row.Method + ", " + row.Fit,
			Coverage: m.Coverage.Value, Error: m.Coverage.Error,
			Eliminated: m.CoverageOfMean.Value, EliminatedError: m.CoverageOfMean.Error,
			Failed: m.Failures, Replicates: m.Replicates,
		})
	}
	figure, err := drawn(f, "Filled: the share of the experiments whose stated interval holds the truth. Open: the same with the method's bias taken off. Where the open mark is right and the filled one is not, the uncertainty is honest about the scatter and silent about the bias.", nil)
	return []report.Block{figure}, err
}

// budgetBlocks show the effects.
func (p studyPage) budgetBlocks() ([]report.Block, error) {
	if len(p.budget.Effects) == 0 {
		return []report.Block{{Text: "The apparatus is ideal: it has no effect to take away."}}, nil
	}
	f := figure.Budget{Title: "Shift of h/e that each effect brings"}
	data := &report.Table{Caption: "The numbers, in per cent of h/e: what goes when an effect is removed, and what it makes alone", Columns: []report.Column{{Name: "method"}, {Name: "effect"}, {Name: "goes when removed", Numbers: true}, {Name: "makes alone", Numbers: true}}}
	var remedies []report.Term
	for _, e := range p.budget.Effects {
		f.Effects = append(f.Effects, words.English().Effect(e.ID))
		remedies = append(remedies, report.Term{Name: words.English().Effect(e.ID), Text: words.English().Remedy(e.ID)})
	}
	for _, row := range p.budget.Rows {
		column := figure.BudgetColumn{Method: row.Method}
		for i, w := range row.Without {
			column.Shifts, column.Errors = append(column.Shifts, w.Value), append(column.Errors, w.Error)
			data.Rows = append(data.Rows, []string{row.Method, f.Effects[i], minus(withError(w)), minus(withError(row.Alone[i]))})
		}
		f.Methods = append(f.Methods, column)
	}
	figure, err := drawn(f, fmt.Sprintf("Each bar is what goes away when this one effect is removed from the bench, with the %s line: the same %d experiments with it and without it, on the same random numbers. Effects act together, so the bars do not add up to the bias.",
		p.study.Fits[0].Name(), budgetReplicates), data)
	return []report.Block{figure, {Text: "What to change at the bench:"}, {Terms: remedies}}, err
}

// curveBlocks show the curves of the example.
func (p studyPage) curveBlocks() ([]report.Block, error) {
	f := p.example.curves(p.study.Methods, "", p.result.Truth.Stopping)
	figure, err := drawn(f, "The first of the experiments: the whole curves, the knees enlarged, and below each knee the cutoffs that the methods read, beside the true one.",
		cutoffTable(p.example.extraction, p.study.Methods, p.result.Truth.Stopping))
	return []report.Block{figure}, err
}

// cutoffTable lists the stopping voltages by method and setting; truth may be
// nil.
func cutoffTable(x analysis.Extraction, methods []analysis.Method, truth []float64) *report.Table {
	t := &report.Table{Caption: "Stopping voltages in V, with the standard uncertainty of the last digits", Columns: []report.Column{{Name: "method"}}}
	for _, s := range x.Settings {
		t.Columns = append(t.Columns, report.Column{Name: s.Name, Numbers: true})
	}
	for m, method := range methods {
		row := []string{method.Name()}
		for _, s := range x.Settings {
			text := "–"
			if c := s.Cutoffs[m]; c.Status == analysis.OK {
				text = minus(analysis.Concise(c.Stopping, c.U, ""))
			}
			row = append(row, text)
		}
		t.Rows = append(t.Rows, row)
	}
	if truth != nil {
		row := []string{"truth"}
		for _, v := range truth {
			row = append(row, minus(fmt.Sprintf("%.4f", v)))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// lineBlocks show the line of the example.
func (p studyPage) lineBlocks() ([]report.Block, error) {
	f := stoppingLine(p.study, p.result, p.best, p.example.extraction)
	f.Title = ""
	if len(f.Series) == 0 {
		return []report.Block{{Text: "No method had a line in this experiment."}}, nil
	}
	figure, err := drawn(f, "The recommended methods and the one with the largest bias. That the points of a method lie on a straight line proves nothing about its bias: compare its residuals with how far its slope is off.",
		lineTable(p.example.extraction.Lines, p.result.Truth.HOverE))
	return []report.Block{figure}, err
}

// lineTable lists lines with their deviation from a known h/e in V s.
func lineTable(lines []analysis.MethodLine, hOverE float64) *report.Table {
	t := &report.Table{Caption: "The lines", Columns: append([]report.Column{{Name: "method"}, {Name: "line"}},
		append(report.Numbered("h/e / 10⁻¹⁵ V s", "off by", "collector / eV"), report.Column{Name: "left out"})...)}
	for _, l := range lines {
		row := []string{l.Method, l.Fit, "–", "–", "–", l.Reason}
		if l.Status == analysis.OK {
			phi, u := l.Line.WorkFunction()
			row = []string{l.Method, l.Fit, analysis.Concise(l.Line.Slope*1e15, l.Line.USlope*1e15, ""),
				minus(fmt.Sprintf("%+.2f %%", 100*(l.Line.Slope/hOverE-1))), minus(analysis.Concise(phi, u, "")), strings.Join(l.LeftOut, ", ")}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// constructionBlocks show how each method reads one curve.
func (p studyPage) constructionBlocks() ([]report.Block, error) {
	return constructions(p.example, p.study.Methods, p.result.Truth.Stopping)
}

// constructions draw each method's lines on the curve that most methods can
// read; truth may be nil.
func constructions(e example, methods []analysis.Method, truth []float64) ([]report.Block, error) {
	at := mostRead(e.extraction)
	if at < 0 {
		return []report.Block{{Text: "No curve could be read."}}, nil
	}
	setting := e.extraction.Settings[at]
	var blocks []report.Block
	for m, method := range methods {
		f := figure.Construction{
			Title: method.Name(), Curve: e.run.Curves[at], Method: method.Name(), Cutoff: setting.Cutoffs[m],
		}
		if f.Cutoff.Status == analysis.OK {
			f.Strokes = method.Construct(setting.Prepared, f.Cutoff)
		}
		if truth != nil && !math.IsNaN(truth[at]) {
			f.Truth = &truth[at]
		}
		page := method.Page()
		how := page.ByHand
		if how == "" {
			how = page.Summary
		}
		block, err := drawn(f, fmt.Sprintf("%s Errs: %s", sentenceEnd(how), sentenceEnd(page.Errs)), nil)
		if err != nil {
			return nil, err
		}
		blocks = append(blocks, block)
	}
	return blocks, nil
}

// sentenceEnd ends a text with a full stop.
func sentenceEnd(text string) string {
	text = strings.Join(strings.Fields(text), " ")
	if text == "" || strings.HasSuffix(text, ".") {
		return text
	}
	return text + "."
}

// mostRead returns the index of the setting that most methods can read, -1 for
// none.
func mostRead(x analysis.Extraction) int {
	best, most := -1, 0
	for i, s := range x.Settings {
		read := 0
		for _, c := range s.Cutoffs {
			if c.Status == analysis.OK {
				read++
			}
		}
		if s.Prepared != nil && read > most {
			best, most = i, read
		}
	}
	return best
}

// apparatusBlocks tell the apparatus, and the scenario's own notes.
func (p studyPage) apparatusBlocks() ([]report.Block, error) {
	blocks := apparatusBlocks(p.study.Apparatus)
	for _, paragraph := range strings.Split(strings.TrimSpace(p.scenario.Notes), "\n\n") {
		if text := strings.Join(strings.Fields(paragraph), " "); text != "" {
			blocks = append(blocks, report.Block{Text: text})
		}
	}
	return blocks, nil
}
