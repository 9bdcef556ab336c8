package analysis

import (
	"math"
	"testing"
)

// TestBootstrapAgreesWithTheDeltaMethod where the model holds, apart from what a
// cutoff's uncertainty has in it for steps and the unseen foot: the scatter of a
// cutoff is known to 1/sqrt(2n), 3 % here. A third is allowed, since the draws also
// change which readings belong to the knee, which the delta method does not see.
func TestBootstrapAgreesWithTheDeltaMethod(t *testing.T) {
	const draws, seed = 600, 8
	r := planePair().noisyRun(1e-12, 0, source(seed))
	x := Extractor{Methods: []Method{FowlerFit{}, JointFit{}}, Fits: []LineFit{Weighted{}}}
	stated := x.Extract(r)
	var want []float64
	for _, s := range stated.Settings {
		from, to := s.Prepared.bent(fowlerFrom)
		_, variance, _ := s.Prepared.fowlerFit(from, to)
		want = append(want, math.Sqrt(variance))
		if s.Cutoffs[0].U < want[len(want)-1] {
			t.Errorf("%s: stated %g V, by the readings alone %g V", s.Name, s.Cutoffs[0].U, want[len(want)-1])
		}
	}
	joint := stated.Lines[1].Line
	got := x.Bootstrap(r, draws, source(seed))
	for i, s := range got.Cutoffs {
		if s[0].N < draws*98/100 {
			t.Errorf("setting %d: %d of %d draws answered", i, s[0].N, draws)
		}
		near(t, "scatter of the cutoff", s[0].Deviation, want[i], 0.35)
	}
	near(t, "scatter of h/e", got.Slopes[1].Deviation, joint.USlope, 0.15)
	near(t, "scatter of the work function", got.WorkFunctions[1].Deviation, joint.UIntercept, 0.15)
	again := x.Bootstrap(r, draws, source(seed))
	if again.Slopes[0] != got.Slopes[0] {
		t.Errorf("the same seed gave %+v and %+v", got.Slopes[0], again.Slopes[0])
	}
}

func TestBootstrapOfCurvesThatGiveNothing(t *testing.T) {
	r := planePair().run()
	r.Curves = r.Curves[:1]
	r.Curves[0].Readings = nil
	x := Extractor{Methods: Methods(), Fits: LineFits()}
	for _, s := range x.Bootstrap(r, 3, source(1)).Cutoffs[0] {
		if s.N != 0 || finite(s.Mean) || finite(s.Deviation) {
			t.Errorf("an empty curve gave %+v", s)
		}
	}
}
