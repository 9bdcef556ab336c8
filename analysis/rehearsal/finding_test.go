package rehearsal_test

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"gonum.org/v1/gonum/floats/scalar"

	"stopvolt/analysis"
	"stopvolt/analysis/rehearsal"
	"stopvolt/instrument"
	"stopvolt/physics"
)

// careful is a person who makes none of the mistakes.
func careful(p *person) {
	p.prepares(3)
	for full := range p.FullScales() {
		p.sets(rehearsal.Range, float64(full))
		p.sets(rehearsal.Pass, 5)
		p.sets(rehearsal.Null, 0)
	}
	for filter := range p.Filters() {
		p.sets(rehearsal.Range, -1)
		page := p.takes(filter, 1, 6, sweep(-0.5, 1.9, 0.05)...)
		p.reads(page, careless(p, page), 0.02, "null-reading")
	}
	p.sets(rehearsal.Commit, 0)
}

// careless reads the cutoff of a page where its current is first negative.
func careless(p *person, page int) float64 {
	for _, i := range p.Book().Pages[page].Readings {
		if r := p.Book().Readings[i]; r.Current < 0 {
			return r.Retarding
		}
	}
	p.t.Fatalf("page %d has no negative current", page)
	return 0
}

func TestCarefulWorkHasNoFindings(t *testing.T) {
	p := arrive(t)
	careful(p)
	for _, f := range p.Findings() {
		t.Errorf("careful work is said to show %s at %v", f.Name, f.Readings)
	}
}

// Each mistake is named, and by the reading that shows it.
func TestEachMistakeIsShownByAReading(t *testing.T) {
	knee := sweep(0, 1, 0.05)
	for _, c := range []struct {
		finding string
		does    func(*person)
		// shown is the voltage in V of one of the readings that show it.
		shown float64
	}{
		{"no-dark", func(p *person) {
			p.sets(rehearsal.Acknowledge, 0)
			p.sets(rehearsal.Lamp, 1)
			p.takes(2, 1, 5, 0.1, 0.2)
		}, 0.1},
		{"not-zeroed", func(p *person) {
			p.sets(rehearsal.Acknowledge, 0)
			p.sets(rehearsal.Lamp, 1)
			p.takes(2, 1, 5, 0.1, 0.2)
		}, 0.2},
		{"zeroed-lit", func(p *person) {
			p.prepares(3)
			p.sets(rehearsal.Shutter, 1)
			p.sets(rehearsal.Null, 0)
			p.takes(2, 1, 5, 0.3)
		}, 0.3},
		{"beyond-range", func(p *person) { p.prepares(0); p.takes(2, 1, 5, -0.5) }, -0.5},
		{"coarse-range", func(p *person) { p.prepares(5); p.takes(2, 1, 5, 0.9) }, 0.9},
		{"hurried", func(p *person) { p.prepares(3); p.takes(2, 1, 0, -0.5) }, -0.5},
		{"cold-lamp", func(p *person) {
			p.prepares(3)
			p.sets(rehearsal.Lamp, 0)
			p.sets(rehearsal.Pass, 400)
			p.sets(rehearsal.Lamp, 1)
			p.takes(2, 1, 5, -0.5)
		}, -0.5},
		{"few-at-knee", func(p *person) { p.prepares(3); p.reads(p.takes(2, 1, 5, 0, 0.4, 0.8, 1.2), 0.8, 0.05, "ruler") }, 0.8},
		{"wrong-filter", func(p *person) {
			p.prepares(3)
			p.takes(2, 1, 5, 0.1)
			p.sets(rehearsal.Shutter, 0)
			p.sets(rehearsal.Filter, 3)
			p.sets(rehearsal.Shutter, 1)
			p.sets(rehearsal.Dial, 0.4)
			p.sets(rehearsal.Write, 0)
		}, 0.4},
		{"last-point", func(p *person) { p.prepares(3); p.reads(p.takes(2, 1, 5, knee...), 1, 0.05, "ruler") }, 1},
		{"many-rules", func(p *person) {
			p.prepares(3)
			p.reads(p.takes(2, 1, 5, knee...), 0.8, 0.05, "ruler")
			p.reads(p.takes(3, 1, 5, knee...), 0.3, 0.05, "null-reading")
		}, 0.3},
		{"no-uncertainty", func(p *person) { p.prepares(3); p.reads(p.takes(2, 1, 5, knee...), 0.8, 0, "ruler") }, 0.8},
		{"struck-many", func(p *person) {
			p.prepares(3)
			p.takes(2, 1, 5, 0.1)
			p.does(rehearsal.Action{Kind: rehearsal.Strike, Value: 1, Text: "off the curve"})
		}, 0.1},
	} {
		t.Run(c.finding, func(t *testing.T) {
			p := arrive(t)
			c.does(p)
			i := slices.IndexFunc(p.Findings(), func(f rehearsal.Finding) bool { return f.Name == c.finding })
			if i < 0 {
				t.Fatalf("%s is not found; there are %+v", c.finding, p.Findings())
			}
			for _, k := range p.Findings()[i].Readings {
				if math.Abs(p.Book().Readings[k].Retarding-c.shown) < 2e-3 {
					return
				}
			}
			t.Errorf("%s is not shown by the reading at %g V but by %v", c.finding, c.shown, p.Findings()[i].Readings)
		})
	}
}

// Nothing done is nothing done well: without a reading, a zero, a cutoff and an
// action no praise is given, and each check is said to have had nothing to look at.
func TestNothingDoneIsNotPraised(t *testing.T) {
	p := arrive(t)
	if good := p.Spotless(); len(good) > 0 {
		t.Errorf("with nothing done, praised are %v", good)
	}
	if undone := p.Undone(); !slices.Equal(undone, rehearsal.Checks()) {
		t.Errorf("with nothing done, undone are %v", undone)
	}
	p.sets(rehearsal.Acknowledge, 0)
	p.sets(rehearsal.Null, 0)
	if good := p.Spotless(); !slices.Equal(good, []string{"zeroed-lit"}) {
		t.Errorf("after a zero in the dark, praised are %v", good)
	}
}

func TestCarefulWorkIsPraisedForAllOfIt(t *testing.T) {
	p := arrive(t)
	careful(p)
	if undone := p.Undone(); len(undone) > 0 || !slices.Equal(p.Spotless(), rehearsal.Checks()) {
		t.Errorf("careful work is praised for %v and said to lack %v", p.Spotless(), undone)
	}
}

// A range that was used at the second bench without its zero takes the praise away,
// with light or without.
func TestZeroOfTheSecondBenchIsAskedForToo(t *testing.T) {
	for _, lit := range []bool{false, true} {
		p := arrive(t)
		careful(p)
		p.sets(rehearsal.Bench, 1)
		p.sets(rehearsal.Range, 3)
		heading := map[bool]float64{true: p.Filters()[0].Wavelength}[lit]
		p.does(rehearsal.Action{Kind: rehearsal.OpenPage, Value: heading, Second: 1})
		p.sets(rehearsal.Write, 0)
		found := slices.ContainsFunc(p.Findings(), func(f rehearsal.Finding) bool { return f.Name == "not-zeroed" })
		if found != lit || slices.Contains(p.Spotless(), "not-zeroed") {
			t.Errorf("light %v: found is %v, praised are %v", lit, found, p.Spotless())
		}
	}
}

// The truth is shown to whoever has handed in, and before only to who confirms it.
func TestTruthBeforeHandingInNeedsAConfirmation(t *testing.T) {
	p := arrive(t)
	if got := refusal(p.tries(rehearsal.Action{Kind: rehearsal.Reveal})); got != "confirm-first" || p.Revealed() {
		t.Errorf("asked for at once, the truth is refused as %q; shown is %v", got, p.Revealed())
	}
	p.sets(rehearsal.Reveal, rehearsal.Confirmed)
	if !p.Revealed() {
		t.Error("the confirmation does not show the truth")
	}
	// A log that was kept before there was a confirmation can be gone on with.
	setup := rehearsal.Drawn(teaching(), seed, false, false, "damp-base")
	if r, err := rehearsal.Replay(setup, []rehearsal.Action{{Kind: rehearsal.Reveal}}); err != nil || !r.Revealed() {
		t.Errorf("a kept log with the truth shown is refused: %v", err)
	}
	handed := arrive(t)
	careful(handed)
	handed.sets(rehearsal.Reveal, 0)
	if !handed.Revealed() {
		t.Error("after handing in the truth is not shown")
	}
}

// An idea is spoken of only to those who hold it.
func TestIdeasAreThoseThatWereAnswered(t *testing.T) {
	for _, q := range rehearsal.Questions() {
		for choice := range q.Choices {
			p := arrive(t)
			p.does(rehearsal.Action{Kind: rehearsal.Answer, Text: q.Name, Value: float64(choice)})
			found := slices.ContainsFunc(p.Findings(), func(f rehearsal.Finding) bool { return f.Idea && f.Name == q.Idea })
			if found != (choice == q.Wrong) {
				t.Errorf("%s answered by %s: found is %v", q.Name, q.Choices[choice], found)
			}
		}
	}
}

// Dimming moves the null reading and leaves the truth. (Measured on a bench:
// blue dimmed a hundredfold moved it from 0.80 to 0.75 V.)
func TestDimmingIsShownByTheTwoCutoffs(t *testing.T) {
	p := arrive(t)
	p.prepares(3)
	p.reads(p.takes(2, 1, 5, sweep(0, 1, 0.05)...), 0.80, 0.02, "null-reading")
	p.reads(p.takes(2, 0.01, 5, sweep(0, 1, 0.05)...), 0.75, 0.02, "null-reading")
	p.does(rehearsal.Action{Kind: rehearsal.Answer, Text: "dim", Value: 0})
	f := p.Findings()
	last := f[len(f)-1]
	if last.Name != "brighter-is-larger" || len(last.Readings) != 2 || !scalar.EqualWithinAbs(last.Amount, 0.05, 1e-12) {
		t.Fatalf("dimming is shown by %+v", last)
	}
}

func TestDebriefTellsTheTruthAndWhatEachMethodMakesOfTheReadings(t *testing.T) {
	p := arrive(t)
	careful(p)
	d, err := p.Debrief()
	if err != nil {
		t.Fatal(err)
	}
	for i, l := range d.Lines {
		// hc = 1239.84198 eV nm (SI 2019), and air refracts by 1.00028.
		want := 1239.84198/(l.Wavelength*1.00028) - 1.95
		if !scalar.EqualWithinAbs(l.Stopping, want, 2e-4) || math.IsNaN(l.Read) {
			t.Errorf("%s: true %.5f V, not %.5f; read %g", l.Name, l.Stopping, want, d.Lines[i].Read)
		}
	}
	if d.HOverE != physics.HOverE || !scalar.EqualWithinRel(d.Drawn, physics.HOverE, 0.3) {
		t.Errorf("h/e is %g, and %g by the cutoffs", d.HOverE, d.Drawn)
	}
	if len(d.Methods) != len(analysis.Methods()) {
		t.Errorf("%d methods have a say, of %d", len(d.Methods), len(analysis.Methods()))
	}
	for _, m := range d.Methods {
		if m.Method == (analysis.FowlerFit{}).Name() && !scalar.EqualWithinRel(m.HOverE, physics.HOverE, 0.1) {
			t.Errorf("the fit of the curves makes %g V s of careful readings", m.HOverE)
		}
	}
	// Without reverse emission the curve falls to nothing instead of a plateau.
	if !slices.ContainsFunc(d.Effects, func(e rehearsal.EffectTruth) bool { return e.Effect == "thermal smearing" && e.Shift > 0 }) {
		t.Errorf("heat does not carry the null reading beyond the cutoff: %+v", d.Effects)
	}
}

// A world of another h/e still frees electrons by the same light.
func TestBlindWorldScalesThePotentials(t *testing.T) {
	for seed := range uint64(50) {
		a := rehearsal.Blinded(teaching(), seed)
		scale := a.World.HOverE / physics.HOverE
		if scale < 0.8 || scale > 1.2 {
			t.Fatalf("seed %d: a factor of %g", seed, scale)
		}
		if !scalar.EqualWithinRel(a.Emitter.WorkFunction, 1.75*scale, 1e-12) || !scalar.EqualWithinRel(a.Collector.WorkFunction, 1.95*scale, 1e-12) {
			t.Errorf("seed %d: work functions %g and %g eV", seed, a.Emitter.WorkFunction, a.Collector.WorkFunction)
		}
	}
}

// Each fault shows at the bench in its own way.
func TestFaultsShow(t *testing.T) {
	// current returns the last reading at a voltage in blue light, or with the
	// shutter closed.
	current := func(p *person, open bool, v float64) float64 {
		p.sets(rehearsal.Shutter, map[bool]float64{true: 1}[open])
		p.sets(rehearsal.Dial, v)
		p.sets(rehearsal.Pass, 10)
		return p.Display().Current
	}
	bench := func(t *testing.T, fault string) *person {
		setup := rehearsal.Drawn(teaching(), seed, false, true, fault)
		r, err := rehearsal.New(setup)
		if err != nil {
			t.Fatal(err)
		}
		p := &person{t, r}
		p.sets(rehearsal.Acknowledge, 0)
		p.sets(rehearsal.Lamp, 1)
		p.sets(rehearsal.Pass, 900)
		p.sets(rehearsal.Filter, 2)
		p.sets(rehearsal.Range, -1)
		return p
	}
	t.Run("reversed-polarity", func(t *testing.T) {
		p := bench(t, "reversed-polarity")
		if low, high := current(p, true, -0.5), current(p, true, 1.5); high < 2*math.Abs(low) {
			t.Errorf("retarded by 1.5 V the current is %g A, accelerated by 0.5 V %g A", high, low)
		}
	})
	t.Run("damp-base", func(t *testing.T) {
		p, sound := bench(t, "damp-base"), bench(t, rehearsal.NoFault)
		leak := func(p *person) float64 { return current(p, false, 2) - current(p, false, 0) }
		if damp, dry := leak(p), leak(sound); !(damp < 10*dry && damp < -1e-11) {
			t.Errorf("2 V drive %g A through the damp base and %g A through a dry one", damp, dry)
		}
	})
	t.Run("room-light", func(t *testing.T) {
		p, sound := bench(t, "room-light"), bench(t, rehearsal.NoFault)
		if lit, dark := current(p, false, 0), current(sound, false, 0); lit < 1e-12 || lit < 5*math.Abs(dark) {
			t.Errorf("with the shutter closed %g A flow in room light and %g A without", lit, dark)
		}
	})
	t.Run("loose-lead", func(t *testing.T) {
		p := bench(t, "loose-lead")
		whole, lost := 0, 0
		current(p, true, -0.5)
		for range 60 {
			p.sets(rehearsal.Pass, 2.5)
			// The bench gives 1e-9 A; the meter needs its time for either.
			if math.Abs(p.Display().Current) < 3e-10 {
				lost++
			} else {
				whole++
			}
		}
		// 35 % without contact; a false alarm in 10^4 seeds.
		if lost < 6 || whole < 20 {
			t.Errorf("of 60 looks the current was lost in %d", lost)
		}
	})
	t.Run("tilted-filter", func(t *testing.T) {
		f, _ := rehearsal.FaultNamed("tilted-filter")
		a := teaching()
		dimmed := 0
		for i, l := range f.Planted(a, 0.4).Lights {
			if power(l) < 0.5*power(a.Lights[i]) {
				dimmed++
			}
		}
		if dimmed != 1 {
			t.Errorf("%d lines are dimmed", dimmed)
		}
	})
}

// The lot gives each fault its share. Of 500 seeds each of five has 100 with a
// standard deviation of 8.9; beyond five of them lies a false alarm in some 300,000
// runs.
func TestLotGivesEachFaultItsShare(t *testing.T) {
	counts := make(map[string]int)
	for s := range uint64(500) {
		counts[rehearsal.Drawn(teaching(), s, false, true, rehearsal.RandomFault).Fault]++
	}
	for _, f := range rehearsal.Faults() {
		if n := counts[f.Name]; n < 55 || n > 145 {
			t.Errorf("%s comes %d times", f.Name, n)
		}
	}
}

func power(l instrument.Light) float64 {
	var sum float64
	for _, line := range l.Spectrum() {
		sum += line.Weight
	}
	return sum
}

// Left to itself, the collector charges until as much leaves as arrives: it
// comes to rest near the cutoff, and lower in weaker light.
func TestFloatingCollectorComesToRestNearTheCutoff(t *testing.T) {
	rest := func(transmission float64) float64 {
		p := arrive(t)
		p.prepares(3)
		p.sets(rehearsal.Filter, 2)
		p.sets(rehearsal.Attenuator, transmission)
		p.sets(rehearsal.Float, 1)
		if got := refusal(p.tries(rehearsal.Action{Kind: rehearsal.Dial, Value: 1})); got != "floating" {
			t.Errorf("the dial of a floating collector says %q", got)
		}
		p.sets(rehearsal.Shutter, 1)
		start := p.Display().Retarding
		p.sets(rehearsal.Pass, 600)
		if p.Display().Retarding < start+0.1 {
			t.Errorf("the collector stays at %g V", start)
		}
		return p.Display().Retarding
	}
	const truth = 1239.84198/(435.8*1.00028) - 1.95
	bright, dim := rest(1), rest(0.01)
	if math.Abs(bright-truth) > 0.3 || !(dim < bright) {
		t.Errorf("it rests at %g V in full light and at %g V in a hundredth; the true cutoff is %.3f V", bright, dim, truth)
	}
}

// The step of the dimmed light is done when its cutoff is written, not before.
func TestDimmedStepNeedsItsCutoff(t *testing.T) {
	step := slices.IndexFunc(rehearsal.Steps(), func(s rehearsal.Step) bool { return s.Name == "dim" })
	p := arrive(t)
	p.prepares(3)
	p.does(rehearsal.Action{Kind: rehearsal.Answer, Text: "dim"})
	page := p.takes(2, 0.1, 5, 0, 0.5, 0.9)
	if p.Done(step) {
		t.Error("without a cutoff the step is done")
	}
	p.reads(page, 0.7, 0.05, "by-eye")
	if !p.Done(step) {
		t.Error("with its cutoff the step is not done")
	}
}

// What is read at the second bench was never handed in, and is no change of it.
func TestCutoffOfTheSecondBenchIsNoChange(t *testing.T) {
	p := arrive(t)
	careful(p)
	change := rehearsal.Action{Kind: rehearsal.Read, Second: 0.8, Third: 0.05, Text: "by-eye"}
	changed := func() bool {
		return slices.ContainsFunc(p.Findings(), func(f rehearsal.Finding) bool { return f.Name == "changed-after" })
	}
	p.sets(rehearsal.Bench, 1)
	p.does(rehearsal.Action{Kind: rehearsal.OpenPage, Value: p.Filters()[0].Wavelength, Second: 1})
	p.sets(rehearsal.Write, 0)
	change.Value = float64(p.Book().Open)
	p.does(change)
	change.Why = "it looked better"
	p.does(change)
	if changed() {
		t.Error("a cutoff of the second bench is blamed as a change")
	}
	change.Value, change.Why = 1, ""
	if got := refusal(p.tries(change)); got != "reason-needed" {
		t.Errorf("a change at the first bench without a reason is refused as %q", got)
	}
	change.Why = "it looked better"
	p.does(change)
	if !changed() {
		t.Error("a change at the first bench is not found")
	}
}

// A page that was headed wrongly is withdrawn as a whole: line, methods, file and
// findings are those of the work without it.
func TestPageSetAsideCountsNowhere(t *testing.T) {
	p := arrive(t)
	careful(p)
	want, err := p.Debrief()
	if err != nil {
		t.Fatal(err)
	}
	curves, points := p.Run(0).Curves, p.Points()
	// Green light under the heading of violet, with a cutoff at its last reading.
	p.sets(rehearsal.Shutter, 0)
	p.sets(rehearsal.Filter, 3)
	p.sets(rehearsal.Shutter, 1)
	p.does(rehearsal.Action{Kind: rehearsal.OpenPage, Value: 404.7, Second: 1})
	for _, v := range sweep(-0.5, 0.3, 0.1) {
		p.sets(rehearsal.Dial, v)
		p.sets(rehearsal.Pass, 6)
		p.sets(rehearsal.Write, 0)
	}
	page := p.Book().Open
	p.does(rehearsal.Action{Kind: rehearsal.Read, Value: float64(page), Second: 0.3, Third: 0.02, Text: "by-eye", Why: "forgotten"})
	if len(p.Findings()) == 0 || cmp.Equal(p.Points(), points) {
		t.Fatal("a page with a wrong heading changes nothing, and the test has nothing to see")
	}
	aside := rehearsal.Action{Kind: rehearsal.SetAside, Value: float64(page)}
	if got := refusal(p.tries(aside)); got != "reason-needed" {
		t.Errorf("without a reason it is refused as %q", got)
	}
	aside.Text = "the filter was that of the green line"
	p.does(aside)
	if got := refusal(p.tries(rehearsal.Action{Kind: rehearsal.Write})); got != "page-aside" {
		t.Errorf("a reading on a page that is set aside is refused as %q", got)
	}
	// That a cutoff was taken away with h/e in sight is said, and nothing else.
	for _, f := range p.Findings() {
		if f.Name != "changed-after" {
			t.Errorf("a page that was set aside shows %s", f.Name)
		}
	}
	got, err := p.Debrief()
	if err != nil {
		t.Fatal(err)
	}
	if !cmp.Equal(p.Points(), points) || !cmp.Equal(p.Run(0).Curves, curves) || !cmp.Equal(got.Methods, want.Methods, cmpopts.EquateNaNs()) {
		t.Error("a page that was set aside goes into the line, the file or the methods")
	}
	if len(p.Book().Pages[page].Readings) != 9 {
		t.Error("its readings are gone")
	}
}

// Of two pages of a line the methods read one, that with the cutoff, and else the
// later one: together they would be a curve of neither.
func TestMethodsReadOnePageOfALine(t *testing.T) {
	methods := func(p *person) []rehearsal.MethodTruth {
		d, err := p.Debrief()
		if err != nil {
			t.Fatal(err)
		}
		return d.Methods
	}
	// The filter of the page whose heading says blue: the right one, or green.
	page := func(p *person, filter int) int {
		p.sets(rehearsal.Shutter, 0)
		p.sets(rehearsal.Filter, float64(filter))
		p.sets(rehearsal.Shutter, 1)
		p.does(rehearsal.Action{Kind: rehearsal.OpenPage, Value: 435.8, Second: 1})
		for _, v := range sweep(-0.5, 1.5, 0.1) {
			p.sets(rehearsal.Dial, v)
			p.sets(rehearsal.Pass, 5)
			p.sets(rehearsal.Write, 0)
		}
		return p.Book().Open
	}
	alone, both := arrive(t), arrive(t)
	alone.prepares(3)
	both.prepares(3)
	alone.reads(page(alone, 2), 0.8, 0.05, "by-eye")
	both.reads(page(both, 2), 0.8, 0.05, "by-eye")
	wrong := page(both, 3)
	if diff := cmp.Diff(methods(alone), methods(both), cmpopts.EquateNaNs()); diff != "" {
		t.Errorf("a second page without a cutoff changes the methods:\n%s", diff)
	}
	both.reads(wrong, 0.2, 0.05, "by-eye")
	if cmp.Equal(methods(alone), methods(both), cmpopts.EquateNaNs()) {
		t.Error("the later page of two with cutoffs is not the one that is read")
	}
}

// Cutoffs that differ by no more than twice the uncertainty of their difference
// are said to agree.
func TestDimmedCutoffsAgreeWithinTheirUncertainties(t *testing.T) {
	for _, c := range []struct {
		u     float64
		agree bool
	}{{0.09, true}, {0.08, false}, {0, false}} {
		p := arrive(t)
		p.prepares(3)
		p.reads(p.takes(2, 1, 5, 0, 0.5, 0.8), 0.80, c.u, "by-eye")
		p.reads(p.takes(2, 0.01, 5, 0, 0.5, 0.8), 0.56, c.u, "by-eye")
		p.does(rehearsal.Action{Kind: rehearsal.Answer, Text: "dim", Value: 0})
		f := p.Findings()
		if last := f[len(f)-1]; last.Name != "brighter-is-larger" || last.Agree != c.agree {
			t.Errorf("240 mV apart with %g V each, they are said to agree: %v", c.u, last.Agree)
		}
	}
}
