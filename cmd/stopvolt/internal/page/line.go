package page

import (
	"fmt"
	"math"
	"strings"

	"stopvolt/analysis"
	"stopvolt/cmd/stopvolt/internal/draw"
	"stopvolt/cmd/stopvolt/internal/result"
	"stopvolt/cmd/stopvolt/internal/words"
	"stopvolt/physics"
)

// Line is what the page of a line through a table is made of.
type Line struct {
	Origin Origin
	draw.Table
	// Lines are all lines that were asked for, the drawn one first.
	Lines []result.Line
	// LeftOut names the rows that are no part of the line.
	LeftOut []string
}

// Page returns the page.
func (l Line) Page() (Page, error) {
	p := Page{
		Title:    "Stopping voltage against frequency",
		Lead:     fmt.Sprintf("%d settings of the light, and the line through them.", len(l.Points)),
		Findings: printed(l.sentences()),
		Safety:   words.Cautions(),
		Made:     l.Origin.terms(),
	}
	picture, err := l.Picture()
	if err != nil {
		return p, err
	}
	blocks := []Block{
		{Figure: &Figure{Picture: picture, Caption: "Bars are standard uncertainties where the table has them; below, what each point is off its own line."}},
		{Table: tableOf("The lines", result.LineTable(l.Lines))},
		{Table: l.points()},
	}
	p.Sections = append(p.Sections, Section{ID: "line", Heading: "The points and their line", Blocks: blocks})
	var sources []string
	for _, published := range l.Published {
		sources = append(sources, fmt.Sprintf("%s: %s. Here %s.", published.Name, published.Source, published.Note))
	}
	if len(sources) > 0 {
		p.Sections = append(p.Sections, Section{ID: "published", Heading: "Published lines", Blocks: []Block{{List: sources}}})
	}
	return p, nil
}

// sentences say what the line comes to, and how it stands beside published ones.
func (l Line) sentences() []string {
	const femto = 1e-15
	off, u := l.Line.Slope-physics.HOverE, l.Line.USlope
	phi, uPhi := l.Line.WorkFunction()
	said := []string{
		fmt.Sprintf("h/e is %.3f × 10⁻¹⁵ V s with a standard uncertainty of %.3f × 10⁻¹⁵ V s. That is %+.1f %% off the exact value%s.",
			l.Line.Slope/femto, u/femto, 100*off/physics.HOverE, inItsU(off, u)),
		fmt.Sprintf("The intercept gives the work function of the collector (the anode): %.2f eV, with a standard uncertainty of %.2f eV. It says nothing of the emitter (the photocathode).", phi, uPhi),
	}
	for _, p := range l.Published {
		line, err := analysis.Ordinary{}.Fit(p.Points())
		if err != nil {
			continue
		}
		own, _ := line.WorkFunction()
		between := l.Line.Slope - line.Slope
		said = append(said, fmt.Sprintf("%s has the slope %.3f × 10⁻¹⁵ V s: this table's is %+.1f %% from it%s. Its intercept is another, %.2f eV: %s.",
			capital(p.Name), line.Slope/femto, 100*between/line.Slope, inItsU(between, math.Hypot(u, line.USlope)), own, p.Note))
	}
	if len(l.LeftOut) > 0 {
		said = append(said, "Left out of the line: "+strings.Join(l.LeftOut, ", ")+".")
	}
	return said
}

// capital makes the first letter of a sentence large.
func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// inItsU says how many uncertainties a difference is, where there is one.
func inItsU(difference, u float64) string {
	if !(u > 0) {
		return ""
	}
	return fmt.Sprintf(", which is %.1f of its standard uncertainties", math.Abs(difference)/u)
}

// points is the table of the points with what each is off the line.
func (l Line) points() *Table {
	t := &Table{
		Caption: "The points of the line",
		Columns: append([]Column{{Name: "setting"}}, Numbered("frequency / THz", "stopping voltage / V", "standard uncertainty / V", "off the line / mV")...),
	}
	for i, p := range l.Points {
		u := "\u2013"
		if p.UStopping > 0 {
			u = fmt.Sprintf("%.3g", p.UStopping)
		}
		t.Rows = append(t.Rows, []string{p.Setting, fmt.Sprintf("%.2f", p.Frequency/1e12), fmt.Sprintf("%.4g", p.Stopping), u,
			strings.Replace(fmt.Sprintf("%.1f", 1000*l.Line.Residuals[i]), "-", "\u2212", 1)})
	}
	return t
}
