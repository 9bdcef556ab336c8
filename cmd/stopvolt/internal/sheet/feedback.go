package sheet

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"strings"

	"stopvolt/analysis/practice"
)

// feedbackPage is the data of a student's feedback.
type feedbackPage struct {
	frame
	Points            string
	Decision          []string
	Empty             bool
	Steps             []stepRow
	Matches, Differs  []string
	Result            string
	WorkFunctions     string
	Fault             string
	Computed          string
	Settings, Methods [][]string
}

// A stepRow is one step of the work. Its sign stands beside the words, for a
// quick look.
type stepRow struct{ Name, Sign, Outcome, Points string }

// Feedback writes what a student is handed about the answer.
func (p *Printer) Feedback(w io.Writer, m practice.Mark) error {
	page := feedbackPage{frame: p.frame(m.Student), Points: p.points(m), Empty: !m.HandedIn}
	if m.Override != nil {
		proposed, _ := m.Proposed()
		page.Decision = []string{
			p.texts.Fill("feedback.decided", "reason", m.Override.Reason),
			p.texts.Fill("feedback.proposed", "points", p.number(proposed, -1)),
		}
	}
	if m.HandedIn {
		p.fill(&page, m)
	}
	return p.pages.ExecuteTemplate(w, "feedback.html", page)
}

// points says how many points hold.
func (p *Printer) points(m practice.Mark) string {
	_, of := m.Proposed()
	return p.texts.Fill("feedback.points", "points", p.number(m.Points(), -1), "of", p.number(of, -1))
}

// fill fills in what an answer that was handed in gives rise to.
func (p *Printer) fill(page *feedbackPage, m practice.Mark) {
	for _, s := range m.Steps {
		row := stepRow{Name: p.texts.Text("steps." + string(s.Group)), Points: p.texts.Fill("feedback.points", "points", p.number(s.Points, -1), "of", p.number(s.Of, -1))}
		follows, differs := "outcomes.follows", "outcomes.differs"
		if s.Group == practice.Voltages {
			follows, differs = "outcomes.agrees", "outcomes.disagrees"
		}
		if s.Group == practice.FaultFound {
			follows, differs = "outcomes.found", "outcomes.not-found"
		}
		switch {
		case !s.Given:
			row.Sign, row.Outcome = "\u2013", p.texts.Text("outcomes.missing")
		case s.Group == practice.Uncertainty:
			row.Sign, row.Outcome = mark(s.Follows), p.texts.Text("verdict_words."+string(m.Uncertainty()))
		case s.Follows:
			row.Sign, row.Outcome = mark(true), p.texts.Text(follows)
		default:
			row.Sign, row.Outcome = mark(false), p.texts.Text(differs)
		}
		page.Steps = append(page.Steps, row)
		if s.Follows && s.Group != practice.Uncertainty {
			page.Matches = append(page.Matches, row.Name+": "+row.Outcome+".")
		}
	}
	for _, f := range m.Findings {
		switch text := p.finding(m, f); {
		case f.Check.Private:
		case f.Check.Group == practice.Uncertainty:
			// What is right and yet worth knowing.
			page.Matches = append(page.Matches, text)
		default:
			page.Differs = append(page.Differs, text)
		}
	}
	for _, s := range m.Steps {
		if s.Given && !s.Follows && !s.Explained && s.Group != practice.Uncertainty {
			method, differ, _ := m.Compared()
			page.Differs = append(page.Differs, p.texts.Fill("try."+string(s.Group), "settings", p.lights(differ), "method", p.method(method)))
		}
	}
	page.verdict(p.verdict(m), m.Uncertainty())
	page.Result = p.result(m)
	page.WorkFunctions = p.texts.Fill("feedback.work_functions",
		"collector", p.fixed(m.Truth.CollectorWorkFunction, 2), "emitter", p.fixed(m.Truth.EmitterWorkFunction, 2))
	if m.Truth.Fault != "" {
		page.Fault = p.texts.Fill("feedback.fault_was", "fault", p.texts.Text("faults."+m.Truth.Fault))
		if m.Truth.FaultSetting != "" {
			page.Fault += " " + p.texts.Fill("feedback.fault_at", "setting", p.light(m.Truth.FaultSetting))
		}
	}
	p.tables(page, m)
}

// verdict says what the stated uncertainty is worth, and between which ones it would
// be right.
func (p *Printer) verdict(m practice.Mark) string {
	low, high, _ := m.Bounds()
	return p.texts.Fill("verdicts."+string(m.Uncertainty()), "low", p.number(low, 2), "high", p.number(high, 2))
}

// verdict puts the words about the uncertainty where they belong, before the remark
// about the method.
func (page *feedbackPage) verdict(text string, v practice.Verdict) {
	if v == practice.Fits {
		page.Matches = append([]string{text}, page.Matches...)
		return
	}
	page.Differs = append(page.Differs, text)
}

// mark is the sign of a step.
func mark(right bool) string {
	if right {
		return "\u2713"
	}
	return "\u2192"
}

// femto is the unit in which h/e is written, in V s.
const femto = 1e-15

// result says how far the student's h/e is from the truth; it is empty without
// one.
func (p *Printer) result(m practice.Mark) string {
	relative, inU := m.Deviation()
	if math.IsNaN(relative) {
		return ""
	}
	key := "feedback.your_result"
	if math.IsNaN(inU) {
		key = "feedback.your_result_without_u"
	}
	text := p.texts.Fill(key, "given", p.fixed(m.HOverE()/femto, 3), "truth", p.fixed(m.Truth.HOverE/femto, 3),
		"percent", p.fixed(100*relative, 1), "inu", p.fixed(inU, 1))
	if m.UnitFactor() != 1 {
		text += " " + p.texts.Text("feedback.unit_taken_out")
	}
	return text
}

// finding is the sentence about a finding.
func (p *Printer) finding(m practice.Mark, f practice.Finding) string {
	e := f.Evidence
	var methods []string
	for _, x := range m.References {
		methods = append(methods, x.Method)
	}
	return p.texts.Fill("checks."+f.Check.Name,
		"settings", p.lights(e.Settings), "method", p.method(cmp.Or(e.Method, "\u2013")),
		"named", fmt.Sprintf("%q", m.Answer.Method), "methods", strings.Join(methods, ", "), "text", e.Text,
		"given", p.number(e.Given, 3), "expected", p.number(e.Expected, 3), "unit", e.Unit,
		"given_pA", p.number(e.Given/pico, 2), "power", minus(p.how.Number(float64(e.Power), -1)),
		"contact", p.fixed(m.Truth.ContactPotential, 2))
}

// tables fills in the numbers beside those of the methods.
func (p *Printer) tables(page *feedbackPage, m practice.Mark) {
	at := m.Named
	if at < 0 {
		at = m.Nearest
	}
	method := "\u2013"
	if at >= 0 {
		method = m.References[at].Method
	}
	page.Computed = p.texts.Fill("feedback.computed", "method", p.method(method))
	for i, s := range m.Truth.Settings {
		computed := math.NaN()
		if at >= 0 {
			computed = m.References[at].Stopping[i]
		}
		truth := s.Stopping
		if !s.Frees {
			truth = math.NaN()
		}
		page.Settings = append(page.Settings, []string{p.light(s.Name), p.orDash(m.Answer.Stopping[i].Value, 3), p.orDash(computed, 3), p.orDash(truth, 3)})
	}
	for _, x := range m.References {
		page.Methods = append(page.Methods, []string{p.method(x.Method), p.orDash(x.HOverE/femto, 3), p.orDash(100*(x.HOverE/m.Truth.HOverE-1), 1)})
	}
}

// orDash writes a number, and a dash for none.
func (p *Printer) orDash(x float64, decimals int) string {
	const long = 1e6
	switch {
	case math.IsNaN(x):
		return "\u2013"
	case math.Abs(x) > long:
		return p.number(x, 2)
	}
	return p.fixed(x, decimals)
}
