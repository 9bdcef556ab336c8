package page

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"stopvolt/analysis"
	"stopvolt/cmd/stopvolt/internal/draw"
	"stopvolt/cmd/stopvolt/internal/figure"
	"stopvolt/cmd/stopvolt/internal/result"
	"stopvolt/cmd/stopvolt/internal/words"
)

// An Extraction is what the page of an extraction is made of.
type Extraction struct {
	Origin Origin
	// Files are those that were read, and Remarks say what was guessed in them.
	Files, Remarks []string
	Methods        []analysis.Method
	Example        draw.Example
	// Told is the result with its answer.
	Told result.Extraction
}

// Page returns the page.
func (p Extraction) Page() (Page, error) {
	x := p.Example.Extraction
	page := Page{
		Title:    "h/e from these curves",
		Lead:     fmt.Sprintf("%d curves, %d ways of reading their cutoff, and the lines through the stopping voltages.", len(x.Settings), len(p.Methods)),
		Findings: printed(p.findings()),
		Safety:   words.Cautions(),
		Made:     p.Origin.terms(),
	}
	for _, part := range []struct {
		id, heading string
		blocks      func() ([]Block, error)
	}{
		{"methods", "Which methods fit", p.methodBlocks},
		{"asked", "What was asked", p.asked},
		{"curves", "The curves", p.curveBlocks},
		{"line", "The lines", p.lineBlocks},
		{"constructions", "How each method reads the cutoff", p.constructionBlocks},
		{"reasons", "Without an answer, or to be taken with care", p.reasonBlocks},
	} {
		blocks, err := part.blocks()
		if err != nil {
			return page, fmt.Errorf("%s: %w", part.heading, err)
		}
		if len(blocks) > 0 {
			page.Sections = append(page.Sections, Section{ID: part.id, Heading: part.heading, Blocks: blocks})
		}
	}
	return page, nil
}

// findings are the answer in sentences.
func (p Extraction) findings() []string {
	said := words.OfAnswer(p.Told.Answer)
	for _, line := range words.OfSlips(p.Told.Slips) {
		said = append(said, "To be taken with care: "+line+".")
	}
	return append(said, words.NextStep)
}

// methodBlocks say which methods are of use for the run, and why others are not.
func (p Extraction) methodBlocks() ([]Block, error) {
	blocks := []Block{{Text: words.Fitting(p.Told.Answer)}}
	if len(p.Told.Answer.Unusable) > 0 {
		blocks = append(blocks, Block{Table: tableOf("Methods that are of no use here", result.Unusable(p.Told.Answer))})
	}
	return blocks, nil
}

// asked says what was read.
func (p Extraction) asked() ([]Block, error) {
	var files []string
	for _, name := range p.Files {
		if name == "-" {
			name = "standard input"
		}
		files = append(files, filepath.Base(name))
	}
	table := &Table{Caption: "The curves that were read", Columns: append([]Column{{Name: "setting"}},
		Numbered("wavelength / nm", "readings", "from / V", "to / V", "largest current")...)}
	for _, c := range p.Example.Run.Curves {
		low, high, largest := c.Readings[0].Retarding, c.Readings[0].Retarding, c.Readings[0].Current
		for _, r := range c.Readings {
			low, high, largest = min(low, r.Retarding), max(high, r.Retarding), max(largest, r.Current)
		}
		table.Rows = append(table.Rows, []string{c.Setting, fmt.Sprintf("%.1f", c.Wavelength), fmt.Sprint(len(c.Readings)),
			minus(fmt.Sprintf("%g", low)), minus(fmt.Sprintf("%g", high)), words.Quantity(largest, "A")})
	}
	var names []string
	for _, m := range p.Methods {
		names = append(names, m.Name())
	}
	blocks := []Block{
		{Text: "Read from " + strings.Join(files, ", ") + " by " + strings.Join(names, ", ") + "."},
		{Table: table},
	}
	if len(p.Remarks) > 0 {
		blocks = append(blocks, Block{Text: "What had to be guessed, or was done on the way:"}, Block{List: p.Remarks})
	}
	return blocks, nil
}

// curveBlocks show the curves.
func (p Extraction) curveBlocks() ([]Block, error) {
	block, err := drawn(p.Example.Curves(p.Methods, ""), "The whole curves, the knees enlarged, and below each knee the cutoffs that the methods read.",
		cutoffTable(p.Example.Extraction, p.Methods, nil))
	return []Block{block}, err
}

// lineBlocks show the line of the answer and those of the usable methods with
// the least and the largest h/e.
func (p Extraction) lineBlocks() ([]Block, error) {
	x, answer := p.Example.Extraction, p.Told.Answer
	table := tableOf("The lines, one for each method; those of no use here at the end", p.Told.LineTable())
	var f figure.StoppingLine
	for _, method := range outermost(answer) {
		for _, l := range x.Lines {
			if l.Method == method && (l.Fit == p.Told.Fit || l.Fit == analysis.JointLine) {
				f.Series = append(f.Series, draw.Series(x, p.Methods, l))
			}
		}
	}
	if len(f.Series) == 0 {
		return []Block{{Table: table}}, nil
	}
	block, err := drawn(f, "The line of the answer, and those of the fitting methods with the least and the largest h/e, with their residuals. The work function in the key is the collector's.", nil)
	return []Block{block, {Table: table}}, err
}

// outermost returns the method of an answer and the usable ones with the least
// and the largest h/e, each once.
func outermost(a analysis.Answer) []string {
	if a.Status != analysis.OK {
		return nil
	}
	low, high := a.Usable[0], a.Usable[0]
	for _, s := range a.Usable {
		if s.HOverE < low.HOverE {
			low = s
		}
		if s.HOverE > high.HOverE {
			high = s
		}
	}
	names := []string{a.Method}
	for _, s := range []analysis.Standing{low, high} {
		if !slices.Contains(names, s.Method) {
			names = append(names, s.Method)
		}
	}
	return names
}

// constructionBlocks show how each method reads one curve.
func (p Extraction) constructionBlocks() ([]Block, error) {
	return constructions(p.Example, p.Methods, nil)
}

// reasonBlocks say why a method has no answer, or an uncertain one.
func (p Extraction) reasonBlocks() ([]Block, error) {
	table := &Table{Caption: "By method and setting", Columns: []Column{{Name: "method"}, {Name: "setting"}, {Name: "why"}}}
	for m, method := range p.Methods {
		for _, s := range p.Example.Extraction.Settings {
			c := s.Cutoffs[m]
			why := c.Remark
			if c.Status != analysis.OK {
				why = c.Reason
			}
			if why != "" {
				table.Rows = append(table.Rows, []string{method.Name(), s.Name, why})
			}
		}
	}
	if len(table.Rows) == 0 {
		return nil, nil
	}
	return []Block{{Table: table}}, nil
}
