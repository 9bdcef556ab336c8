package practice

import (
	"fmt"
	"strings"
)

// tableChecks look at what was typed into the table of answers.
func tableChecks() []Check {
	return []Check{
		{"not-a-number", AnswerTable, 0, false,
			"A cell that should hold a number holds something else; it is taken as empty.", notANumber},
	}
}

func notANumber(c *Case) (Evidence, bool) {
	var cells []string
	for _, u := range c.Answer.Unreadable {
		cells = append(cells, fmt.Sprintf("%s: %q", u.Column, u.Text))
	}
	e := in()
	e.Text = strings.Join(cells, ", ")
	return e, len(cells) > 0
}
