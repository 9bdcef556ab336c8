package analysis

import (
	"math"
	"testing"

	"stopvolt/instrument/run"
)

// The readings in a method's window move its cutoff, and those beside it do not.
func TestACutoffComesFromTheReadingsOfItsWindow(t *testing.T) {
	curve := planePair().noisy(435.833, 2e-13, 0, source(3))
	// What a method draws is asked, so that a curve too round for it serves as well.
	moved := func(m Method, at int) bool {
		c := curve
		c.Readings = append([]run.Reading(nil), curve.Readings...)
		before := m.(drawing).draw(prepared(t, c, run.Facts{}), 1).v
		c.Readings[at].Current += c.Readings[at].Uncertainty / 100
		after := m.(drawing).draw(prepared(t, c, run.Facts{}), 1).v
		if !finite(before) || !finite(after) || before == 0 {
			t.Fatalf("%s: %v V, then %v V", m.Name(), before, after)
		}
		return math.Abs(after-before) > 1e-12
	}
	windowed := 0
	for _, m := range Methods() {
		w, is := m.(Windowed)
		if !is {
			continue
		}
		windowed++
		window := w.Window(prepared(t, curve, run.Facts{}))
		if !(window.High > window.Low && window.Low > 0 && window.From < window.To) {
			t.Errorf("%s: %+v", m.Name(), window)
		}
		first, last := -1, -1
		for i, r := range curve.Readings {
			if r.Retarding >= window.From && r.Retarding <= window.To {
				if first < 0 {
					first = i
				}
				last = i
			}
		}
		for at, want := range map[int]bool{first - 1: false, first: true, last: true} {
			if got := moved(m, at); got != want {
				t.Errorf("%s: the reading at %.3g V moves the cutoff: %v, want %v; the window is %+v", m.Name(), curve.Readings[at].Retarding, got, want, window)
			}
		}
	}
	if windowed < 4 {
		t.Errorf("%d methods tell their window", windowed)
	}
}
