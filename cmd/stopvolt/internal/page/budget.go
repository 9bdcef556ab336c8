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
	inOrder := b.Budget
	inOrder.Rows = b.Ordered()
	block, err := drawn(draw.Budget(inOrder), fmt.Sprintf("Each bar is how far the mean logarithm of h/e read over true moves when a group of effects is removed, at %d benches: the mean over random orders in which they are removed one after another. A bar to the right belongs to effects that make h/e too small. The emitter is the photocathode, and the collector the anode.", b.Benches),
		tableOf("The numbers: how far h/e moves when the effects are removed", b.Table()))
	first := tableOf("What to change first: error left is the median size of the error after correction, and then is that after the change", b.FirstChanges(result.Page))
	blocks := []Block{{Table: first}, block}
	for _, row := range inOrder.Rows {
		blocks = append(blocks, Block{Text: words.Reading(row.Method, row.Fit) + ":"})
		if row.Dropped == row.Orders && row.Orders > 0 {
			blocks = append(blocks, Block{Text: result.NoShares})
		}
		blocks = append(blocks, Block{List: printed(words.Changes(row))})
	}
	return blocks, err
}
