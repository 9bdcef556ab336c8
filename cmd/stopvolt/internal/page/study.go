package page

import (
	"context"
	"fmt"
	"math"
	"strings"

	"stopvolt/analysis"
	"stopvolt/analysis/study"
	"stopvolt/cmd/stopvolt/internal/draw"
	"stopvolt/cmd/stopvolt/internal/figure"
	"stopvolt/cmd/stopvolt/internal/result"
	"stopvolt/cmd/stopvolt/internal/words"
	"stopvolt/scenarios"
)

// A Study is what the page of a study is made of.
type Study struct {
	Origin   Origin
	Scenario scenarios.Scenario
	Study    study.Study
	Told     result.Study
	example  draw.Example
	budget   result.Budget
}

// budgetReplicates is the number of experiments on each apparatus of the page's
// budget. They share their random numbers, so that a few tell.
const budgetReplicates = 8

// Page returns the page, for which it simulates a few more experiments.
func (p Study) Page(ctx context.Context) (Page, error) {
	var err error
	if p.example, err = draw.ExampleOf(p.Study); err != nil {
		return Page{}, err
	}
	few := study.Study{
		Apparatus: p.Study.Apparatus, Methods: p.Study.Methods, Fits: p.Study.Fits[:1],
		Replicates: budgetReplicates, Seed: p.Study.Seed,
	}
	if p.budget.Budget, err = few.Budget(ctx); err != nil {
		return Page{}, err
	}
	return p.page()
}

// page returns the page.
func (p Study) page() (Page, error) {
	out := Page{
		Title:    "How far each method puts h/e from the truth",
		Lead:     p.Scenario.Title,
		Findings: printed(words.Verdict(p.Told.Result, p.Told.Best)),
		Safety:   words.Cautions(),
		Made:     p.Origin.terms(Term{Name: "Experiments", Text: fmt.Sprintf("%d, and %d on each apparatus of the budget", p.Told.Result.Replicates, budgetReplicates)}),
	}
	for _, part := range []struct {
		id, heading string
		blocks      func() ([]Block, error)
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
		out.Sections = append(out.Sections, Section{ID: part.id, Heading: part.heading, Blocks: blocks})
	}
	return out, nil
}

// drawn lays a figure out for a page.
func drawn(f draw.Picture, caption string, data *Table) (Block, error) {
	laid, err := f.Picture()
	if err != nil {
		return Block{}, err
	}
	return Block{Figure: &Figure{Picture: laid, Caption: caption, Data: data}}, nil
}

// asked says what the study did.
func (p Study) asked() ([]Block, error) {
	var names []string
	for _, m := range p.Study.Methods {
		names = append(names, m.Name())
	}
	var cells []string
	for _, c := range p.Told.Best.Cells {
		cells = append(cells, c.Name)
	}
	blocks := []Block{
		{Text: fmt.Sprintf("The experiment was simulated %d times, from the electron to the meter's last digit, in a world whose true h/e is %.6g × 10⁻¹⁵ V s. Each time every method read the cutoffs, and a line through them gave h/e. Since the truth is known, the error of each method is measured and not estimated.",
			p.Told.Result.Replicates, p.Told.Result.Truth.HOverE*1e15)},
		{Text: "Methods: " + strings.Join(names, ", ") + "."},
		{Text: "A fit that knows the simulated cell's own law would win on that cell. So what is recommended is what errs least on the worst of several cells: " + strings.Join(cells, ", ") + "."},
	}
	if set := p.Scenario.Assignments; len(set) > 0 {
		blocks = append(blocks, Block{Text: "Changed from the scenario: " + strings.Join(set, ", ") + "."})
	}
	return blocks, nil
}

// biasBlocks show the biases.
func (p Study) biasBlocks() ([]Block, error) {
	block, err := drawn(draw.Biases(p.Told.Result), "A box is the bias with its Monte Carlo standard error, and the thin bar the spread of single experiments. A method whose box is far from zero is wrong every time, however small its spread.", tableOf("The numbers: relative measures in per cent of h/e", p.Told.Table()))
	return []Block{block}, err
}

// tableOf puts a table on a page, with the signs of print.
func tableOf(caption string, t result.Table) *Table {
	out := &Table{Caption: caption}
	for i, heading := range t.Headings {
		out.Columns = append(out.Columns, Column{heading, t.Numbers[i]})
	}
	for _, row := range t.Rows {
		cells := make([]string, len(row))
		for i, c := range row {
			switch {
			case c == "-":
				c = "–"
			case t.Numbers[i]:
				c = minus(c)
			}
			cells[i] = c
		}
		out.Rows = append(out.Rows, cells)
	}
	return out
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
func (p Study) coverageBlocks() ([]Block, error) {
	f := figure.Coverage{Title: "How often the stated 95 % interval holds the true h/e", Nominal: 0.95}
	for _, row := range p.Told.Result.Rows {
		m := row.HOverE
		f.Rows = append(f.Rows, figure.CoverageRow{
			Method:   row.Method + ", " + row.Fit,
			Coverage: m.Coverage.Value, Error: m.Coverage.Error,
			Eliminated: m.CoverageOfMean.Value, EliminatedError: m.CoverageOfMean.Error,
			Failed: m.Failures, Replicates: m.Replicates,
		})
	}
	block, err := drawn(f, "Filled: the share of the experiments whose stated interval holds the truth. Open: the same with the method's bias taken off. Where the open mark is right and the filled one is not, the uncertainty is honest about the scatter and silent about the bias.", nil)
	return []Block{block}, err
}

// budgetBlocks show the effects.
func (p Study) budgetBlocks() ([]Block, error) {
	if len(p.budget.Effects) == 0 {
		return []Block{{Text: "The apparatus is ideal: it has no effect to take away."}}, nil
	}
	f := figure.Budget{Title: "Shift of h/e that each effect brings"}
	data := tableOf("The numbers, in per cent of h/e: what an effect makes alone, and what goes when it is removed", p.budget.Table())
	var remedies []Term
	for _, e := range p.budget.Effects {
		name := words.English().Effect(e.ID)
		f.Effects = append(f.Effects, name)
		remedies = append(remedies, Term{Name: name, Text: words.English().Remedy(e.ID)})
	}
	for _, row := range p.budget.Rows {
		column := figure.BudgetColumn{Method: row.Method}
		for _, w := range row.Without {
			column.Shifts, column.Errors = append(column.Shifts, w.Value), append(column.Errors, w.Error)
		}
		f.Methods = append(f.Methods, column)
	}
	block, err := drawn(f, fmt.Sprintf("Each bar is what goes away when this one effect is removed from the bench, with the %s line: the same %d experiments with it and without it, on the same random numbers. Effects act together, so the bars do not add up to the bias.",
		p.Study.Fits[0].Name(), budgetReplicates), data)
	return []Block{block, {Text: "What to change at the bench:"}, {Terms: remedies}}, err
}

// curveBlocks show the curves of the draw.Example.
func (p Study) curveBlocks() ([]Block, error) {
	f := p.example.Curves(p.Study.Methods, "", p.Told.Result.Truth.Stopping)
	block, err := drawn(f, "The first of the experiments: the whole curves, the knees enlarged, and below each knee the cutoffs that the methods read, beside the true one.",
		cutoffTable(p.example.Extraction, p.Study.Methods, p.Told.Result.Truth.Stopping))
	return []Block{block}, err
}

// cutoffTable lists the stopping voltages by method and setting; truth may be
// nil.
func cutoffTable(x analysis.Extraction, methods []analysis.Method, truth []float64) *Table {
	told := result.Extraction{Extraction: x, Methods: methods}
	return tableOf("Stopping voltages in V, with the standard uncertainty of the last digits", told.Cutoffs(truth))
}

// lineBlocks show the line of the draw.Example.
func (p Study) lineBlocks() ([]Block, error) {
	f := draw.StoppingLine(p.Study, p.Told.Result, p.Told.Best, p.example.Extraction)
	f.Title = ""
	if len(f.Series) == 0 {
		return []Block{{Text: "No method had a line in this experiment."}}, nil
	}
	block, err := drawn(f, "The recommended methods and the one with the largest bias. That the points of a method lie on a straight line proves nothing about its bias: compare its residuals with how far its slope is off.",
		lineTable(p.example.Extraction.Lines, p.Told.Result.Truth.HOverE))
	return []Block{block}, err
}

// lineTable lists lines with their deviation from a known h/e in V s.
func lineTable(lines []analysis.MethodLine, hOverE float64) *Table {
	return tableOf("The lines", result.LineTable(result.Lines(lines, hOverE)))
}

// constructionBlocks show how each method reads one curve.
func (p Study) constructionBlocks() ([]Block, error) {
	return constructions(p.example, p.Study.Methods, p.Told.Result.Truth.Stopping)
}

// constructions draw each method's lines on the curve that most methods can
// read; truth may be nil.
func constructions(e draw.Example, methods []analysis.Method, truth []float64) ([]Block, error) {
	at := mostRead(e.Extraction)
	if at < 0 {
		return []Block{{Text: "No curve could be read."}}, nil
	}
	setting := e.Extraction.Settings[at]
	var blocks []Block
	for m, method := range methods {
		f := figure.Construction{
			Title: method.Name(), Curve: e.Run.Curves[at], Method: method.Name(), Cutoff: setting.Cutoffs[m],
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
func (p Study) apparatusBlocks() ([]Block, error) {
	blocks := apparatusBlocks(p.Study.Apparatus)
	for _, paragraph := range strings.Split(strings.TrimSpace(p.Scenario.Notes), "\n\n") {
		if text := strings.Join(strings.Fields(paragraph), " "); text != "" {
			blocks = append(blocks, Block{Text: text})
		}
	}
	return blocks, nil
}
