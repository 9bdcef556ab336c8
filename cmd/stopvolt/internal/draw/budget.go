package draw

import (
	"stopvolt/analysis/study"
	"stopvolt/cmd/stopvolt/internal/figure"
)

// Budget shows what each group of effects adds to the error of each row.
func Budget(b study.Budget) figure.Budget {
	var f figure.Budget
	for _, g := range b.Groups {
		f.Effects = append(f.Effects, g.Name)
	}
	fits := make(map[string]bool)
	for _, row := range b.Rows {
		fits[row.Fit] = true
	}
	for _, row := range b.Rows {
		column := figure.BudgetColumn{Method: row.Method}
		if len(fits) > 1 {
			column.Fit = row.Fit
		}
		for _, share := range row.Shares {
			column.Shifts, column.Errors = append(column.Shifts, share.Value), append(column.Errors, share.Error)
		}
		f.Methods = append(f.Methods, column)
	}
	return f
}
