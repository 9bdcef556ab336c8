package draw

import (
	"stopvolt/analysis/study"
	"stopvolt/cmd/stopvolt/internal/figure"
	"stopvolt/cmd/stopvolt/internal/words"
)

// Chart shows the factor against what is read off.
func Chart(c study.Chart) figure.Chart {
	name, _, percent := words.ReadOff(c.By, c.Method)
	one := 1.0
	if percent {
		name, one = name+" / %", 100
	}
	f := figure.Chart{Reading: name}
	for _, r := range c.Rows {
		f.Steps = append(f.Steps, figure.ChartStep{
			From: one * r.From, To: one * r.To, Median: r.Factor.Median,
			Low: r.Factor.Low, High: r.Factor.High, LikelyLow: r.Factor.LikelyLow, LikelyHigh: r.Factor.LikelyHigh,
		})
	}
	return f
}
