package page

import (
	"fmt"
	"math"

	"stopvolt/cmd/stopvolt/internal/figure"
	"stopvolt/cmd/stopvolt/internal/result"
	"stopvolt/cmd/stopvolt/internal/words"
)

// A Match is what the page of a match is made of.
type Match struct {
	Origin Origin
	Told   result.Match
}

// Page returns the page.
func (p Match) Page() (Page, error) {
	m := p.Told
	page := Page{
		Title: "A measured run beside simulated benches",
		Lead: fmt.Sprintf("%d benches of %s, in worlds of any h/e from 2.5e-15 to 7e-15 V s, were swept at this run's own voltages, with its noise and last digit; "+
			"what their curves say of the error of the reading is taken off the run's.", m.Benches, m.Population),
		Findings: printed(m.Sentences()),
		Safety:   words.Cautions(),
		Made:     p.Origin.terms(),
	}
	var bands figure.Bands
	bands.Title = "The run over the band of the benches like it"
	for _, b := range m.Band {
		bands.Curves = append(bands.Curves, figure.BandOfCurve{Name: b.Line, Cutoff: b.Cutoff, V: b.V, Current: b.Current, Low: b.Low, High: b.High})
	}
	curves, err := drawn(bands, "Left: the signed root of the current over that near 0 V, which keeps the knee in sight. Right: where between the ends of the band, "+
		"at -1 and 1, each reading lies. A bench of the population leaves it now and then; a run that stays outside is unlike them.", nil)
	if err != nil {
		return page, err
	}
	correction := figure.Correction{Title: "What the run is corrected by", At: m.HOverE / m.Raw, Low: m.Low / m.Raw, High: m.High / m.Raw}
	for _, c := range m.Cloud {
		correction.Predicted = append(correction.Predicted, factor(c.Predicted))
		correction.True = append(correction.True, factor(c.True))
	}
	cloud, err := drawn(correction, "Each grey point is a bench that was read like the run, and whose truth is known. The wider they scatter about the dashed line, the less a run like "+
		"this one says. Factors beyond 0.5 and 2 stand at the edge.", nil)
	if err != nil {
		return page, err
	}
	page.Sections = []Section{
		{ID: "curves", Heading: "The curves", Blocks: []Block{curves}},
		{ID: "correction", Heading: "The correction", Blocks: []Block{cloud}},
		{ID: "bench", Heading: "What the run tells of the bench", Blocks: p.bench()},
		{ID: "trust", Heading: "Why believe a simulation", Blocks: []Block{{List: []string{
			"Nothing in the match knows the book value of h/e: the benches stand in worlds of any h/e, and only numbers without a unit are compared.",
			"The interval is as wide as it must be to hold the truth of 95 % of benches that had no part in the learning.",
			"A second way of learning, by a local line, gives " + fmt.Sprintf("%.4g V s; the difference is part of the interval.", m.Second),
			"A run that looks like no simulated bench, or whose answer hangs on one line more than theirs do, gets a wider interval or none.",
			"It is not claimed that the interval holds for each kind of bench alike, nor for a bench that the population does not have.",
		}}}},
	}
	return page, nil
}

// factor bounds the exponential of a logarithm for the picture.
func factor(logarithm float64) float64 { return min(max(math.Exp(logarithm), 0.5), 2) }

// bench tells what is known of the bench.
func (p Match) bench() []Block {
	table := &Table{Caption: "95 % ranges before and after", Columns: []Column{{Name: "number of the bench"}, {Name: "unit"}, {Name: "before"}, {Name: "after"}}}
	for _, q := range p.Told.Parameters {
		word := func(x float64) string {
			if i := int(x); q.Words != nil && i >= 0 && i < len(q.Words) {
				return q.Words[i]
			}
			return minus(fmt.Sprintf("%.3g", x))
		}
		between := func(low, high float64) string {
			if low == high {
				return word(low)
			}
			return word(low) + " to " + word(high)
		}
		table.Rows = append(table.Rows, []string{q.Key, q.Unit, between(q.BeforeLow, q.BeforeHigh), between(q.AfterLow, q.AfterHigh)})
	}
	blocks := []Block{{Text: words.KeysOfParts}, {Table: table}}
	var alike []string
	for _, a := range p.Told.Alike {
		alike = append(alike, fmt.Sprintf("%s and %s (correlation %.2f)", a.A, a.B, a.Correlation))
	}
	if len(alike) > 0 {
		blocks = append(blocks, Block{Text: "What goes together among the benches like the run, so that it cannot be told apart:"}, Block{List: alike})
	}
	return blocks
}
