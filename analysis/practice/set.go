package practice

import (
	"fmt"

	"stopvolt/analysis"
	"stopvolt/instrument"
	"stopvolt/instrument/population"
	"stopvolt/instrument/run"
)

// A Recipe says what is drawn for each student.
type Recipe struct {
	// Apparatus is that of the scenario, and Variation the population about it
	// that the students' benches are drawn from.
	Apparatus instrument.Apparatus
	Variation population.Variation
	// Blind gives each student a world with an h/e of its own, and Faults
	// plants one flaw into each bench, or none into some.
	Blind, Faults bool
}

// Public is what all sheets of a set say. The students know it.
type Public struct {
	// Title is that of the scenario, and Level the name of the variation.
	Title string `json:"title"`
	Level string `json:"level"`
	// Blind and Faults are those of the recipe.
	Blind  bool `json:"blind"`
	Faults bool `json:"faults"`
	// Settings are the names of the settings of the light, in their order.
	Settings []string `json:"settings"`
	// Temperature is the emitter's in K, Resolution the ammeter's last digit in
	// A, Step that of the retarding voltage in V, and Dwell in s the time of a
	// reading.
	Temperature float64 `json:"emitter_temperature_K"`
	Resolution  float64 `json:"current_resolution_A"`
	Step        float64 `json:"step_V"`
	Dwell       float64 `json:"dwell_s"`
	// Presentation says how sheets and tables look.
	Presentation Presentation `json:"presentation"`
	// Scheme says what there are points for.
	Scheme Scheme `json:"scheme"`
}

// Presentation is how sheets and tables are written for their readers.
type Presentation struct {
	// Language is the tag of a language, such as "en".
	Language string `json:"language"`
	// DecimalComma writes 1,5 for one and a half, and sets cells of tables
	// apart by semicolons.
	DecimalComma bool `json:"decimal_comma"`
	// LargePrint and Grey are for eyes and for copiers.
	LargePrint bool `json:"large_print"`
	Grey       bool `json:"grey"`
}

// Public returns what sheets made by the recipe say.
func (r Recipe) Public(title string, p Presentation) Public {
	a := r.Apparatus
	return Public{
		Title: title, Level: r.Variation.Name, Blind: r.Blind, Faults: r.Faults, Settings: r.Variation.Lights,
		Temperature: a.Emitter.Temperature, Resolution: a.Meter.Resolution,
		Step: a.Plan.Step, Dwell: a.Plan.Dwell, Presentation: p, Scheme: DefaultScheme(),
	}
}

// A Handout is what one student gets.
type Handout struct {
	Public
	Student Student
	// Run has the readings, with a dark curve.
	Run run.Run
	// ContactPotential is what the sheet states, in V.
	ContactPotential float64
}

// A Record is what the key keeps of one student.
type Record struct {
	Student Student
	Truth   Truth
	Run     run.Run
	// Trial is the number of the draw that gave the bench.
	Trial int
}

// Handout returns what the student gets.
func (r Record) Handout(p Public) Handout {
	return Handout{Public: p, Student: r.Student, Run: r.Run, ContactPotential: r.Truth.ContactPotential}
}

// The benches of a set are drawn again until they can be read. These are the
// limits, and the number of trials after which a scenario is given up.
const (
	mostTrials = 200
	// fewestAnswers is the number of methods that must have a cutoff on each
	// setting that frees electrons.
	fewestAnswers = 2
	// farthest is how far from the truth, relative to it, the best method may
	// put h/e.
	farthest = 0.03
	// unlike is the ratio of the attainable uncertainty to that of the bench
	// in the middle of all ranges that is too unfair, either way.
	unlike = 1.6
)

// Make draws the benches of a class and hands over each student's record, in
// the order of the class. The record's run is good until the function returns.
// Equal arguments give equal records. It needs memory for one student only.
func Make(r Recipe, secret Secret, class []Student, each func(Record) error) error {
	m := &maker{recipe: r, gauge: newGauge(analysis.Tangent{}, analysis.TwoTangent{}, analysis.FowlerFit{})}
	if err := m.findMiddle(); err != nil {
		return err
	}
	for _, s := range class {
		record, err := m.record(secret, s)
		if err != nil {
			return fmt.Errorf("student %q: %w", s.ID, err)
		}
		if err := each(record); err != nil {
			return err
		}
	}
	return nil
}

// An UnsolvableError says that the ranges of a scenario give benches on which
// nobody could find h/e.
type UnsolvableError struct {
	// Level is the name of the variation.
	Level, Problem string
}

// Error says which ranges to change.
func (e *UnsolvableError) Error() string {
	return fmt.Sprintf("the level %s of this scenario cannot be solved: %s; narrow the ranges of [practice.%s], or take smaller steps", e.Level, e.Problem, e.Level)
}

// findMiddle reads the bench of the medians.
func (m *maker) findMiddle() error {
	var err error
	if m.benches, err = m.recipe.benches(); err != nil {
		return err
	}
	a := m.benches.Median()
	if err := m.acquire(a, 0); err != nil {
		return err
	}
	o := m.gauge.outlook(m.run, truthOf(a))
	if o.answers < fewestAnswers || !(o.deviation < farthest) {
		return &UnsolvableError{m.recipe.Variation.Name, "the bench in the middle of its ranges cannot be read well by any method"}
	}
	m.middle = o.u
	return nil
}

// record draws benches for a student until one can be read as well as those of
// the others.
func (m *maker) record(secret Secret, s Student) (Record, error) {
	for trial := range mostTrials {
		d := draw{secret, s.ID, trial}
		a, truth, err := m.bench(d)
		if err != nil {
			continue
		}
		if m.recipe.Faults {
			a = plant(a, &truth, d)
		}
		if err := m.acquire(a, d.seed()); err != nil {
			return Record{}, err
		}
		o := m.gauge.outlook(m.run, truth)
		fair := o.u < unlike*m.middle && o.u > m.middle/unlike
		// The planted fault is allowed to spoil what it can.
		if truth.Fault != "" && truth.Fault != NoFault {
			fair, o.deviation = true, 0
		}
		if fair && o.answers >= fewestAnswers && o.deviation < farthest {
			truth.Attainable = o.u
			return Record{Student: s, Truth: truth, Run: m.run, Trial: trial}, nil
		}
	}
	return Record{}, &UnsolvableError{m.recipe.Variation.Name, fmt.Sprintf("no bench in %d trials could be read as well as those of the others", mostTrials)}
}

// plant puts one of the faults, or none, into a bench.
func plant(a instrument.Apparatus, t *Truth, d draw) instrument.Apparatus {
	faults := Faults()
	i := d.choose(len(faults)+1, "fault")
	if i == len(faults) {
		t.Fault = NoFault
		return a
	}
	var places []int
	for at := range t.Settings[1:] {
		// A wrong filter shows only where its own light frees electrons.
		if t.Settings[at].Frees && t.Settings[at+1].Frees {
			places = append(places, at)
		}
	}
	if len(places) == 0 {
		places = []int{0}
	}
	t.Fault = faults[i].Name
	a, t.FaultSetting = faults[i].plant(a, places[d.choose(len(places), "place of the fault")], d)
	return a
}
