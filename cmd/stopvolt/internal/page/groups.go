package page

import (
	"fmt"

	"stopvolt/analysis/groups"
	"stopvolt/cmd/stopvolt/internal/draw"
	"stopvolt/cmd/stopvolt/internal/result"
	"stopvolt/cmd/stopvolt/internal/words"
)

// Groups is what the page of a term is made of.
type Groups struct {
	Origin  Origin
	Term    result.Term
	History []groups.Entry
}

// Page returns the page.
func (p Groups) Page() (Page, error) {
	page := Page{
		Title:    "The groups of a term",
		Lead:     fmt.Sprintf("%d runs, all read in one way, and what they come to together.", len(p.Term.Rows)),
		Findings: printed(p.Term.Sentences()),
		Safety:   words.Cautions(),
		Made:     p.Origin.terms(),
	}
	picture, err := draw.Term(p.Term).Picture()
	if err != nil {
		return page, err
	}
	blocks := []Block{
		{Figure: &Figure{Picture: picture, Caption: "Marks are h/e as read by one method; bars are standard uncertainties; that of the corrected mean is its 95 % interval's half-width over 1.96. Zero is the exact value. In the table the work function is that of the collector (the anode)."}},
		{Table: tableOf("The groups", result.GroupTable(p.Term.Rows))},
	}
	page.Sections = append(page.Sections, Section{ID: "groups", Heading: "The groups", Blocks: blocks})
	var said []Block
	for _, r := range p.Term.Rows {
		list := result.FindingList(r.Findings)
		if len(list) > 0 {
			said = append(said, Block{Text: r.Group + ":"}, Block{List: list})
		}
	}
	if len(said) > 0 {
		page.Sections = append(page.Sections, Section{ID: "findings", Heading: "What the readings themselves say", Blocks: said})
	}
	if questions := p.Term.Questions(); len(questions) > 0 {
		page.Sections = append(page.Sections, Section{ID: "questions", Heading: "Questions, and no verdicts", Blocks: []Block{{List: questions}}})
	}
	if len(p.History) > 0 {
		years, err := draw.Years(p.History).Picture()
		if err != nil {
			return page, err
		}
		blocks := []Block{{Figure: &Figure{Picture: years, Caption: "From the ledger of benches, a mark a run."}}}
		if list := p.Term.Years(); len(list) > 0 {
			blocks = append(blocks, Block{List: list})
		} else {
			blocks = append(blocks, Block{Text: "No bench changes by more than chance explains."})
		}
		page.Sections = append(page.Sections, Section{ID: "years", Heading: "The benches over the years", Blocks: blocks})
	}
	return page, nil
}
