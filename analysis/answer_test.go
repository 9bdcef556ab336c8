package analysis

import (
	"math"
	"strings"
	"testing"
)

// TestAnAnswerHasScatterWavelengthsAndSpreadInIt: the uncertainty of the answer is
// the root of the sum of the squares of its three parts, each worked out here by
// hand.
func TestAnAnswerHasScatterWavelengthsAndSpreadInIt(t *testing.T) {
	r := planePair().noisyRun(5e-12, 1e-12, source(4))
	e := Extract(r, Methods())
	a := Choice{Methods: []string{"fowler-fit"}, UWavelength: 1, Fit: "ordinary"}.Answer(e)
	if a.Status != OK || a.Method != "fowler-fit" || a.Fit != "ordinary" || a.Settings != 5 || a.DegreesOfFreedom != 3 {
		t.Fatalf("%+v", a)
	}
	if a.UScatter <= 0 || a.UWavelength <= 0 || a.USpread <= 0 {
		t.Errorf("a part is missing: %+v", a)
	}
	near(t, "the whole", a.U, math.Sqrt(a.UScatter*a.UScatter+a.UWavelength*a.UWavelength+a.USpread*a.USpread), 1e-12)

	// The slope of an ordinary line is sum (x - mean) y / sum (x - mean)^2.
	var mean, sxx, square float64
	for _, s := range e.Settings {
		mean += s.Frequency / 5
	}
	for _, s := range e.Settings {
		sxx += (s.Frequency - mean) * (s.Frequency - mean)
	}
	for _, s := range e.Settings {
		off := a.HOverE * s.Frequency / s.Wavelength
		square += math.Pow((s.Frequency-mean)/sxx*off, 2)
	}
	near(t, "the wavelengths' part", a.UWavelength, math.Sqrt(square), 1e-12)

	var spread, n float64
	for _, s := range a.Usable {
		if s.Method != a.Method {
			spread += (s.HOverE - a.HOverE) * (s.HOverE - a.HOverE)
			n++
		}
	}
	near(t, "the spread between methods", a.USpread, math.Sqrt(spread/n), 1e-12)
	if len(a.Usable)+len(a.Unusable) != len(Methods()) {
		t.Errorf("%d usable and %d unusable methods of %d", len(a.Usable), len(a.Unusable), len(Methods()))
	}
	for _, s := range a.Unusable {
		if s.Reason == "" {
			t.Errorf("%s is unusable without a reason", s.Method)
		}
	}
}

// TestTheMethodOfAnAnswerIsSettledBeforehand: the preferred method gives the answer
// whatever the others read, and the next one where it has none.
func TestTheMethodOfAnAnswerIsSettledBeforehand(t *testing.T) {
	e := Extract(planePair().noisyRun(5e-12, 1e-12, source(4)), Methods())
	for _, prefer := range [][]string{{"square-root"}, {"null-reading", "square-root"}} {
		if a := (Choice{Methods: prefer}).Answer(e); a.Method != prefer[0] {
			t.Errorf("preferred %v, answered by %s: %s", prefer, a.Method, a.Reason)
		}
	}
	for i := range e.Settings {
		for m, method := range Methods() {
			if method.Name() == "null-reading" && i > 1 {
				e.Settings[i].Cutoffs[m] = fail(NoCutoff, "it is dark")
			}
		}
	}
	a := Choice{Methods: []string{"null-reading", "square-root"}}.Answer(e)
	if a.Method != "square-root" {
		t.Errorf("answered by %q", a.Method)
	}
	for _, s := range a.Unusable {
		if s.Method == "null-reading" && s.Reason != "an answer at 2 of 5 settings: it is dark" {
			t.Errorf("null-reading: %q", s.Reason)
		}
	}
	if a := (Choice{Methods: []string{"null-reading"}}).Answer(e); a.Status == OK || a.Reason == "" || !math.IsNaN(a.HOverE) {
		t.Errorf("no method, and yet %+v", a)
	}
}

// TestCutoffsOutOfOrderAreNamedAndKept.
func TestCutoffsOutOfOrderAreNamedAndKept(t *testing.T) {
	r := planePair().noisyRun(5e-12, 1e-12, source(4))
	r.Curves[0].Setting, r.Curves[1].Setting = "swapped", "also swapped"
	r.Curves[0].Wavelength, r.Curves[1].Wavelength = r.Curves[1].Wavelength, r.Curves[0].Wavelength
	e := Extract(r, []Method{FowlerFit{}})
	if got := strings.Join(e.OutOfOrder(0), ", "); got != "swapped, also swapped" {
		t.Errorf("out of order: %q", got)
	}
	a := Choice{}.Answer(e)
	if a.Settings != 5 || !strings.Contains(strings.Join(a.Remarks, "; "), "swapped, also swapped are out of the order") {
		t.Errorf("%d settings, remarks %q", a.Settings, a.Remarks)
	}
	r.Curves[0].Wavelength, r.Curves[1].Wavelength = r.Curves[1].Wavelength, r.Curves[0].Wavelength
	r.Curves = r.Curves[:3]
	a = Choice{}.Answer(Extract(r, []Method{FowlerFit{}}))
	if got := strings.Join(a.Remarks, "; "); !strings.Contains(got, "three settings") || strings.Contains(got, "order") {
		t.Errorf("remarks %q", got)
	}
}
