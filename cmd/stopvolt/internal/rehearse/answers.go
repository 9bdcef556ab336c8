package rehearse

import (
	"io"
	"maps"
	"net/http"
	"slices"
	"strconv"

	"stopvolt/analysis/rehearsal"
	"stopvolt/instrument/run"
)

// Handed is what a student of a practice set has handed in so far.
type Handed struct {
	// Student is the student_id.
	Student string
	head    []string
	row     []string
	run     run.Run
}

// handed returns what a visitor has handed in. The mutex is held.
func (v *visitor) handed() Handed {
	rows := answerRows(v)
	return Handed{Student: v.student, head: rows[0], row: rows[1], run: v.rehearsal.Run(0)}
}

// Logbook writes the readings as CSV.
func (h Handed) Logbook(w io.Writer) error { return run.Write(w, h.run) }

// WriteAnswers writes the answers of students as a practice set's table.
func WriteAnswers(w io.Writer, all []Handed) error {
	var rows [][]string
	for i, h := range all {
		if i == 0 {
			rows = append(rows, h.head)
		}
		rows = append(rows, h.row)
	}
	return writeRows(w, rows)
}

// writeRows writes rows as a practice set's table.
func writeRows(w io.Writer, rows [][]string) error {
	out := run.NewTable(w, ',')
	for _, row := range rows {
		if err := out.Write(row); err != nil {
			return err
		}
	}
	return out.Flush()
}

// inOrder returns what was handed in, by student_id.
func inOrder(handed map[string]Handed) []Handed {
	var all []Handed
	for _, student := range slices.Sorted(maps.Keys(handed)) {
		all = append(all, handed[student])
	}
	return all
}

// answers hands out what was read and stated, as a practice set's answers have
// it.
func (s *Server) answers(w http.ResponseWriter, _ *http.Request, v *visitor) {
	v.mutex.Lock()
	rows := answerRows(v)
	v.mutex.Unlock()
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="answers.csv"`)
	// A browser that goes away is no mistake.
	_ = writeRows(w, rows)
}

// answerRows returns a head and one row. The mutex is held.
func answerRows(v *visitor) [][]string {
	r := v.rehearsal
	head, row := []string{"student_id"}, []string{v.student}
	add := func(name, value string) { head, row = append(head, name), append(row, value) }
	number := func(x float64) string { return strconv.FormatFloat(x, 'g', 8, 64) }
	rule := ""
	for _, f := range r.Filters() {
		value := ""
		for _, p := range r.Book().Pages {
			c, ok := p.Cutoff()
			if ok && p.Bench == 0 && p.Transmission == 1 && p.Wavelength == f.Wavelength {
				value, rule = number(c.Stopping), c.Rule
			}
		}
		add("stopping_"+f.Name+"_V", value)
	}
	if rule == rehearsal.ByEye || rule == rehearsal.ByRuler {
		rule = ""
	}
	add("method", rule)
	slope, intercept, h, u := "", "", "", ""
	if r.Book().Committed > 0 {
		if line, err := r.Line(); err == nil {
			slope, intercept = number(line.Slope), number(line.Intercept)
		}
	}
	if n := len(r.Book().Statements); n > 0 {
		last := r.Book().Statements[n-1]
		h, u = number(last.HOverE), number(last.U)
	}
	add("slope_Vs", slope)
	add("intercept_V", intercept)
	add("h_over_e_Vs", h)
	add("u_h_over_e_Vs", u)
	// What the student calls the intercept, says whose work function it is.
	phi := map[string]string{}
	if answers := r.Book().Answers["intercept"]; len(answers) > 0 && intercept != "" {
		q, _ := rehearsal.QuestionNamed("intercept")
		if line, err := r.Line(); err == nil {
			phi[q.Choices[answers[len(answers)-1].Choice]] = number(-line.Intercept)
		}
	}
	add("collector_work_function_eV", phi["collector"])
	add("emitter_work_function_eV", phi["emitter"])
	return [][]string{head, row}
}
