package practice

import (
	"io"
	"math"
	"strings"
)

// WriteGrades writes a table of grades keyed by student_id, in the conventions
// of the set. No cell of it runs as a formula in a spreadsheet.
func WriteGrades(w io.Writer, p Presentation, marks []Mark) error {
	table := p.NewTable(w)
	if err := table.Write([]string{idColumn, nameColumn, pointsColumn, "of", "proposed_points", reasonColumn, methodColumn, "h_over_e_Vs",
		"relative_deviation", "deviation_in_u", "uncertainty", "findings"}); err != nil {
		return err
	}
	number := func(x float64, significant int) string {
		if math.IsNaN(x) {
			return ""
		}
		return p.Number(x, significant)
	}
	for _, m := range marks {
		proposed, of := m.Proposed()
		relative, inU := m.Deviation()
		reason, verdict := "", ""
		if m.Override != nil {
			reason = m.Override.Reason
		}
		if m.HandedIn {
			verdict = string(m.Uncertainty())
		}
		var findings []string
		for _, f := range m.Findings {
			findings = append(findings, f.Check.Name)
		}
		if err := table.Write([]string{m.Student.ID, m.Student.Name, number(m.Points(), -1), number(of, -1), number(proposed, -1),
			reason, m.Answer.Method, number(m.HOverE(), 4), number(relative, 4), number(inU, 4), verdict, strings.Join(findings, " ")}); err != nil {
			return err
		}
	}
	return table.Flush()
}
