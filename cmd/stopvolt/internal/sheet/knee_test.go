package sheet

import (
	"math"
	"testing"

	"stopvolt/analysis/practice"
	"stopvolt/cmd/stopvolt/internal/figure"
	"stopvolt/instrument/run"
)

// The sheet's papers for the knee hold its true end and the readings that lead there,
// and enlarge it: on every light that frees electrons and is what it is said to be,
// whatever the level.
func TestKneePapersEnlargeTheKnee(t *testing.T) {
	checked := 0
	for _, level := range []string{"clean", "ordinary", "awkward"} {
		public, records, _ := class(t, level, practice.Presentation{Language: "en"})
		for _, r := range records {
			h := r.Handout(public)
			for _, s := range r.Truth.Settings {
				if !s.Frees || s.Name == r.Truth.FaultSetting {
					continue
				}
				readings := curveOf(t, h.Run, s.Name)
				k := findKnee(readings, h.Resolution)
				x := figure.NewPaperAxis(k.from, k.to)
				whole := readings[len(readings)-1].Retarding - readings[0].Retarding
				if s.Stopping < k.from || s.Stopping > k.to {
					t.Errorf("%s, %s: the knee ends at %.3f V, and the paper has %.2f to %.2f V", level, s.Name, s.Stopping, k.from, k.to)
				}
				checked++
				if wide := x.High - x.Low; wide > 0.4*whole {
					t.Errorf("%s, %s: the paper has %.2f of %.2f V", level, s.Name, wide, whole)
				}
			}
		}
	}
	if checked < 20 {
		t.Errorf("%d curves were looked at", checked)
	}
}

func curveOf(t *testing.T, r run.Run, setting string) []run.Reading {
	t.Helper()
	for _, c := range r.Curves {
		if c.Setting == setting {
			return c.Readings
		}
	}
	t.Fatalf("no curve of %s", setting)
	return nil
}

// square is a curve that ends as (stop - V)^2 over a plateau, from -1 V on in
// twentieths, current in units of 1 A at zero volts.
func square(stop, level, slope float64) []run.Reading {
	var all []run.Reading
	for i := range 71 {
		v := -1 + float64(i)/20
		fall := max(stop-max(v, -0.5), 0) / stop
		all = append(all, run.Reading{Retarding: v, Current: fall*fall + level + slope*v})
	}
	return all
}

// The root of a current that is four tenths of that at zero volts is 0.632 of the
// root there, so the knee begins at 0.368 of the stopping voltage.
func TestKneeBeginsAtFourTenths(t *testing.T) {
	const step = 0.05
	for _, c := range []struct{ stop, level, slope float64 }{{1.5, 0, 0}, {1, -0.02, 0}, {1.2, -0.02, -0.03}, {0.8, 0.01, 0.02}} {
		k := findKnee(square(c.stop, c.level, c.slope), 1e-4)
		if want := c.stop * (1 - math.Sqrt(0.4)); k.from > want || k.from < want-step-1e-9 {
			t.Errorf("stop %g V: the knee begins at %.2f V, want the reading below %.3f V", c.stop, k.from, want)
		}
		if k.to < c.stop || k.to > c.stop+0.3 {
			t.Errorf("stop %g V: the knee is shown to %.2f V", c.stop, k.to)
		}
	}
}

// A reverse current that saturates slowly is no part of the knee.
func TestKneeEndsBeforeTheBendOfTheReverseCurrent(t *testing.T) {
	readings := square(0.9, 0, 0)
	for i, r := range readings {
		readings[i].Current -= 0.006 * (1 - math.Exp(-max(r.Retarding, 0)))
	}
	if k := findKnee(readings, 1e-5); k.to > 1.2 {
		t.Errorf("the current is at its plateau at 0.9 V, and the knee is shown to %.2f V", k.to)
	}
}

func TestNoKneeIsTheWholeCurve(t *testing.T) {
	flat := square(1, 0, 0)
	for i := range flat {
		flat[i].Current = float64(i%3) * 1e-13
	}
	if k := findKnee(flat, 1e-13); k.from != -1 || k.to != 2.5 {
		t.Errorf("a flat curve has a knee from %g to %g V", k.from, k.to)
	}
	if k := findKnee(flat[:3], 1e-13); k.from != -1 || k.to != flat[2].Retarding {
		t.Errorf("three readings have a knee from %g to %g V", k.from, k.to)
	}
}
