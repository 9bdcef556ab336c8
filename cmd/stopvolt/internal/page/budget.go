package page

import (
	"fmt"

	"stopvolt/cmd/stopvolt/internal/draw"
	"stopvolt/cmd/stopvolt/internal/result"
	"stopvolt/cmd/stopvolt/internal/words"
)

// A Budget is what the page of a budget is made of.
type Budget struct {
	Origin Origin
	Told   result.Budget
}

// Page returns the page.
func (p Budget) Page() (Page, error) {
	page := Page{
		Title:    "Which effects make the error of h/e",
		Lead:     p.Told.Title,
		Findings: printed(p.Told.Conclusion()),
		Safety:   words.Cautions(),
		Made:     p.Origin.terms(Term{Name: "Benches", Text: fmt.Sprintf("%d, each with its effects on and off on the same random numbers", p.Told.Benches)}),
	}
	blocks, err := budgetBlocks(p.Told)
	page.Sections = []Section{{ID: "budget", Heading: "Which effect makes how much, and what to change", Blocks: blocks}}
	return page, err
}

// budgetBlocks show the groups of effects, and what changes at the bench are worth.
func budgetBlocks(b result.Budget) ([]Block, error) {
	if len(b.Groups) == 0 {
		return []Block{{Text: "The apparatus is ideal: it has no effect to take away."}}, nil
	}
	block, err := drawn(draw.Budget(b.Budget), fmt.Sprintf("Each bar is what a group of effects adds to the mean logarithm of h/e read over true, at %d benches: the mean over random orders in which they are switched on. With what remains without them they add up to the whole error. The emitter is the photocathode, and the collector the anode.", b.Benches),
		tableOf("The numbers: how far h/e moves when the effects are removed", b.Table()))
	blocks := []Block{block}
	for _, row := range b.Rows {
		blocks = append(blocks, Block{Text: printed([]string{words.BestChange(row)})[0]}, Block{List: printed(words.Changes(row))})
	}
	return blocks, err
}
