package page

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"stopvolt/analysis"
	"stopvolt/cmd/stopvolt/internal/draw"
	"stopvolt/cmd/stopvolt/internal/figure"
	"stopvolt/cmd/stopvolt/internal/words"
	"stopvolt/physics"
)

// An Extraction is what the page of an extraction is made of.
type Extraction struct {
	Origin Origin
	// Files are those that were read, and Remarks say what was guessed in them.
	Files, Remarks []string
	Methods        []analysis.Method
	Example        draw.Example
}

// Page returns the page.
func (p Extraction) Page() (Page, error) {
	x := p.Example.Extraction
	page := Page{
		Title:    "The cutoffs of these curves, by every method",
		Lead:     fmt.Sprintf("%d curves, %d ways of reading their cutoff, and the lines through the stopping voltages.", len(x.Settings), len(p.Methods)),
		Findings: printed(extractFindings(x)),
		Safety:   words.Cautions(),
		Made:     p.Origin.terms(),
	}
	for _, part := range []struct {
		id, heading string
		blocks      func() ([]Block, error)
	}{
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

// bySlope returns the lines that there are, the one of the least h/e first.
func bySlope(lines []analysis.MethodLine) []analysis.MethodLine {
	there := slices.DeleteFunc(slices.Clone(lines), func(l analysis.MethodLine) bool { return l.Status != analysis.OK })
	slices.SortStableFunc(there, func(a, b analysis.MethodLine) int {
		switch {
		case a.Line.Slope < b.Line.Slope:
			return -1
		case a.Line.Slope > b.Line.Slope:
			return 1
		}
		return 0
	})
	return there
}

// extractFindings says how far the methods are apart, and where the bias of each
// is to be had.
func extractFindings(x analysis.Extraction) []string {
	const advice = "Curves do not tell how far a method is from the truth: stopvolt study measures that on a simulated bench like yours, and says which method to trust there."
	lines := bySlope(x.Lines)
	if len(lines) == 0 {
		return []string{"No method has the three settings that a line needs, so there is no h/e.", advice}
	}
	low, high := lines[0], lines[len(lines)-1]
	return []string{
		fmt.Sprintf("h/e comes out between %s V s (%s, %s line, %+.1f %% from the exact value) and %s V s (%s, %s line, %+.1f %%), from the very same curves.",
			analysis.Concise(low.Line.Slope, low.Line.USlope, ""), low.Method, low.Fit, 100*(low.Line.Slope/physics.HOverE-1),
			analysis.Concise(high.Line.Slope, high.Line.USlope, ""), high.Method, high.Fit, 100*(high.Line.Slope/physics.HOverE-1)),
		advice,
	}
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

// lineBlocks show the lines with the least, the middle and the largest h/e.
func (p Extraction) lineBlocks() ([]Block, error) {
	x := p.Example.Extraction
	table := lineTable(x.Lines, physics.HOverE)
	lines := bySlope(x.Lines)
	if len(lines) == 0 {
		return []Block{{Table: table}}, nil
	}
	var f figure.StoppingLine
	var shown []string
	for _, l := range []analysis.MethodLine{lines[0], lines[len(lines)/2], lines[len(lines)-1]} {
		if !slices.Contains(shown, l.Method) {
			shown = append(shown, l.Method)
			f.Series = append(f.Series, draw.Series(x, p.Methods, l))
		}
	}
	block, err := drawn(f, "The lines with the least, the middle and the largest h/e, with their residuals. The work function in the key is the collector's.", nil)
	return []Block{block, {Table: table}}, err
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
