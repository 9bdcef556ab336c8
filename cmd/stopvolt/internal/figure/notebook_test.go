package figure

import (
	"math"
	"testing"

	"stopvolt/instrument/run"
)

// notebookWords are English ones.
var notebookWords = NotebookWords{
	Alt: "The readings of a page.", Voltage: "retarding voltage", Current: "current", Reading: "reading", Struck: "struck out",
	Beside: "undimmed, a tenth", Sketch: "as sketched before", Ruler: "ruler", Cutoff: "cutoff as read", Overload: "beyond the range",
	Whole: "whole curve", Knee: "knee", Share: "per cent of the largest current",
}

// notebookPage is a page with everything on it.
func notebookPage() Notebook {
	page := Notebook{
		Words: notebookWords, Scale: 0.1,
		SketchV: []float64{-1, -0.5, 0, 0.5, 1, 1.5, 2}, SketchI: []float64{100, 100, 95, 60, 0, 0, 0},
		Ruler:  &[2]struct{ V, I float64 }{{0.3, 4e-10}, {0.9, 5e-11}},
		Cutoff: &struct{ V, U float64 }{0.92, 0.03},
		Struck: []run.Reading{{Retarding: 0.5, Current: 6e-10}},
	}
	for i := range 50 {
		v := -1 + 0.05*float64(i)
		left := math.Max(1-(v+1)/2, 0)
		r := run.Reading{Retarding: v, Current: 1.1e-9*left*left - 8e-12, Uncertainty: 3e-12}
		page.Readings = append(page.Readings, r)
		if i%3 == 0 {
			r.Current, r.Retarding = 10*r.Current, r.Retarding+0.01
			page.Beside = append(page.Beside, r)
		}
	}
	return page
}

func ExampleNotebook() {
	p, _, err := notebookPage().Picture()
	show(p, err)
}

func ExampleNotebook_narrow() {
	page := notebookPage()
	page.Narrow = true
	p, _, err := page.Picture()
	show(p, err)
}

func TestNotebook(t *testing.T)       { matches(t, ExampleNotebook, "notebook") }
func TestNotebookNarrow(t *testing.T) { matches(t, ExampleNotebook_narrow, "notebook-narrow") }

// A page without readings, or with one, is a picture too.
func TestNotebookOfFewReadings(t *testing.T) {
	for n := range 4 {
		page := notebookPage()
		page.Readings, page.Struck, page.Beside, page.Cutoff, page.Ruler = page.Readings[:n], nil, nil, nil, nil
		if _, _, err := page.Picture(); err != nil {
			t.Errorf("%d readings: %v", n, err)
		}
	}
	page := notebookPage()
	page.Readings[3].Current = math.NaN()
	if _, _, err := page.Picture(); err == nil {
		t.Error("a reading that is not a number is drawn")
	}
}

// A place on the picture is turned into the voltage and current that are drawn
// there: the panels hold the readings.
func TestNotebookPanelsHoldTheReadings(t *testing.T) {
	for _, narrow := range []bool{false, true} {
		page := notebookPage()
		page.Narrow = narrow
		_, panels, err := page.Picture()
		if err != nil || len(panels) != 2 {
			t.Fatal(len(panels), err)
		}
		for i, p := range panels {
			if !(0 < p.Left && p.Left < p.Right && p.Right < 1 && 0 < p.Top && p.Top < p.Bottom && p.Bottom < 1) {
				t.Errorf("panel %d lies at %+v", i, p)
			}
		}
		for _, r := range page.Readings {
			if w := panels[0]; r.Retarding < w.LowV || r.Retarding > w.HighV || r.Current < w.LowI || r.Current > w.HighI {
				t.Errorf("the reading at %g V is outside the whole curve's panel", r.Retarding)
			}
		}
		if k := panels[1]; !(k.LowV < page.Cutoff.V && page.Cutoff.V < k.HighV) {
			t.Errorf("the knee's panel from %g to %g V lacks the cutoff", k.LowV, k.HighV)
		}
	}
}

func BenchmarkNotebook(b *testing.B) {
	page := notebookPage()
	for b.Loop() {
		p, _, err := page.Picture()
		if err != nil {
			b.Fatal(err)
		}
		if _, err := p.svg(); err != nil {
			b.Fatal(err)
		}
	}
}

// A page on which nothing is written has no scale of currents: what was expected is
// drawn in per cent, and there is nothing for a ruler to lie on.
func TestNotebookWithoutReadingsIsInPerCent(t *testing.T) {
	blank := Notebook{Words: notebookWords, SketchV: []float64{-1, 0, 2}, SketchI: []float64{100, 90, 0}}
	p, u := blank.plot(blank.sweep(), 0, true)
	if p.Y.Label.Text != notebookWords.Share || p.Y.Max < 100 || p.Y.Min > 0 || u.name != "" {
		t.Errorf("the axis is %q from %g to %g in %q", p.Y.Label.Text, p.Y.Min, p.Y.Max, u.name)
	}
	if _, panels, err := blank.Picture(); err != nil || panels != nil {
		t.Errorf("%d panels, %v", len(panels), err)
	}
}

// The knee is enlarged no further than a few readings allow.
func TestKneeHoldsReadings(t *testing.T) {
	coarse := Notebook{Words: notebookWords}
	for i := range 8 {
		v := -1 + 0.5*float64(i)
		left := math.Max(1-(v+1)/3, 0)
		coarse.Readings = append(coarse.Readings, run.Reading{Retarding: v, Current: 1e-9*left*left - 1e-12})
	}
	e := coarse.knee()
	inside := 0
	for _, r := range coarse.Readings {
		if r.Retarding >= e.low && r.Retarding <= e.high {
			inside++
		}
	}
	if inside < fewest {
		t.Errorf("%d readings from %g to %g V", inside, e.low, e.high)
	}
}
