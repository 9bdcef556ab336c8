package figure

import (
	"strconv"
	"testing"

	"gonum.org/v1/plot/vg"
)

// plainNumber writes numbers as English readers do.
func plainNumber(x float64, decimals int) string { return strconv.FormatFloat(x, 'f', decimals, 64) }

func ExamplePaper() {
	f := Paper{
		Alt: "A curve on graph paper.", XLabel: "retarding voltage / V", YLabel: "current / pA",
		X: NewPaperAxis(-1, 2.2), Y: NewPaperAxis(-3, 310), Number: plainNumber, Width: 516, Height: 320,
	}
	for i := range 30 {
		v := -1 + 0.1*float64(i)
		f.Points = append(f.Points, [2]float64{v, 310 * (1.9 - v) * (1.9 - v) / 8.41})
	}
	show(f.Picture())
}

func ExamplePaper_logarithmic() {
	show(Paper{
		Alt: "Logarithmic graph paper, grey and in large print.", XLabel: "retarding voltage / V", YLabel: "current / pA",
		X: NewPaperAxis(0, 2), Y: NewLogarithmicAxis(0.2, 310), Number: plainNumber, Width: 250, Height: 220, Grey: true, Large: true,
	}.Picture())
}

func TestPaper(t *testing.T)            { matches(t, ExamplePaper, "paper") }
func TestLogarithmicPaper(t *testing.T) { matches(t, ExamplePaper_logarithmic, "paperlog") }

func TestAxesHoldTheirValuesInRoundSteps(t *testing.T) {
	for _, x := range [][2]float64{{-1, 2.2}, {-0.4, 310.7}, {0, 0}, {-3e-3, 1e-3}, {498, 841}} {
		a := NewPaperAxis(x[0], x[1])
		if _, major := a.lines(); a.Low > x[0] || a.High < x[1] || len(major) < 5 || len(major) > 12 {
			t.Errorf("%v lies on an axis from %g to %g with %d numbers", x, a.Low, a.High, len(major))
		}
	}
	for _, x := range [][2]float64{{0.2, 310}, {1, 10}, {1, 1}, {3e-4, 5e3}} {
		if a := NewLogarithmicAxis(x[0], x[1]); a.Low > x[0] || a.High < x[1] || a.High < 9.99*a.Low || a.High > 200*x[1] || a.Low < x[0]/11 {
			t.Errorf("%v lies on an axis from %g to %g", x, a.Low, a.High)
		}
	}
}

func TestImpossiblePaperIsRefused(t *testing.T) {
	good := Paper{X: NewPaperAxis(0, 1), Y: NewPaperAxis(0, 1), Number: plainNumber, Width: 200, Height: 200}
	if _, err := good.Picture(); err != nil {
		t.Error(err)
	}
	for _, change := range []func(*Paper){
		func(p *Paper) { p.X.High = p.X.Low },
		func(p *Paper) { p.Y.Major = 1e-9 },
		func(p *Paper) { p.Y = PaperAxis{Low: 0, High: 1, Logarithmic: true} },
		func(p *Paper) { p.Width = 10 },
	} {
		bad := good
		change(&bad)
		if _, err := bad.Picture(); err == nil {
			t.Errorf("%+v is drawn", bad)
		}
	}
}

// Fine lines lie no closer than two thirds of a millimetre, and are whole parts of a
// thick one.
func TestFineLinesOfPaperCanBeToldApart(t *testing.T) {
	for _, length := range []vg.Length{60, 120, 200, 400} {
		for _, ends := range [][2]float64{{-2, 38}, {0, 7}, {-1, 2.2}, {0, 260}, {0.6, 2.2}} {
			a := NewPaperAxis(ends[0], ends[1]).thinned(length)
			apart := float64(length) * a.Major / (a.High - a.Low) / float64(a.Fine)
			if apart < 1.8 && a.Fine > 2 || 10%a.Fine != 0 {
				t.Errorf("from %g to %g over %g points: %d parts of %.2f points", ends[0], ends[1], length, a.Fine, apart)
			}
			if length >= 400 && a.Fine != 10 {
				t.Errorf("from %g to %g over %g points: %d parts only", ends[0], ends[1], length, a.Fine)
			}
		}
	}
}
