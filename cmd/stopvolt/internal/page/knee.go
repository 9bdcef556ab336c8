package page

import (
	"fmt"
	"math"

	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/draw"
	"stopvolt/cmd/stopvolt/internal/words"
	"stopvolt/physics"
)

// A Knee is what the page of a lesson is made of.
type Knee struct {
	Origin Origin
	draw.Lesson
}

// Page returns the page of the lesson.
func (l Knee) Page() (Page, error) {
	s := l.Steps
	bench := s.Steps[len(s.Steps)-1]
	p := Page{
		Title: "Why the knee is round",
		Lead: fmt.Sprintf("The curve of the %s light, %.1f nm, built up cause by cause from the textbook's sharp corner to the bench: %s.",
			s.Light.Name, s.Light.Nominal, l.Scenario.Title),
		Findings: []string{
			fmt.Sprintf("The true cutoff is %.4f V: the photon energy less the work function of the collector (the anode); that of the emitter (the photocathode) drops out. No feature of the bench curve marks it.", s.Truth),
			kneeFinding(s.Truth, bench.AtTruth, bench.I[0], bench.Zero),
		},
		Safety: words.Cautions(),
		Made:   l.Origin.terms(Term{Name: "Electrons", Text: fmt.Sprintf("about %d for each histogram", l.Build.Electrons)}),
	}
	steps, err := l.stepBlocks()
	if err != nil {
		return p, err
	}
	p.Sections = append(p.Sections, Section{ID: "steps", Heading: "From the corner to the bench", Blocks: steps})
	more, err := l.lessonSections()
	if err != nil {
		return p, err
	}
	p.Sections = append(p.Sections, more...)
	p.Sections = append(p.Sections, Section{ID: "apparatus", Heading: "The apparatus", Blocks: apparatusBlocks(l.Build.Apparatus)})
	return p, nil
}

// kneeFinding says what the bench curve shows at the true cutoff and where it
// crosses zero.
func kneeFinding(truth, atTruth, largest float64, zero func() (float64, bool)) string {
	text := fmt.Sprintf("There the bench still carries %s, %s of the largest current", words.Quantity(atTruth, "A"), words.Share(atTruth/largest))
	if atTruth <= 0 {
		text = fmt.Sprintf("There the bench carries %s: the reverse current is stronger than what is left of the forward current", words.Quantity(atTruth, "A"))
	}
	if v, ok := zero(); ok {
		text += fmt.Sprintf("; it crosses zero at %.4f V, %s", v, words.English().Crossing(v, truth))
	}
	return text + "."
}

// stepBlocks tells the steps, a figure each, and their numbers.
func (l Knee) stepBlocks() ([]Block, error) {
	blocks := []Block{{Text: "Left: the current near the knee on a linear axis. Middle: the whole curve on a logarithmic axis. Right: the energies of the electrons as they leave the metal. Grey is the curve before the step. Where a step moves the curve by less than the width of its line, the change stands at the right, magnified. " + words.OrderMatters}}
	drawn := l.StepsFigure()
	table := &Table{
		Caption: "The steps in numbers",
		Columns: append(append([]Column{{Name: "step"}, {Name: "the number that matters"}},
			Numbered("current at the true cutoff", "current 0.1 V before it")...), Column{Name: "zero crossing / V", Numbers: true}),
	}
	for i, step := range l.Steps.Steps {
		// The words stand under the picture.
		drawn.Steps[i].Caption = l.Causes[i].Number
		picture, err := drawn.Slide(i)
		if err != nil {
			return nil, err
		}
		picture.Alt = fmt.Sprintf("Step %d, %s: %s", i+1, l.Causes[i].Name, l.Causes[i].Told)
		blocks = append(blocks, Block{Figure: &Figure{Picture: picture, Caption: l.Causes[i].Told}})
		zero := "none"
		if v, ok := step.Zero(); ok {
			zero = fmt.Sprintf("%.4f", v)
		}
		table.Rows = append(table.Rows, []string{fmt.Sprintf("%d. %s", i+1, l.Causes[i].Name), l.Causes[i].Number,
			words.Quantity(step.AtTruth, "A"), words.Quantity(step.At(l.Steps.Truth-0.1), "A"), zero})
	}
	return append(blocks, Block{Table: table}), nil
}

// nominalRemark says what a mean wavelength other than the nominal one does.
func (l Knee) nominalRemark() string {
	light, h := l.Steps.Light, l.Build.Apparatus.World.HOverE
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
		words.Quantity(math.Abs(off), "V"), side, light.Nominal, light.Effective())
}

// slopeRemark says why the slopes are not quite that of the true line.
func (l Knee) slopeRemark() string {
	return fmt.Sprintf(" The true slope is %.4f × 10⁻¹⁵ V s; what the slopes miss comes mostly from wavelengths that are not quite the nominal ones.", l.Build.Apparatus.World.HOverE*1e15)
}

// lessonSections show the other pictures of the lesson.
func (l Knee) lessonSections() ([]Section, error) {
	var sections []Section
	for _, part := range []struct {
		id, heading, caption string
		make                 func() (draw.Picture, error)
	}{
		{"intensities", "The cutoff does not depend on the intensity",
			"Less light gives less current, and the same cutoff: an electron takes one photon, however many there are. Only the uncertainty grows." + l.nominalRemark(), l.Intensities},
		{"emitters", "Two emitters, one intercept",
			"Another metal as emitter has another threshold, yet the same line: the battery has to make up for the contact potential, and that takes the emitter's work function out again. The slope is h/e, and the intercept belongs to the collector." + l.slopeRemark(), l.Emitters},
		{"threshold", "The threshold",
			"Photocurrent against the frequency, at equal numbers of photons, by Fowler's law. A cold metal has a sharp threshold; heat lets a few electrons out below it.", l.Threshold},
		{"deflection", "What the needle will do",
			"The expected deflection of each line without a retarding voltage, to set the demonstration up. The bars are the uncertainty of reading the scale; lamps and cells differ far more, so try it before the lesson.", l.Deflection},
		{"fallback", "Curves for the day when the lamp is dead",
			"One simulated sweep, to read the cutoffs from by hand; --out writes its numbers as run.csv. Synthetic data: say so when you hand it out.", l.Fallback},
	} {
		made, err := part.make()
		if err != nil {
			return nil, console.WrongUsef("figure %s: %w", part.id, err)
		}
		if made == nil {
			continue
		}
		laid, err := made.Picture()
		if err != nil {
			return nil, fmt.Errorf("figure %s: %w", part.id, err)
		}
		sections = append(sections, Section{ID: part.id, Heading: part.heading,
			Blocks: []Block{{Figure: &Figure{Picture: laid, Caption: part.caption}}}})
	}
	return sections, nil
}
