package rehearsal_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"

	"stopvolt/analysis/rehearsal"
	"stopvolt/physics"
)

// kinds are all that a person can do, and one thing that nobody can.
var kinds = []rehearsal.Kind{
	rehearsal.Acknowledge, rehearsal.Lamp, rehearsal.Shutter, rehearsal.Filter, rehearsal.Attenuator, rehearsal.Dial,
	rehearsal.Range, rehearsal.Null, rehearsal.Pass, rehearsal.Float, rehearsal.OpenPage, rehearsal.Turn, rehearsal.Write,
	rehearsal.Strike, rehearsal.SetAside, rehearsal.Note, rehearsal.Sketch, rehearsal.Answer, rehearsal.Ruler, rehearsal.Read, rehearsal.Commit,
	rehearsal.State, rehearsal.Move, rehearsal.Bench, rehearsal.Name, rehearsal.Resolve, rehearsal.Reveal, "climb",
}

// words are what texts are drawn from: such as some actions need, and others.
var words = []string{"", "ruler", "null-reading", "dim", "next", "zero", "damp-base", "why not", "\x07"}

// anything draws an action, sensible or not.
func anything(t *rapid.T) rehearsal.Action {
	value := rapid.SampledFrom([]float64{0, 1, 2, 3, 0.1, 0.5, -1, 365, 404.7, 578, 12.5, 1e9, -0.3, math.NaN()})
	return rehearsal.Action{
		At:     rapid.Float64Range(0, 40).Draw(t, "at"),
		Kind:   rapid.SampledFrom(kinds).Draw(t, "kind"),
		Value:  value.Draw(t, "value"),
		Second: rapid.SampledFrom([]float64{0, 1, 0.1, 0.7, -2, 4e-15}).Draw(t, "second"),
		Third:  rapid.SampledFrom([]float64{0, 0.02, 1e-12, 5}).Draw(t, "third"),
		Text:   rapid.SampledFrom(words).Draw(t, "text"),
		Why:    rapid.SampledFrom([]string{"", "misread"}).Draw(t, "why"),
	}
}

// state is all of a rehearsal that can be seen.
type state struct {
	Book     rehearsal.Logbook
	Controls rehearsal.Controls
	Display  rehearsal.Display
	Clock    float64
	At, Step int
	Findings []rehearsal.Finding
}

func stateOf(r *rehearsal.Rehearsal) state {
	return state{*r.Book(), r.Controls(), r.Display(), r.Clock(), r.At(), r.Step(), r.Findings()}
}

// Whatever was done in whatever order, whenever the meters were looked at, and
// whatever was refused: the log alone gives the state.
func TestReplayGivesTheSameState(t *testing.T) {
	for _, fault := range []string{"loose-lead", "damp-base", "reversed-polarity"} {
		for _, drill := range []bool{false, true} {
			t.Run(fmt.Sprint(fault, drill), func(t *testing.T) {
				setup := rehearsal.Drawn(teaching(), seed, true, drill, fault)
				rapid.Check(t, func(t *rapid.T) {
					lived, err := rehearsal.New(setup)
					if err != nil {
						t.Fatal(err)
					}
					done := 0
					for range rapid.IntRange(0, 30).Draw(t, "actions") {
						if rapid.Bool().Draw(t, "looks") {
							lived.PassTo(lived.Clock() + rapid.Float64Range(0, 3).Draw(t, "looks for"))
						}
						a := anything(t)
						if rapid.Bool().Draw(t, "later") {
							a.At += lived.Clock()
						}
						if lived.Do(a) == nil {
							done++
						}
					}
					if len(lived.Log()) != done {
						t.Fatalf("%d actions were done and %d logged", done, len(lived.Log()))
					}
					again, err := rehearsal.Replay(setup, lived.Log())
					if err != nil {
						t.Fatal(err)
					}
					again.PassTo(lived.Clock())
					if d := cmp.Diff(stateOf(lived), stateOf(again)); d != "" {
						t.Fatalf("replayed, the log gives another state (-lived +replayed):\n%s", d)
					}
				})
			})
		}
	}
}

// A refusal must leave no trace but the time that it took.
func TestRefusedActionChangesNothing(t *testing.T) {
	setup := rehearsal.Drawn(teaching(), seed, false, false, "damp-base")
	rapid.Check(t, func(t *rapid.T) {
		r, err := rehearsal.New(setup)
		if err != nil {
			t.Fatal(err)
		}
		for range rapid.IntRange(0, 20).Draw(t, "actions") {
			_ = r.Do(anything(t))
		}
		a := anything(t)
		r.PassTo(a.At)
		before := stateOf(r)
		before.Book.Pages = append([]rehearsal.Page(nil), before.Book.Pages...)
		if r.Do(a) != nil {
			if d := cmp.Diff(before, stateOf(r)); d != "" {
				t.Fatalf("%+v was refused and yet changed the state:\n%s", a, d)
			}
		}
	})
}

func TestEqualSeedsGiveEqualReadings(t *testing.T) {
	one, two := arrive(t), arrive(t)
	other := arrive(t, func(s *rehearsal.Setup) { s.Seed++ })
	var last [3]float64
	for i, p := range []*person{one, two, other} {
		// The most sensitive range shows the noise.
		p.prepares(0)
		p.takes(2, 0.01, 3, 1.5, 1.6)
		all := p.Book().Readings
		last[i] = all[len(all)-1].Current
	}
	if last[0] != last[1] || last[0] == last[2] {
		t.Errorf("two equal seeds gave %g and %g A, another seed %g A", last[0], last[1], last[2])
	}
}

// refusal returns the word with which an action was refused.
func refusal(err error) string {
	var r *rehearsal.Refusal
	if errors.As(err, &r) {
		return r.Word
	}
	return fmt.Sprint(err)
}

func TestBenchRefusesWhatIsUnsafeOrUnsound(t *testing.T) {
	act := func(kind rehearsal.Kind, value float64) rehearsal.Action {
		return rehearsal.Action{Kind: kind, Value: value}
	}
	for _, c := range []struct {
		name string
		does func(*person)
		then rehearsal.Action
		word string
	}{
		{"lamp before the cautions", func(*person) {}, act(rehearsal.Lamp, 1), "safety-first"},
		{"filter with the shutter open", func(p *person) { p.sets(rehearsal.Shutter, 1) }, act(rehearsal.Filter, 2), "shutter-first"},
		{"attenuator with the shutter open", func(p *person) { p.sets(rehearsal.Shutter, 1) }, act(rehearsal.Attenuator, 0.1), "shutter-first"},
		{"lamp just put out", func(p *person) {
			p.sets(rehearsal.Acknowledge, 0)
			p.sets(rehearsal.Lamp, 1)
			p.sets(rehearsal.Pass, 60)
			p.sets(rehearsal.Lamp, 0)
		}, act(rehearsal.Lamp, 1), "lamp-hot"},
		{"reading without a page", func(*person) {}, act(rehearsal.Write, 0), "page-first"},
		{"handing in one line", func(p *person) {
			p.prepares(2)
			p.reads(p.takes(0, 1, 1, 0, 1), 1.2, 0.05, "ruler")
		}, act(rehearsal.Commit, 0), "three-lines"},
		{"h/e before the cutoffs", func(*person) {}, rehearsal.Action{Kind: rehearsal.State, Value: 4e-15}, "commit-first"},
		{"striking without a reason", func(p *person) { p.prepares(2) }, rehearsal.Action{Kind: rehearsal.Strike, Text: " "}, "reason-needed"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := arrive(t)
			c.does(p)
			if got := refusal(p.tries(c.then)); got != c.word {
				t.Errorf("it says %q, not %q", got, c.word)
			}
		})
	}
}

func TestCooledLampLightsAgain(t *testing.T) {
	p := arrive(t)
	p.sets(rehearsal.Acknowledge, 0)
	p.sets(rehearsal.Lamp, 1)
	p.sets(rehearsal.Pass, 60)
	p.sets(rehearsal.Lamp, 0)
	p.sets(rehearsal.Pass, 600)
	p.sets(rehearsal.Lamp, 1)
	if !p.Controls().Lamp {
		t.Error("the lamp stays dark")
	}
}

// Cutoffs changed after h/e was seen stay, with what they were and why.
func TestLaterChangesStayVisible(t *testing.T) {
	p := arrive(t)
	p.prepares(2)
	pages := []int{p.takes(0, 1, 1, 0, 1), p.takes(1, 1, 1, 0, 1), p.takes(2, 1, 1, 0, 1)}
	for i, page := range pages {
		p.reads(page, 1.4-0.3*float64(i), 0.02, "ruler")
	}
	p.sets(rehearsal.Commit, 0)
	change := rehearsal.Action{Kind: rehearsal.Read, Value: float64(pages[0]), Second: 1.45, Third: 0.02, Text: "ruler"}
	if got := refusal(p.tries(change)); got != "reason-needed" {
		t.Errorf("a change without a reason says %q", got)
	}
	change.Why = "the ruler lay on the wrong part"
	p.does(change)
	kept := p.Book().Pages[pages[0]].Cutoffs
	if len(kept) != 2 || kept[0].Stopping != 1.4 || kept[1].Why == "" {
		t.Errorf("the page keeps %+v", kept)
	}
}

// The meter follows a step of the light as its response says, and a person who
// waits reads what flows.
func TestMeterSettlesWithItsResponse(t *testing.T) {
	p := arrive(t)
	p.prepares(3)
	p.sets(rehearsal.Filter, 2)
	p.sets(rehearsal.Dial, -0.5)
	p.sets(rehearsal.Pass, 20)
	dark := p.Display().Current
	p.sets(rehearsal.Shutter, 1)
	start := p.Clock()
	// The meter shows the mean over the last tick.
	p.PassTo(start + 0.45)
	early := p.Display()
	p.sets(rehearsal.Pass, 30)
	whole := p.Display().Current - dark
	const response = 0.4
	middle := early.Time - start - 0.05
	want := -math.Expm1(-middle / response)
	// Two ticks of doubt about when the shutter opened.
	slack := math.Exp(-middle/response) * 0.2 / response
	if got := (early.Current - dark) / whole; math.Abs(got-want) > slack || whole < 1e-11 {
		t.Errorf("%.2f s after the shutter opened the meter is at %.3f of its way (%.3g A), not %.3f", middle, got, whole, want)
	}
}

// The lamp's light grows as 1 - lack exp(-t/tau) after it is lit.
func TestLampWarmsUpFromWhenItIsLit(t *testing.T) {
	p := arrive(t)
	p.sets(rehearsal.Acknowledge, 0)
	p.sets(rehearsal.Range, 3)
	p.sets(rehearsal.Dial, -0.5)
	p.sets(rehearsal.Pass, 1000)
	p.sets(rehearsal.Lamp, 1)
	p.sets(rehearsal.Shutter, 1)
	p.sets(rehearsal.Pass, 150)
	at150 := p.Display().Current
	p.sets(rehearsal.Pass, 3000)
	// Half of the power lacks at first, with 150 s to an e-th. The meter stands
	// off zero by at most four steps.
	want := 1 - 0.5*math.Exp(-150./150)
	if got := at150 / p.Display().Current; math.Abs(got-want) > 0.02 {
		t.Errorf("after 150 s the current is %.3f of the last one, not %.3f", got, want)
	}
}

// Three cutoffs that lie on a line by chance make no slope that is known better than
// their uncertainties allow: u over the root of the sum of squares of the
// frequencies about their mean.
func TestALineIsKnownNoBetterThanItsCutoffs(t *testing.T) {
	const u = 0.03
	p := arrive(t)
	p.prepares(2)
	var frequencies []float64
	for filter := range 3 {
		page := p.takes(filter, 1, 1, 0, 1)
		f := physics.Frequency(p.Book().Pages[page].Wavelength)
		p.reads(page, 4.2e-15*f-1.5, u, "ruler")
		frequencies = append(frequencies, f)
	}
	line, err := p.Line()
	if err != nil {
		t.Fatal(err)
	}
	mean, squares := stat.Mean(frequencies, nil), 0.0
	for _, f := range frequencies {
		squares += (f - mean) * (f - mean)
	}
	if want := u / math.Sqrt(squares); math.Abs(line.USlope/want-1) > 1e-6 {
		t.Errorf("h/e is known to %.3g V s, and the cutoffs allow %.3g", line.USlope, want)
	}
}
