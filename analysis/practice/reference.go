package practice

import (
	"math"

	"stopvolt/analysis"
)

// A Reference is what one method makes of a student's own readings.
type Reference struct {
	// Method is its name, and ByHand says that a person can do it.
	Method string
	ByHand bool
	// Stopping and U are the stopping voltages of the settings in V with their
	// standard uncertainties, the dark current taken off; NaN where the method
	// has none.
	Stopping, U []float64
	// Kept are the stopping voltages with the dark current kept, of methods by
	// hand; a computer does not forget.
	Kept []float64
	// HOverE and UHOverE in V s are those of the ordinary line through Stopping
	// of the settings that free electrons; NaN without a line.
	HOverE, UHOverE float64
	// UAnswer in V s is the standard uncertainty that the program states of an answer
	// by this method; NaN where it has none.
	UAnswer float64
}

// A referee runs all methods on students' readings.
type referee struct {
	all, byHand gauge
}

func newReferee() *referee {
	var byHand []analysis.Method
	for _, m := range analysis.Methods() {
		if m.Page().ByHand != "" {
			byHand = append(byHand, m)
		}
	}
	return &referee{newGauge(analysis.Methods()...), newGauge(byHand...)}
}

// references returns what the methods make of a student's readings.
func (g *referee) references(r Record) []Reference {
	references := make([]Reference, len(g.all.extractor.Methods))
	for m, method := range g.all.extractor.Methods {
		references[m] = Reference{Method: method.Name(), ByHand: method.Page().ByHand != ""}
	}
	extraction := g.all.read(r.Run, true)
	for _, s := range extraction.Settings {
		for m, c := range s.Cutoffs {
			stopping, u := math.NaN(), math.NaN()
			if c.Status == analysis.OK {
				stopping, u = c.Stopping, c.U
			}
			references[m].Stopping, references[m].U = append(references[m].Stopping, stopping), append(references[m].U, u)
		}
	}
	for m := range references {
		references[m].UAnswer = analysis.Choice{Methods: []string{references[m].Method}}.Answer(extraction).U
	}
	for _, s := range g.byHand.read(r.Run, false).Settings {
		byHand := 0
		for m := range references {
			kept := math.NaN()
			if references[m].ByHand {
				if c := s.Cutoffs[byHand]; c.Status == analysis.OK {
					kept = c.Stopping
				}
				byHand++
			}
			references[m].Kept = append(references[m].Kept, kept)
		}
	}
	for m := range references {
		references[m].draw(r.Truth)
	}
	return references
}

// draw puts the ordinary line through the stopping voltages of the settings that free
// electrons.
func (x *Reference) draw(t Truth) {
	x.HOverE, x.UHOverE = math.NaN(), math.NaN()
	points := t.points(func(i int) (float64, bool) {
		return x.Stopping[i], t.Settings[i].Frees && !math.IsNaN(x.Stopping[i])
	})
	if l, err := (analysis.Ordinary{}).Fit(points); err == nil {
		x.HOverE, x.UHOverE = l.Slope, l.USlope
	}
}
