package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"stopvolt/analysis"
	"stopvolt/cmd/stopvolt/internal/figure"
	"stopvolt/cmd/stopvolt/internal/report"
	"stopvolt/physics"
)

// An extractPage is what the page of an extraction is made of.
type extractPage struct {
	// files are those that were read, and remarks say what was guessed in them.
	files, remarks []string
	methods        []analysis.Method
	example        example
}

// write writes the page to a file.
func (p extractPage) write(name string) error {
	x := p.example.extraction
	page := report.Page{
		Title:    "The cutoffs of these curves, by every method",
		Lead:     fmt.Sprintf("%d curves, %d ways of reading their cutoff, and the lines through the stopping voltages.", len(x.Settings), len(p.methods)),
		Findings: printed(extractFindings(x)),
		Safety:   cautions(),
		Made:     made(0),
	}
	for _, part := range []struct {
		id, heading string
		blocks      func() ([]report.Block, error)
	}{
		{"asked", "What was asked", p.asked},
		{"curves", "The curves", p.curveBlocks},
		{"line", "The lines", p.lineBlocks},
		{"constructions", "How each method reads the cutoff", p.constructionBlocks},
		{"reasons", "Without an answer, or to be taken with care", p.reasonBlocks},
	} {
		blocks, err := part.blocks()
		if err != nil {
			return fmt.Errorf("%s: %w", part.heading, err)
		}
		if len(blocks) > 0 {
			page.Sections = append(page.Sections, report.Section{ID: part.id, Heading: part.heading, Blocks: blocks})
		}
	}
	return writeReport(name, page)
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
			analysis.Concise(low.Line.Slope, low.Line.USlope, ""), low.Method, low.Fit, 100*deviation(low.Line),
			analysis.Concise(high.Line.Slope, high.Line.USlope, ""), high.Method, high.Fit, 100*deviation(high.Line)),
		advice,
	}
}

// asked says what was read.
func (p extractPage) asked() ([]report.Block, error) {
	var files []string
	for _, name := range p.files {
		if name == "-" {
			name = "standard input"
		}
		files = append(files, filepath.Base(name))
	}
	table := &report.Table{Caption: "The curves that were read", Columns: append([]report.Column{{Name: "setting"}},
		report.Numbered("wavelength / nm", "readings", "from / V", "to / V", "largest current")...)}
	for _, c := range p.example.run.Curves {
		low, high, largest := c.Readings[0].Retarding, c.Readings[0].Retarding, c.Readings[0].Current
		for _, r := range c.Readings {
			low, high, largest = min(low, r.Retarding), max(high, r.Retarding), max(largest, r.Current)
		}
		table.Rows = append(table.Rows, []string{c.Setting, fmt.Sprintf("%.1f", c.Wavelength), fmt.Sprint(len(c.Readings)),
			minus(fmt.Sprintf("%g", low)), minus(fmt.Sprintf("%g", high)), quantity(largest, "A")})
	}
	var names []string
	for _, m := range p.methods {
		names = append(names, m.Name())
	}
	blocks := []report.Block{
		{Text: "Read from " + strings.Join(files, ", ") + " by " + strings.Join(names, ", ") + "."},
		{Table: table},
	}
	if len(p.remarks) > 0 {
		blocks = append(blocks, report.Block{Text: "What had to be guessed, or was done on the way:"}, report.Block{List: p.remarks})
	}
	return blocks, nil
}

// curveBlocks show the curves.
func (p extractPage) curveBlocks() ([]report.Block, error) {
	block, err := drawn(p.example.curves(p.methods, "", nil), "The whole curves, the knees enlarged, and below each knee the cutoffs that the methods read.",
		cutoffTable(p.example.extraction, p.methods, nil))
	return []report.Block{block}, err
}

// lineBlocks show the lines with the least, the middle and the largest h/e.
func (p extractPage) lineBlocks() ([]report.Block, error) {
	x := p.example.extraction
	table := lineTable(x.Lines, physics.HOverE)
	lines := bySlope(x.Lines)
	if len(lines) == 0 {
		return []report.Block{{Table: table}}, nil
	}
	var f figure.StoppingLine
	var shown []string
	for _, l := range []analysis.MethodLine{lines[0], lines[len(lines)/2], lines[len(lines)-1]} {
		if !slices.Contains(shown, l.Method) {
			shown = append(shown, l.Method)
			f.Series = append(f.Series, series(x, p.methods, l))
		}
	}
	block, err := drawn(f, "The lines with the least, the middle and the largest h/e, with their residuals. The work function in the key is the collector's.", nil)
	return []report.Block{block, {Table: table}}, err
}

// constructionBlocks show how each method reads one curve.
func (p extractPage) constructionBlocks() ([]report.Block, error) {
	return constructions(p.example, p.methods, nil)
}

// reasonBlocks say why a method has no answer, or an uncertain one.
func (p extractPage) reasonBlocks() ([]report.Block, error) {
	table := &report.Table{Caption: "By method and setting", Columns: []report.Column{{Name: "method"}, {Name: "setting"}, {Name: "why"}}}
	for m, method := range p.methods {
		for _, s := range p.example.extraction.Settings {
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
	return []report.Block{{Table: table}}, nil
}
