package study

import (
	"maps"
	"math"
	"testing"

	"stopvolt/analysis"
	"stopvolt/physics"
)

// sharp is a method by hand that reads the same cutoff from every curve, and
// tells how long a stretch it was asked to call straight.
type sharp struct{ span *float64 }

func (sharp) Name() string                                                    { return "sharp" }
func (sharp) Page() analysis.Page                                             { return analysis.Page{ByHand: "Look."} }
func (sharp) Construct(*analysis.Prepared, analysis.Cutoff) []analysis.Stroke { return nil }
func (sharp) Cutoff(*analysis.Prepared) analysis.Cutoff {
	return analysis.Cutoff{Stopping: 1, U: 0.001}
}

func (s sharp) Spanned(span float64) analysis.Method {
	*s.span = span
	return s
}

// A sweep over 2 V on paper 180 mm wide: half a millimetre is 5.6 mV, so that a
// person rounds to 10 mV. Over 1500 readings the standard deviation of a cutoff
// is that of the ruler and of rounding together, to five of its own standard
// errors, a false alarm in two million.
func TestAPersonIsOffByTheRulerAndByRounding(t *testing.T) {
	prepared := &analysis.Prepared{V: []float64{-0.5, 1.5}, I: []float64{1, 0}, U: []float64{1, 1}}
	settings := []analysis.Setting{{Wavelength: 400, Frequency: physics.Frequency(400), Prepared: prepared}}
	var h Hand
	var points []analysis.Point
	span, least, most := 0., math.Inf(1), 0.
	var sum, squares float64
	const n = 1500
	for i := range n {
		h.draw(1, i)
		points, _ = h.read(points, sharp{&span}, settings)
		least, most = min(least, span), max(most, span)
		off := points[0].Stopping - 1
		if whole := off / 0.01; math.Abs(whole-math.Round(whole)) > 1e-9 {
			t.Fatalf("person %d reads %g V, which is not rounded to 10 mV", i, points[0].Stopping)
		}
		sum += off
		squares += off * off
	}
	want := math.Hypot(2*0.5/180, 0.01/math.Sqrt(12))
	deviation := math.Sqrt(squares/n - sum*sum/n/n)
	if math.Abs(sum/n) > 5*want/math.Sqrt(n) || math.Abs(deviation/want-1) > 5/math.Sqrt(2*n) {
		t.Errorf("people are off by %.2g V with a deviation of %.3g V, want none and %.3g V", sum/n, deviation, want)
	}
	if least < 1/1.5 || least > 0.7 || most > 1.5 || most < 1.45 {
		t.Errorf("people call from %.2f to %.2f of the usual stretch straight", least, most)
	}
}

// A line with nine tenths of the book's slope, and a person who goes a tenth of
// the way: 0.91.
func TestAPersonLeansTowardsTheBook(t *testing.T) {
	h := Hand{Lean: 0.1}
	points := []analysis.Point{
		{Frequency: 5e14, Stopping: 0.9 * physics.HOverE * 5e14},
		{Frequency: 6e14, Stopping: 0.9 * physics.HOverE * 6e14},
		{Frequency: 8e14, Stopping: 0.9 * physics.HOverE * 8e14},
	}
	h.lean(points)
	line, err := analysis.Ordinary{}.Fit(points)
	if err != nil {
		t.Fatal(err)
	}
	if got := line.Slope / physics.HOverE; math.Abs(got-0.91) > 1e-9 {
		t.Errorf("the slope is %.4f of the book's, want 0.91", got)
	}
}

// A lost setting moves the reading of no other.
func TestALostSettingMovesNoOther(t *testing.T) {
	prepared := &analysis.Prepared{V: []float64{-0.5, 1.5}, I: []float64{1, 0}, U: []float64{1, 1}}
	read := func(first *analysis.Prepared) float64 {
		var h Hand
		h.draw(7, 3)
		h.Lean = 0
		points, lost := h.read(nil, sharp{new(float64)}, []analysis.Setting{
			{Wavelength: 400, Prepared: first}, {Wavelength: 500, Prepared: prepared},
		})
		if (lost == 1) != (first == nil) {
			t.Errorf("%d settings are lost", lost)
		}
		return points[len(points)-1].Stopping
	}
	if a, b := read(prepared), read(nil); a != b {
		t.Errorf("with the first setting the second is %g V, without %g V", a, b)
	}
}

// The bins are symmetric about zero, where one begins: that below zero is -1.
func TestSizesFallIntoTheMirroredBins(t *testing.T) {
	h := histogram{-1: 1, 0: 4, -3: 2}
	if got, want := h.folded(), (histogram{0: 5, 2: 2}); !maps.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
	for _, x := range []float64{0.3, -0.3, 1e-7, -1e-7, 12345, 0} {
		low, high := edge(place(x)), edge(place(x)+1)
		if x < low-1e-12*math.Abs(x) || x > high+1e-12*math.Abs(x) {
			t.Errorf("%g lies in a bin from %g to %g", x, low, high)
		}
	}
}
