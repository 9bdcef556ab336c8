package draw

import (
	"testing"

	"stopvolt/analysis/study"
	"stopvolt/cmd/stopvolt/internal/result"
)

// What raises h/e when it is removed is a bar to the right, and a number with a plus
// in the table beside it.
func TestABarOfTheBudgetHasTheSignOfItsTable(t *testing.T) {
	b := study.Budget{
		Groups: []study.Group{{Name: "leakage"}},
		Rows:   []study.BudgetRow{{Method: "tangent", Fit: "ordinary", Shares: []study.Measure{{Value: -0.02, Error: 0.001}}}},
	}
	bar := Budget(b).Methods[0].Shifts[0]
	cells := result.Budget{Budget: b}.Table().Rows[0]
	if told := cells[len(cells)-1]; bar != 0.02 || told != "+2.00 ± 0.10" {
		t.Errorf("a share of -2 %% is a bar of %g and %q in the table; removing it moves h/e by +2 %%", bar, told)
	}
}
