package figure

import (
	"math"
	"testing"
)

// chartOfBenches is an invented chart.
func chartOfBenches() Chart {
	return Chart{
		Title:   "What to multiply h/e by: invented figures",
		Reading: "reverse plateau over the current at zero volts / %",
		Steps: []ChartStep{
			{0.1, 0.4, 1.02, 0.96, 1.18, 1.0, 1.05},
			{0.4, 1.3, 1.05, 0.97, 1.31, 1.02, 1.09},
			{1.3, 4, 1.11, 0.99, 1.9, 1.05, 1.2},
			{4, 11, 1.3, 1.02, math.Inf(1), 1.12, 1.6},
		},
	}
}

func ExampleChart() {
	show(chartOfBenches().Picture())
}

func TestChart(t *testing.T) { matches(t, ExampleChart, "chart") }

func TestAChartThatDoesNotFitIsAnError(t *testing.T) {
	for name, f := range map[string]Chart{
		"no steps":         {},
		"a step back":      {Steps: []ChartStep{{From: 2, To: 1, Median: 1}}},
		"steps that lap":   {Steps: []ChartStep{{From: 0, To: 2, Median: 1}, {From: 1, To: 3, Median: 1}}},
		"no factor":        {Steps: []ChartStep{{From: 0, To: 2, Median: math.NaN()}}},
		"a step to no end": {Steps: []ChartStep{{From: 0, To: math.Inf(1), Median: 1}}},
	} {
		if _, err := f.Picture(); err == nil {
			t.Errorf("%s was drawn", name)
		}
	}
}
