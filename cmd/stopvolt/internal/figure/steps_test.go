package figure

import (
	"slices"
	"testing"
)

func ExampleSteps_Slide_narrow() { showNarrow(benchSteps().Slide(2)) }

func TestStepsNarrowSlide(t *testing.T) { matches(t, ExampleSteps_Slide_narrow, "slide-narrow") }

// ramp is a knee of three steps: the second moves a line of 1 nA by a change in A, and
// the third by a tenth of the height.
func ramp(change float64) Steps {
	f := Steps{Truth: 1, Limit: 1, Steps: []Step{{Cause: "corner"}, {Cause: "little"}, {Cause: "much"}}}
	for i := range 41 {
		v := float64(i) / 20
		for k, add := range []float64{0, change, 1e-10} {
			f.Steps[k].V = append(f.Steps[k].V, v)
			f.Steps[k].I = append(f.Steps[k].I, 1e-9*(1-v/2)+add)
		}
	}
	return f
}

// What moves less than the line is wide is shown as a difference that says how much it
// is; what can be seen is not.
func TestStepsThatCannotBeSeenAreMagnified(t *testing.T) {
	for _, test := range []struct {
		change float64
		small  bool
	}{{1e-13, true}, {6e-12, true}, {9e-12, false}, {-1e-13, true}, {-5e-11, false}} {
		f := ramp(test.change)
		most, small := f.change(1)
		if small != test.small || most < 0.999*max(test.change, -test.change) || most > 1.001*max(test.change, -test.change) {
			t.Errorf("a step of %g A is small: %t, with at most %g A", test.change, small, most)
		}
		if _, small := f.change(2); small {
			t.Error("a tenth of the height is taken for small")
		}
		said := slices.ContainsFunc(f.slideKeys(1), func(k key) bool { return k.text == "the change, magnified" })
		if said != test.small {
			t.Errorf("the key of a step of %g A names a change: %t", test.change, said)
		}
		if _, err := f.Slide(1); err != nil {
			t.Error(err)
		}
	}
	if _, small := ramp(1).change(0); small {
		t.Error("the corner has no step before it")
	}
}
