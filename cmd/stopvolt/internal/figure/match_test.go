package figure

import (
	"math"
	"testing"
)

func ExampleBands() {
	var f Bands
	f.Title = "An invented run over its bands"
	for i, name := range []string{"violet", "green", "yellow"} {
		c := BandOfCurve{Name: name, Cutoff: 1.1 - 0.3*float64(i)}
		for k := range 31 {
			v := -0.5 + 0.08*float64(k)
			rest := max(c.Cutoff-v, 0) / (c.Cutoff + 0.5)
			c.V = append(c.V, v)
			c.Current = append(c.Current, rest*rest-0.01)
			c.Low = append(c.Low, 0.93*rest*rest-0.02)
			c.High = append(c.High, 1.05*rest*rest)
		}
		f.Curves = append(f.Curves, c)
	}
	show(f.Picture())
}

func ExampleCorrection() {
	f := Correction{Title: "What an invented run is corrected by", At: 1.06, Low: 0.97, High: 1.2}
	for i := range 200 {
		p := 1 + 0.15*math.Sin(float64(i))
		f.Predicted = append(f.Predicted, p)
		f.True = append(f.True, p*(1+0.05*math.Sin(float64(i*i))))
	}
	show(f.Picture())
}

func TestBandsLookAsBefore(t *testing.T) { matches(t, ExampleBands, "bands") }

func TestCorrectionLooksAsBefore(t *testing.T) { matches(t, ExampleCorrection, "correction") }

func TestBandsThatDoNotFitAreAnError(t *testing.T) {
	two := []float64{0, 1}
	for _, f := range []Bands{
		{},
		{Curves: []BandOfCurve{{V: two, Current: two, Low: two}}},
		{Curves: []BandOfCurve{{V: two, Current: []float64{0, math.NaN()}, Low: two, High: two}}},
	} {
		if _, err := f.Picture(); err == nil {
			t.Errorf("%+v is drawn", f)
		}
	}
	if _, err := (Correction{Predicted: two}).Picture(); err == nil {
		t.Error("a correction without truths is drawn")
	}
}
