package page

import (
	"fmt"
	"math"

	"stopvolt/analysis/study"
	"stopvolt/cmd/stopvolt/internal/draw"
	"stopvolt/cmd/stopvolt/internal/words"
	"stopvolt/scenarios"
)

// A Chart is what the sheet for the preparation room is made of.
type Chart struct {
	Origin   Origin
	Scenario scenarios.Scenario
	Study    study.Study
	Chart    study.Chart
}

// Page returns the sheet.
func (p Chart) Page() (Page, error) {
	c := p.Chart
	name, _, percent := words.ReadOff(c.By, c.Method)
	picture, err := drawn(draw.Chart(c), "The factor, what holds two thirds of the benches, and what holds 95 %. A range that goes to the top has no end.", nil)
	if err != nil {
		return Page{}, err
	}
	one, unit := 1.0, ""
	if percent {
		one, unit = 100, " / %"
	}
	t := &Table{Caption: "Multiply the h/e that you read by", Columns: append(Numbered(name+" from"+unit, "to"+unit, "factor", "two thirds from", "to", "95 % from", "to"), Column{"benches", true})}
	for _, r := range c.Rows {
		f := r.Factor
		t.Rows = append(t.Rows, []string{fmt.Sprintf("%.3g", one*r.From), fmt.Sprintf("%.3g", one*r.To), number(f.Median), number(f.LikelyLow), number(f.LikelyHigh), number(f.Low), number(f.High), fmt.Sprint(f.Benches)})
	}
	var said []Block
	for _, text := range printed(words.ChartSentences(c)) {
		said = append(said, Block{Text: text})
	}
	line := c.Fit
	if c.Fit == study.HandLine {
		line = "drawn by hand"
	}
	return Page{
		Title: "What to correct h/e by",
		Lead:  p.Scenario.Title,
		Findings: printed([]string{
			fmt.Sprintf("For %s, line %s. Read off the %s, look it up, and write down the raw h/e beside the corrected one: \"corrected for reading and bench by ..., from simulation, population %s\".", c.Method, line, name, p.Scenario.Name),
		}),
		Sections: []Section{
			{ID: "chart", Heading: "The chart", Blocks: []Block{picture, {Table: t}}},
			{ID: "reading", Heading: "How it is read, and what it is worth", Blocks: said},
			{ID: "valid", Heading: "For which benches it holds", Blocks: []Block{{Terms: words.Validity(p.Study.Population)}}},
		},
		Safety: words.Cautions(),
		Made:   p.Origin.terms(),
	}, nil
}

// number writes a factor.
func number(x float64) string {
	switch {
	case math.IsNaN(x):
		return "–"
	case math.IsInf(x, 1):
		return "no end"
	}
	return fmt.Sprintf("%.2f", x)
}
