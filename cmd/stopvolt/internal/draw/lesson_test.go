package draw

import (
	"testing"

	"stopvolt/cmd/stopvolt/internal/words"
	"stopvolt/scenarios"
	"stopvolt/sim/knee"
)

// lessonOf builds the knee of a setting of the default bench up.
func lessonOf(t *testing.T, setting int) Lesson {
	t.Helper()
	scenario, err := scenarios.Load(scenarios.Default, nil)
	if err != nil {
		t.Fatal(err)
	}
	build := knee.Build{Apparatus: scenario.Apparatus, Setting: setting, Seed: 1, Electrons: 1000, Points: 401}
	steps, err := build.Steps()
	if err != nil {
		t.Fatal(err)
	}
	return Lesson{Build: build, Scenario: scenario, Steps: steps, Causes: words.English().Causes(steps)}
}

// A weak line, whose whole curve falls within a few tenths of a volt, is enlarged at
// its own knee: of no setting the linear axis shows more than two fifths of the current,
// and of each it shows what is left a little before the true cutoff.
func TestEveryLineIsEnlargedAtItsOwnKnee(t *testing.T) {
	scenario, err := scenarios.Load(scenarios.Default, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i, light := range scenario.Apparatus.Lights {
		l := lessonOf(t, i)
		bench := l.Steps.Steps[len(l.Steps.Steps)-1]
		top := l.StepsFigure().Top
		if share := top / bench.I[0]; !(share > 0) || share > 0.41 {
			t.Errorf("%s: the axis ends at %.3g of the whole current", light.Name, share)
		}
		if before := bench.At(l.Steps.Truth - enlargedFrom/20); before > top {
			t.Errorf("%s: the axis ends at %.3g A, below the knee's %.3g A", light.Name, top, before)
		}
	}
}
