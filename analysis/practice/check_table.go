package practice

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/floats"
)

// tableChecks look at what was typed into the table of answers.
func tableChecks() []Check {
	return []Check{
		{Name: "not-a-number",
			Looks: "A cell that should hold a number holds something else, or a number that no measurement gives; it is taken as empty.", find: notANumber},
		{Name: "alike", Private: true,
			Looks: "Another student has handed in the very same voltages, or the very same line: a question to both, and no more.", find: alike},
		{Name: "late",
			Looks: "The answer came after the end of the student's time, extra time included.", find: late},
	}
}

func notANumber(c *Case) (Evidence, bool) {
	var cells []string
	for _, u := range c.Answer.Unreadable {
		cells = append(cells, fmt.Sprintf("%s: %.40q", u.Column, u.Text))
	}
	e := in()
	e.Text = strings.Join(cells, ", ")
	return e, len(cells) > 0
}

func alike(c *Case) (Evidence, bool) {
	e := in()
	e.Other = c.alike
	return e, c.alike != ""
}

func late(c *Case) (Evidence, bool) {
	return about(c.late.Minutes(), 0, "min"), c.late > 0
}

// compareStudents finds students whose numbers are the same to the last digit: all
// their voltages, or their line and half of the voltages or more, since three digits
// of a slope may be the same by chance.
func compareStudents(all []*Case) {
	byVoltages, byLine := make(map[string]*Case), make(map[string]*Case)
	for _, c := range all {
		given, line := 0, []float64{c.Answer.Slope.Value, c.Answer.Intercept.Value, c.Answer.HOverE.Value}
		for _, q := range c.Answer.Stopping {
			if q.Given() {
				given++
			}
		}
		const fewest = 3
		if given >= fewest {
			meet(byVoltages, fmt.Sprint(c.volts()), c, func(*Case) bool { return true })
		}
		if !math.IsNaN(floats.Sum(line)) {
			meet(byLine, fmt.Sprint(line), c, c.sharesVoltages)
		}
	}
}

// computed reports whether the voltages are those of a method on the student's own
// readings to their last digit, as a computer has them. Two such sheets may agree
// with nobody's help.
func (c *Case) computed() bool {
	for _, x := range c.References {
		fits := true
		for i, q := range c.Answer.Stopping {
			fits = fits && (!q.Given() || math.Abs(q.Value-x.Stopping[i]) <= 1.01*q.Half)
		}
		if fits {
			return true
		}
	}
	return false
}

// meet notes two students who have a key in common.
func meet(seen map[string]*Case, key string, c *Case, really func(*Case) bool) {
	if other := seen[key]; other != nil && really(other) && !(c.computed() && other.computed()) {
		c.alike = other.Student.ID
		if other.alike == "" {
			other.alike = c.Student.ID
		}
	}
	seen[key] = c
}

// sharesVoltages reports whether half of the voltages or more are those of another
// student.
func (c *Case) sharesVoltages(other *Case) bool {
	shared := 0
	for i, q := range c.Answer.Stopping {
		if o := other.Answer.Stopping[i]; q.Value == o.Value || !q.Given() && !o.Given() {
			shared++
		}
	}
	return 2*shared >= len(c.Answer.Stopping)
}
