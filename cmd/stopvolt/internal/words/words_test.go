package words

import (
	"strings"
	"testing"

	"stopvolt/instrument"
	"stopvolt/physics"
	"stopvolt/scenarios"
	"stopvolt/sim/knee"
)

// whole checks that a text is there and was filled in.
func whole(t *testing.T, what, text string) {
	t.Helper()
	if text == "" || strings.Contains(text, "[no text") || strings.Contains(text, "NaN") || strings.Contains(text, "<") {
		t.Errorf("%s is told as %q", what, text)
	}
}

// falling is a knee of the corner and one step more, whose curve goes through zero
// at a voltage in V.
func falling(a instrument.Apparatus, zero float64, effects ...instrument.EffectID) knee.Steps {
	step := knee.Step{Apparatus: a, V: []float64{0, 2 * zero}, I: []float64{2e-9, -2e-9}, AtTruth: 1e-12}
	corner := step
	step.Effects = effects
	return knee.Steps{Light: a.Lights[0], Truth: 0.5, Limit: 0.7, Steps: []knee.Step{corner, step, step}}
}

// Each language tells each effect: those of the cell by a step of the knee with
// its numbers, and all by their names and what to do about them.
func TestEveryEffectHasWordsInEveryLanguage(t *testing.T) {
	scenario, err := scenarios.Load(scenarios.Default, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, tag := range Languages() {
		l, err := Load(tag)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range instrument.Effects() {
			whole(t, tag+": "+string(e.ID), l.Effect(e.ID))
			whole(t, tag+": the remedy of "+string(e.ID), l.Remedy(e.ID))
			if e.Place >= instrument.ActsOnReadings {
				continue
			}
			a := scenario.Apparatus
			if e.ID == instrument.MagneticField {
				a.Geometry = physics.MagneticPlanes{Gap: 10, Field: 50}
			}
			cause := l.Causes(falling(a, 0.45, e.ID))[1]
			whole(t, tag+": the step of "+string(e.ID), cause.Name)
			whole(t, tag+": the step of "+string(e.ID), cause.Told)
			if l.texts.Lookup(effectKey(e.ID, "number")) == nil || strings.Contains(cause.Number, "[no text") {
				t.Errorf("%s: the number of %s is told as %q", tag, e.ID, cause.Number)
			}
		}
	}
}

// A table under a name that no effect has is a slip.
func TestWordsAreOfEffectsThatThereAre(t *testing.T) {
	known := make(map[string]bool)
	for _, e := range instrument.Effects() {
		known[string(e.ID)] = true
	}
	for _, tag := range Languages() {
		l, err := Load(tag)
		if err != nil {
			t.Fatal(err)
		}
		for _, text := range l.texts.Templates() {
			if part := strings.Split(text.Name(), "/"); part[0] == "effects" && !known[part[1]] {
				t.Errorf("%s: there are words for %q, which is no effect", tag, part[1])
			}
		}
	}
}

func TestEveryGeometryOfAScenarioHasWords(t *testing.T) {
	for _, set := range [][]string{
		{"geometry.kind=plane"},
		{"geometry.kind=plane", "geometry.gap_mm=10", "geometry.magnetic_field_uT=50"},
		{"geometry.kind=spheres", "geometry.radius_ratio=0.5"},
		{"geometry.kind=spheres", "geometry.radius_ratio=2"},
		{"geometry.kind=cylinders", "geometry.radius_ratio=3"},
		{"geometry.kind=ring-over-disk", "geometry.ring_height=1", "geometry.glass_radius=2"},
	} {
		scenario, err := scenarios.Load(scenarios.Default, set)
		if err != nil {
			t.Fatal(err)
		}
		for _, tag := range Languages() {
			l, err := Load(tag)
			if err != nil {
				t.Fatal(err)
			}
			g := scenario.Apparatus.Geometry
			whole(t, tag+": "+g.Describe().Kind, l.Geometry(g))
			whole(t, tag+": the number of "+g.Describe().Kind, l.geometry(g, "number"))
		}
	}
}

// A curve that is less than zero at the true cutoff has crossed before it.
func TestCrossingIsBeforeOrBeyondTheTrueCutoff(t *testing.T) {
	scenario, err := scenarios.Load(scenarios.Default, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		zero float64
		want string
	}{
		{0.4, "crosses zero, 100 mV before the true cutoff"},
		{0.75, "crosses zero, 250 mV beyond the true cutoff"},
	} {
		told := English().Causes(falling(scenario.Apparatus, test.zero, instrument.ReverseEmission))[1].Told
		if !strings.Contains(told, test.want) {
			t.Errorf("a zero crossing at %g V of a cutoff of 0.5 V is told as %q", test.zero, told)
		}
	}
}

// German words have German numbers.
func TestAGermanStepHasADecimalComma(t *testing.T) {
	scenario, err := scenarios.Load(scenarios.Default, nil)
	if err != nil {
		t.Fatal(err)
	}
	german, err := Load("de")
	if err != nil {
		t.Fatal(err)
	}
	told := german.Causes(falling(scenario.Apparatus, 0.4995, instrument.ThermalSmearing))
	if !strings.Contains(told[0].Number, "größte Energie = 0,700 eV") || !strings.Contains(told[1].Number, "kT = 25,4 meV") {
		t.Errorf("a step is told as %q and %q", told[0].Number, told[1].Number)
	}
	light := scenario.Apparatus.Lights[0]
	if lines := german.Lines(light); strings.Contains(lines, ".") || !strings.Contains(lines, "365,02") {
		t.Errorf("the lines are told as %q", lines)
	}
	if at := german.Crossing(0.4, 0.5); at != "100 mV vor der wahren Grenzspannung" {
		t.Errorf("a crossing is told as %q", at)
	}
}

func TestUnknownLanguageIsRefused(t *testing.T) {
	if _, err := Load("xx"); err == nil || !strings.Contains(err.Error(), "en") {
		t.Errorf("the error is %v; it should list the languages", err)
	}
}
