package main

import (
	"fmt"
	"math"

	"stopvolt/cmd/stopvolt/internal/report"
	"stopvolt/cmd/stopvolt/internal/words"
	"stopvolt/physics"
)

// report writes the page of the lesson.
func (l lesson) report(name string, seed uint64) error {
	p, err := l.page(seed)
	if err != nil {
		return err
	}
	return writeReport(name, p)
}

// page returns the page of the lesson.
func (l lesson) page(seed uint64) (report.Page, error) {
	s := l.steps
	bench := s.Steps[len(s.Steps)-1]
	p := report.Page{
		Title: "Why the knee is round",
		Lead: fmt.Sprintf("The curve of the %s light, %.1f nm, built up cause by cause from the textbook's sharp corner to the bench: %s.",
			s.Light.Name, s.Light.Nominal, l.scenario.Title),
		Findings: []string{
			fmt.Sprintf("The true cutoff is %.4f V: the photon energy less the collector's work function. No feature of the bench curve marks it.", s.Truth),
			kneeFinding(s.Truth, bench.AtTruth, bench.I[0], bench.Zero),
		},
		Safety: cautions(),
		Made:   made(seed, report.Term{Name: "Electrons", Text: fmt.Sprintf("about %d for each histogram", l.build.Electrons)}),
	}
	steps, err := l.stepBlocks()
	if err != nil {
		return p, err
	}
	p.Sections = append(p.Sections, report.Section{ID: "steps", Heading: "From the corner to the bench", Blocks: steps})
	more, err := l.lessonSections()
	if err != nil {
		return p, err
	}
	p.Sections = append(p.Sections, more...)
	p.Sections = append(p.Sections, report.Section{ID: "apparatus", Heading: "The apparatus", Blocks: apparatusBlocks(l.build.Apparatus)})
	return p, nil
}

// kneeFinding says what the bench curve shows at the true cutoff and where it
// crosses zero.
func kneeFinding(truth, atTruth, largest float64, zero func() (float64, bool)) string {
	text := fmt.Sprintf("There the bench still carries %s, %s of the largest current", quantity(atTruth, "A"), share(atTruth/largest))
	if atTruth <= 0 {
		text = fmt.Sprintf("There the bench carries %s: the reverse current is stronger than what is left of the forward current", quantity(atTruth, "A"))
	}
	if v, ok := zero(); ok {
		text += fmt.Sprintf("; it crosses zero at %.4f V, %s", v, words.English().Crossing(v, truth))
	}
	return text + "."
}

// stepBlocks tells the steps, a figure each, and their numbers.
func (l lesson) stepBlocks() ([]report.Block, error) {
	blocks := []report.Block{{Text: "Left: the current near the knee on a linear axis. Middle: the whole curve on a logarithmic axis. Right: the energies of the electrons as they leave the metal. Grey is the curve before the step. " + orderMatters}}
	drawn := l.stepsFigure()
	table := &report.Table{
		Caption: "The steps in numbers",
		Columns: append(append([]report.Column{{Name: "step"}, {Name: "the number that matters"}},
			report.Numbered("current at the true cutoff", "current 0.1 V before it")...), report.Column{Name: "zero crossing / V", Numbers: true}),
	}
	for i, step := range l.steps.Steps {
		// The words stand under the picture.
		drawn.Steps[i].Caption = l.causes[i].Number
		picture, err := drawn.Slide(i)
		if err != nil {
			return nil, err
		}
		picture.Alt = fmt.Sprintf("Step %d, %s: %s", i+1, l.causes[i].Name, l.causes[i].Told)
		blocks = append(blocks, report.Block{Figure: &report.Figure{Picture: picture, Caption: l.causes[i].Told}})
		zero := "none"
		if v, ok := step.Zero(); ok {
			zero = fmt.Sprintf("%.4f", v)
		}
		table.Rows = append(table.Rows, []string{fmt.Sprintf("%d. %s", i+1, l.causes[i].Name), l.causes[i].Number,
			quantity(step.AtTruth, "A"), quantity(step.At(l.steps.Truth-0.1), "A"), zero})
	}
	return append(blocks, report.Block{Table: table}, report.Block{Text: orderMatters}), nil
}

// nominalRemark says what a mean wavelength other than the nominal one does.
func (l lesson) nominalRemark() string {
	light, h := l.steps.Light, l.build.Apparatus.World.HOverE
	off := physics.PhotonEnergy(h, light.Effective()) - physics.PhotonEnergy(h, light.Nominal)
	const least = 2e-4
	if math.Abs(off) < least {
		return ""
	}
	side := "above"
	if off < 0 {
		side = "below"
	}
	return fmt.Sprintf(" All lie about %s %s the true cutoff, which goes by the nominal %.1f nm, while the light that arrives has a mean of %.2f nm.",
		quantity(math.Abs(off), "V"), side, light.Nominal, light.Effective())
}

// slopeRemark says why the slopes are not quite that of the true line.
func (l lesson) slopeRemark() string {
	return fmt.Sprintf(" The true slope is %.4f × 10⁻¹⁵ V s; what the slopes miss comes mostly from wavelengths that are not quite the nominal ones.", l.build.Apparatus.World.HOverE*1e15)
}

// lessonSections show the other pictures of the lesson.
func (l lesson) lessonSections() ([]report.Section, error) {
	var sections []report.Section
	for _, part := range []struct {
		id, heading, caption string
		make                 func() (picture, error)
	}{
		{"intensities", "The cutoff does not depend on the intensity",
			"Less light gives less current, and the same cutoff: an electron takes one photon, however many there are. Only the uncertainty grows." + l.nominalRemark(), l.intensities},
		{"emitters", "Two emitters, one intercept",
			"Another metal as emitter has another threshold, yet the same line: the battery has to make up for the contact potential, and that takes the emitter's work function out again. The slope is h/e, and the intercept belongs to the collector." + l.slopeRemark(), l.emitters},
		{"threshold", "The threshold",
			"Photocurrent against the frequency, at equal numbers of photons, by Fowler's law. A cold metal has a sharp threshold; heat lets a few electrons out below it.", l.threshold},
		{"deflection", "What the needle will do",
			"The expected deflection of each line without a retarding voltage, to set the demonstration up. The bars are the uncertainty of reading the scale; lamps and cells differ far more, so try it before the lesson.", l.deflection},
		{"fallback", "Curves for the day when the lamp is dead",
			"One simulated sweep, to read the cutoffs from by hand; --out writes its numbers as run.csv. Synthetic data: say so when you hand it out.", l.fallback},
	} {
		made, err := part.make()
		if err != nil {
			return nil, wrongUsef("figure %s: %w", part.id, err)
		}
		if made == nil {
			continue
		}
		laid, err := made.Picture()
		if err != nil {
			return nil, fmt.Errorf("figure %s: %w", part.id, err)
		}
		sections = append(sections, report.Section{ID: part.id, Heading: part.heading,
			Blocks: []report.Block{{Figure: &report.Figure{Picture: laid, Caption: part.caption}}}})
	}
	return sections, nil
}
