package match

import (
	"context"
	"strings"
	"testing"

	"stopvolt/analysis"
	"stopvolt/instrument/population"
)

// Benches with a large reverse current, read at the zero of the current, are what
// the first candidate is about; at a fixed seed the share of readings like theirs
// that have it is above that of all readings at most of them.
func TestZeroCrossingsBeforeAReverseCurrentAreExplained(t *testing.T) {
	p := populationOf(t, teaching)
	reverse, err := p.With("collector.reverse_ratio", population.Constant(0.08))
	if err != nil {
		t.Fatal(err)
	}
	more, tried := 0, 0
	for bench := range 40 {
		x := analysis.Extract(runOf(t, reverse, bench), []analysis.Method{analysis.ZeroCrossing{}})
		var points []analysis.Point
		for _, s := range x.Settings {
			if c := s.Cutoffs[0]; c.Status == analysis.OK {
				points = append(points, analysis.Point{Frequency: s.Frequency, Stopping: c.Stopping})
			}
		}
		if len(points) < 5 {
			continue
		}
		got, err := Explain{Points: points, HOverE: 4.135667696e-15, Population: p, Seed: 2, Benches: 200}.Do(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range got.Candidates {
			if strings.Contains(c.Name, "reverse current") {
				tried++
				t.Logf("bench %d, slope %+.2f: %.2f of %d like it, %.2f of all, told %v", bench, got.Error, c.Among, got.Like, c.Before, c.Told)
				if c.Among > c.Before {
					more++
				}
			}
		}
	}
	if tried < 6 || 3*more < 2*tried {
		t.Errorf("at %d of %d benches zero crossings before a reverse current occur more often among the readings like it", more, tried)
	}
}

func TestThreePointsExplainNothing(t *testing.T) {
	points := []analysis.Point{{Frequency: 5e14, Stopping: 0.1}, {Frequency: 6e14, Stopping: 0.5}, {Frequency: 7e14, Stopping: 0.9}}
	if _, err := (Explain{Points: points, HOverE: 4e-15, Population: populationOf(t, teaching)}).Do(context.Background()); err == nil {
		t.Error("three points were explained")
	}
}
