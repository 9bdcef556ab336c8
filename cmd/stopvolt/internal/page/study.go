package page

import (
	"context"
	"fmt"
	"math"
	"slices"
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
	// Full asks for every method's construction, the coverages and the apparatus
	// too.
	Full    bool
	example draw.Example
	budget  result.Budget
}

// budgetBenches is the number of benches of the page's budget. The experiments at
// each share their random numbers, so that a few tell.
const budgetBenches = 60

// Page returns the page, for which it simulates a few more experiments.
func (p Study) Page(ctx context.Context) (Page, error) {
	var err error
	if p.example, err = draw.ExampleOf(p.Study); err != nil {
		return Page{}, err
	}
	few := study.Study{
		Population: p.Study.Population, Methods: p.recommended(), Fits: p.Study.Fits[:1],
		Replicates: budgetBenches, Seed: p.Study.Seed,
	}
	if p.budget.Budget, err = few.Budget(ctx); err != nil {
		return Page{}, err
	}
	return p.page()
}

// recommended returns the methods whose budget the page shows: those that are
// recommended, or else the first.
func (p Study) recommended() []analysis.Method {
	var methods []analysis.Method
	for _, m := range p.Study.Methods {
		for _, c := range []study.Choice{p.Told.Verdict.Result.ByHand, p.Told.Verdict.Result.ByComputer} {
			if c.Row >= 0 && p.Told.Verdict.Result.Rows[c.Row].Method == m.Name() && !slices.Contains(methods, m) {
				methods = append(methods, m)
			}
		}
	}
	if methods == nil {
		methods = p.Study.Methods[:1]
	}
	return methods
}

// page returns the page.
func (p Study) page() (Page, error) {
	out := Page{
		Title:    "How far each method puts h/e from the truth",
		Lead:     p.Scenario.Title,
		Findings: printed(p.Told.Verdict.Findings()),
		Safety:   words.Cautions(),
		Made: p.Origin.terms(Term{Name: "Experiments", Text: fmt.Sprintf("%d at %d benches, and %d benches for the budget",
			p.Told.Verdict.Result.Replicates, p.Told.Verdict.Result.Benches, budgetBenches)}),
	}
	for _, part := range []struct {
		id, heading string
		full        bool
		blocks      func() ([]Block, error)
	}{
		{"verdict", "The verdict", false, p.verdictBlocks},
		{"bias", "What each method reads, and what corrects it", false, p.biasBlocks},
		{"budget", "Which effect makes how much, and what to change", false, p.budgetBlocks},
		{"curves", "One of the experiments", false, p.curveBlocks},
		{"line", "The line of one experiment", false, p.lineBlocks},
		{"coverage", "Can the stated uncertainty be believed?", true, p.coverageBlocks},
		{"constructions", "How each method reads the cutoff", true, p.constructionBlocks},
		{"apparatus", "The apparatus in the middle of the population", true, p.apparatusBlocks},
	} {
		if part.full && !p.Full {
			continue
		}
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

// verdictBlocks say what to do, what was passed over, and by which rules.
func (p Study) verdictBlocks() ([]Block, error) {
	v := p.Told.Verdict
	var blocks []Block
	for _, text := range printed(v.Paragraphs()) {
		blocks = append(blocks, Block{Text: text})
	}
	if set := p.Scenario.Assignments; len(set) > 0 {
		blocks = append(blocks, Block{Text: "Changed from the scenario: " + strings.Join(set, ", ") + "."})
	}
	for _, r := range v.PassedOver() {
		blocks = append(blocks, Block{Text: r.Heading + ":"}, Block{List: printed(r.Lines)})
	}
	return append(blocks, Block{Text: printed([]string{v.Rules()})[0]}), nil
}

// biasBlocks show what the methods read, and what corrects it.
func (p Study) biasBlocks() ([]Block, error) {
	block, err := drawn(draw.Biases(p.Told.Verdict.Result), "A box is the mean error with its Monte Carlo standard error, and the thin bar the spread over benches and experiments. "+
		"A few readings that are far off move the mean and hardly the median, which stands in the table too and from which the factor comes.",
		tableOf("The numbers: relative measures in per cent of h/e", p.Told.Table()))
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
	for _, row := range p.Told.Verdict.Result.Rows {
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
func (p Study) budgetBlocks() ([]Block, error) { return budgetBlocks(p.budget) }

// curveBlocks show the curves of the example.
func (p Study) curveBlocks() ([]Block, error) {
	f := p.example.Curves(p.Study.Methods, "")
	block, err := drawn(f, "The first of the experiments: the whole curves, the knees enlarged, and below each knee the cutoffs that the methods read, beside the true one.",
		cutoffTable(p.example.Extraction, p.Study.Methods, p.example.Stopping()))
	return []Block{block}, err
}

// cutoffTable lists the stopping voltages by method and setting; truth may be
// nil.
func cutoffTable(x analysis.Extraction, methods []analysis.Method, truth []float64) *Table {
	told := result.Extraction{Extraction: x, Methods: methods}
	return tableOf("Stopping voltages in V, with the standard uncertainty of the last digits", told.Cutoffs(truth))
}

// lineBlocks show the line of the example.
func (p Study) lineBlocks() ([]Block, error) {
	f := p.example.StoppingLine(p.Told.Verdict.Result)
	if len(f.Series) == 0 {
		return []Block{{Text: "No method had a line in this experiment."}}, nil
	}
	block, err := drawn(f, "The recommended methods and the one with the largest bias. That the points of a method lie on a straight line proves nothing about its bias: compare its residuals with how far its slope is off.",
		lineTable(p.example.Extraction.Lines, p.example.Truth.HOverE))
	return []Block{block}, err
}

// lineTable lists lines with their deviation from a known h/e in V s.
func lineTable(lines []analysis.MethodLine, hOverE float64) *Table {
	return tableOf("The lines", result.LineTable(result.Lines(lines, hOverE)))
}

// constructionBlocks show how each method reads one curve.
func (p Study) constructionBlocks() ([]Block, error) {
	return constructions(p.example, p.Study.Methods, p.example.Stopping())
}

// constructions draw each method's lines on the curve that most methods can
// read; truth may be nil.
func constructions(e draw.Example, methods []analysis.Method, truth []float64) ([]Block, error) {
	at := mostRead(e.Extraction)
	if at < 0 {
		return []Block{{Text: "No curve could be read."}}, nil
	}
	var blocks []Block
	for m, method := range methods {
		f := e.Construction(method, m, at)
		f.Title = method.Name()
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
	blocks := apparatusBlocks(p.Study.Population.Median())
	for _, paragraph := range strings.Split(strings.TrimSpace(p.Scenario.Notes), "\n\n") {
		if text := strings.Join(strings.Fields(paragraph), " "); text != "" {
			blocks = append(blocks, Block{Text: text})
		}
	}
	return blocks, nil
}
