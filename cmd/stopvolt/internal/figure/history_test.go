package figure

import (
	"math"
	"testing"
	"time"
)

func ExampleHistory() {
	var days []time.Time
	var steady, ageing, repaired []float64
	for i := range 10 {
		days = append(days, time.Date(2020, 3, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 6*i, 0))
		wave := 0.03 * math.Sin(float64(5*i))
		steady = append(steady, 1+wave)
		ageing = append(ageing, math.Exp(-0.08*float64(i))+wave/2)
		repaired = append(repaired, 0.8+0.25*float64(i/6)-wave)
	}
	since := []time.Time{days[6]}
	show(History{
		Title:   "Three invented benches over the years",
		Benches: []string{"window", "door", "stairs"},
		Panels: []HistoryPanel{
			{Axis: "current / mean", Series: []Dated{{days, steady, nil}, {days, ageing, nil}, {days, repaired, since}}},
			{Axis: "plateau / %", Series: []Dated{{days, repaired, nil}, {days, steady, nil}, {days[:4], ageing[:4], since}}},
		},
	}.Picture())
}

func TestHistoryLooksAsBefore(t *testing.T) { matches(t, ExampleHistory, "history") }

func TestHistoryThatDoesNotFitIsAnError(t *testing.T) {
	day := []time.Time{{}}
	for _, f := range []History{
		{},
		{Benches: []string{"a"}},
		{Benches: []string{"a"}, Panels: []HistoryPanel{{Axis: "x"}}},
		{Benches: []string{"a"}, Panels: []HistoryPanel{{Axis: "x", Series: []Dated{{Days: day}}}}},
		{Benches: []string{"a"}, Panels: []HistoryPanel{{Axis: "x", Series: []Dated{{Days: day, Values: []float64{math.NaN()}}}}}},
		{Benches: make([]string, 20), Panels: []HistoryPanel{{Axis: "x", Series: make([]Dated, 20)}}},
	} {
		if _, err := f.Picture(); err == nil {
			t.Errorf("%+v is drawn", f)
		}
	}
}
