package draw

import (
	"stopvolt/analysis/study"
	"stopvolt/cmd/stopvolt/internal/figure"
)

// Budget shows how far the h/e of each row moves when a group of effects is removed.
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
			// As in the table, it is told what comes of removing them.
			column.Shifts, column.Errors = append(column.Shifts, -share.Value), append(column.Errors, share.Error)
		}
		f.Methods = append(f.Methods, column)
	}
	return f
}
