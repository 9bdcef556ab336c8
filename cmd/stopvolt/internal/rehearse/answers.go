package rehearse

import (
	"encoding/csv"
	"net/http"
	"strconv"

	"stopvolt/analysis/rehearsal"
)

// answers hands out what was read and stated, as a practice set's answers have
// it.
func (s *Server) answers(w http.ResponseWriter, _ *http.Request, v *visitor) {
	v.mutex.Lock()
	rows := answerRows(v)
	v.mutex.Unlock()
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="answers.csv"`)
	out := csv.NewWriter(w)
	// A browser that goes away is no mistake.
	_ = out.WriteAll(rows)
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
	return [][]string{head, row}
}
