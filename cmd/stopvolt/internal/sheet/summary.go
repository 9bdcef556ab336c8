package sheet

import (
	"cmp"
	"html/template"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/stat"

	"stopvolt/analysis"
	"stopvolt/analysis/practice"
	"stopvolt/cmd/stopvolt/internal/figure"
)

// summaryPage is the data of a class summary.
type summaryPage struct {
	frame
	Title, Level, Students  string
	Picture                 template.HTML
	Rows, Findings, Methods [][]string
}

// Summary writes the summary of a class with its figure.
func (p *Printer) Summary(w io.Writer, set practice.Public, marks []practice.Mark, picture figure.Picture) error {
	drawn, err := inBothLayouts(picture)
	if err != nil {
		return err
	}
	page := summaryPage{
		frame: p.frame(practice.Student{}), Title: p.title(set.Title), Level: p.texts.Text("levels." + set.Level), Picture: drawn,
	}
	handed := 0
	counts := make(map[string]int)
	for _, m := range marks {
		page.Rows = append(page.Rows, p.summaryRow(m))
		if m.HandedIn {
			handed++
		}
		for _, f := range m.Findings {
			counts[f.Check.Name]++
		}
	}
	for _, check := range practice.Checks() {
		if n := counts[check.Name]; n > 0 {
			page.Findings = append(page.Findings, []string{check.Name, p.texts.Text("legend." + check.Name), strconv.Itoa(n)})
		}
	}
	slices.SortStableFunc(page.Findings, func(a, b []string) int { return cmp.Compare(counts[b[0]], counts[a[0]]) })
	page.Students = p.texts.Fill("summary.students", "count", strconv.Itoa(len(marks)), "handed", strconv.Itoa(handed))
	for _, x := range byMethod(marks) {
		mean, spread := "\u2013", "\u2013"
		if len(x.deviations) > 0 {
			mean = p.fixed(100*stat.Mean(x.deviations, nil), 1)
		}
		if len(x.deviations) > 1 {
			spread = p.fixed(100*stat.StdDev(x.deviations, nil), 1)
		}
		computed := "\u2013"
		if len(x.computed) > 0 {
			computed = p.fixed(100*stat.Mean(x.computed, nil), 1)
		}
		page.Methods = append(page.Methods, []string{x.method, strconv.Itoa(len(x.deviations)), mean, spread, computed})
	}
	return p.pages.ExecuteTemplate(w, "summary.html", page)
}

// summaryRow is the row of a student, for the instructor.
func (p *Printer) summaryRow(m practice.Mark) []string {
	relative, inU := m.Deviation()
	var findings []string
	for _, f := range m.Findings {
		text := f.Check.Name
		if f.Evidence.Other != "" {
			key := "summary.other"
			if f.Check.Private {
				key = "summary.question"
			}
			text += " (" + p.texts.Fill(key, "other", f.Evidence.Other) + ")"
		}
		findings = append(findings, text)
	}
	_, of := m.Proposed()
	points := p.number(m.Points(), -1) + "/" + p.number(of, -1)
	if m.Submission > 0 {
		points += " (" + p.texts.Fill("summary.submission", "n", strconv.Itoa(m.Submission), "points", p.number(m.Other, -1)) + ")"
	}
	if m.Override != nil {
		points += " (" + p.texts.Text("summary.override") + ": " + m.Override.Reason + ")"
	}
	verdict := "\u2013"
	if m.HandedIn {
		verdict = p.texts.Text("verdict_words." + string(m.Uncertainty()))
	}
	return []string{m.Student.ID, m.Student.Name, m.Answer.Method, p.orDash(100*relative, 1),
		p.orDash(100*m.U()/m.Truth.HOverE, 1), p.orDash(inU, 1), verdict, points, strings.Join(findings, ", ")}
}

// A methodTally is how the answers by one method came out.
type methodTally struct {
	method string
	// deviations are those of the answers, and computed those of the same
	// method by computer on the same readings, relative to the truth.
	deviations, computed []float64
}

// byMethod tallies the methods that a class named.
func byMethod(marks []practice.Mark) []methodTally {
	var tallies []methodTally
	for k, method := range analysis.Methods() {
		x := methodTally{method: method.Name()}
		for _, m := range marks {
			if m.Named != k {
				continue
			}
			if relative, _ := m.Deviation(); !math.IsNaN(relative) {
				x.deviations = append(x.deviations, relative)
			}
			if h := m.References[k].HOverE; !math.IsNaN(h) {
				x.computed = append(x.computed, h/m.Truth.HOverE-1)
			}
		}
		if len(x.deviations)+len(x.computed) > 0 {
			tallies = append(tallies, x)
		}
	}
	return tallies
}

// mostRows is the number of students beyond which a figure has a row for each
// method instead.
const mostRows = 60

// mostDeviation is the relative deviation beyond which the figure leaves an answer out.
const mostDeviation = 10

// Figure returns the figure of a class: a row for each student, or for each
// method where there are too many students for a page.
func (p *Printer) Figure(marks []practice.Mark) (figure.Picture, error) {
	f := figure.Class{
		Title: p.texts.Text("summary.figure"), Axis: p.texts.Text("summary.axis"), Alt: p.texts.Text("summary.figure_alt"),
		Mark: p.texts.Text("summary.mark"), Bar: p.texts.Text("summary.bar"),
		Headings: []string{p.texts.Text("summary.deviation"), p.texts.Text("summary.method"), p.texts.Text("summary.points")},
	}
	if len(marks) > mostRows {
		return p.methodFigure(f, marks)
	}
	for _, m := range marks {
		relative, _ := m.Deviation()
		drawn, u := relative, m.U()/m.Truth.HOverE
		if math.Abs(drawn) > mostDeviation || u > mostDeviation {
			// A slip of the unit is in the findings, and would leave no room for others.
			drawn, u = math.NaN(), math.NaN()
		}
		f.Rows = append(f.Rows, figure.ClassRow{
			Name: m.Student.ID, Deviation: drawn, U: u,
			Cells: []string{p.orDash(100*relative, 1), cmp.Or(m.Answer.Method, "\u2013"), p.number(m.Points(), -1)},
		})
	}
	return f.Picture()
}

// methodFigure makes a figure of the methods of a large class.
func (p *Printer) methodFigure(f figure.Class, marks []practice.Mark) (figure.Picture, error) {
	f.Title, f.Mark, f.Bar = p.texts.Text("summary.figure_methods"), p.texts.Text("summary.mark_methods"), p.texts.Text("summary.bar_methods")
	f.Headings = []string{p.texts.Text("summary.deviation"), p.texts.Text("summary.count")}
	for _, x := range byMethod(marks) {
		row := figure.ClassRow{Name: x.method, Deviation: math.NaN(), U: math.NaN()}
		if len(x.deviations) > 0 {
			row.Deviation = stat.Mean(x.deviations, nil)
		}
		if len(x.deviations) > 1 {
			row.U = stat.StdDev(x.deviations, nil)
		}
		row.Cells = []string{p.orDash(100*row.Deviation, 1), strconv.Itoa(len(x.deviations))}
		f.Rows = append(f.Rows, row)
	}
	if len(f.Rows) == 0 {
		f.Rows = []figure.ClassRow{{Name: "\u2013", Cells: []string{"\u2013", "0"}, Deviation: math.NaN(), U: math.NaN()}}
	}
	return f.Picture()
}
