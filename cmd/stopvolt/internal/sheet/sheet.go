package sheet

import (
	"embed"
	"html/template"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"stopvolt/analysis"
	"stopvolt/analysis/practice"
)

//go:embed *.html style.css
var pages embed.FS

// A Printer writes the pages of a set in its language and conventions.
type Printer struct {
	texts *Texts
	how   practice.Presentation
	pages *template.Template
}

// NewPrinter returns the printer of a presentation; the error says which
// languages there are.
func NewPrinter(how practice.Presentation) (*Printer, error) {
	texts, err := Load(how.Language)
	if err != nil {
		return nil, err
	}
	style, err := pages.ReadFile("style.css")
	if err != nil {
		return nil, err
	}
	p := &Printer{texts: texts, how: how}
	p.pages, err = template.New("pages").Funcs(template.FuncMap{
		"t":     texts.Text,
		"list":  texts.List,
		"style": func() template.CSS { return template.CSS(style) },
	}).ParseFS(pages, "*.html")
	return p, err
}

// frame is what all pages have.
type frame struct {
	Tag      string
	Large    bool
	ID, Name string
}

func (p *Printer) frame(s practice.Student) frame {
	return frame{Tag: p.texts.Tag, Large: p.how.LargePrint, ID: s.ID, Name: s.Name}
}

// A wordRow explains a word that answers use.
type wordRow struct{ Word, Means string }

// A lightRow is a setting as the sheet lists it.
type lightRow struct{ Name, Wavelength string }

// A paperPage is a curve on its graph paper, and blank papers to draw on.
type paperPage struct {
	paperRow
	Blank []paperRow
}

// A paperRow is graph paper with what stands over it.
type paperRow struct {
	Caption string
	SVG     template.HTML
}

// A schemeRow is what a step has points for.
type schemeRow struct{ Step, Points string }

// sheetPage is the data of a sheet.
type sheetPage struct {
	frame
	Title, Level, Plan, Contact string
	Blind, Faults               bool
	Lights                      []lightRow
	Methods, FaultWords         []wordRow
	Columns                     []string
	Rows                        [][]string
	Papers                      []paperPage
	Dark                        []paperRow
	Line                        template.HTML
	Scheme                      []schemeRow
	Tolerances                  []string
	Answers                     []string
}

// pico is a picoampere in A.
const pico = 1e-12

// Sheet writes the sheet of a student.
func (p *Printer) Sheet(w io.Writer, h practice.Handout) error {
	page := sheetPage{
		frame: p.frame(h.Student), Title: p.title(h.Title), Level: p.texts.Text("levels." + h.Level),
		Blind: h.Blind, Faults: h.Faults,
		Plan:    p.plan(h),
		Contact: p.texts.Fill("sheet.contact", "contact", p.fixed(h.ContactPotential, 2)),
		Methods: p.methods(), Answers: p.answers(h),
	}
	if h.Faults {
		page.FaultWords = p.faultWords()
	}
	for _, c := range h.Run.Curves {
		if !c.Dark {
			page.Lights = append(page.Lights, lightRow{p.lightAndWord(c.Setting), p.number(c.Wavelength, -1)})
		}
		page.Columns = append(page.Columns, p.light(c.Setting))
		papers, err := p.papers(h, c)
		if err != nil {
			return err
		}
		if c.Dark {
			page.Dark = append(page.Dark, papers.paperRow)
		} else {
			page.Papers = append(page.Papers, papers)
		}
	}
	page.Rows = p.rows(h)
	page.Scheme, page.Tolerances = p.scheme(h)
	var err error
	if page.Line, err = p.linePaper(h); err != nil {
		return err
	}
	return p.pages.ExecuteTemplate(w, "sheet.html", page)
}

// plan says how the readings were taken.
func (p *Printer) plan(h practice.Handout) string {
	low, high := math.Inf(1), math.Inf(-1)
	for _, r := range h.Run.Curves[0].Readings {
		low, high = min(low, r.Retarding), max(high, r.Retarding)
	}
	return p.texts.Fill("sheet.plan", "start", p.number(low, -1), "stop", p.number(high, -1),
		"step", p.number(h.Step, -1), "dwell", p.number(h.Dwell, -1),
		"resolution", p.number(h.Resolution/pico, 3), "temperature", p.number(h.Temperature, -1))
}

// fixed and number write numbers for people, with a true minus sign.
func (p *Printer) fixed(x float64, decimals int) string { return minus(p.how.Fixed(x, decimals)) }

func (p *Printer) number(x float64, significant int) string {
	return minus(p.how.Number(x, significant))
}

// minus puts a true minus sign before a number, and none before a zero.
func minus(number string) string {
	if digits, ok := strings.CutPrefix(number, "-"); ok {
		if strings.Trim(digits, "0.,") == "" {
			return digits
		}
		return "\u2212" + digits
	}
	return number
}

// title returns that of a scenario in the readers' language, and its own where there
// is none.
func (p *Printer) title(own string) string {
	if title, ok := p.texts.Words["titles."+own]; ok {
		return title
	}
	return own
}

// light returns the usual name of a light in the readers' language, and its own
// where there is none.
func (p *Printer) light(setting string) string {
	if name, ok := p.texts.Words["lights."+setting]; ok {
		return name
	}
	return setting
}

// lightAndWord returns the name of a light with the word that stands for it in files.
func (p *Printer) lightAndWord(setting string) string {
	if name := p.light(setting); name != setting {
		return name + " (" + setting + ")"
	}
	return setting
}

// lights returns the names of lights in a row.
func (p *Printer) lights(settings []string) string {
	names := make([]string, len(settings))
	for i, s := range settings {
		names[i] = p.light(s)
	}
	return strings.Join(names, ", ")
}

// method returns what the trade calls a method, with its word in answers where that
// is another.
func (p *Printer) method(name string) string {
	called, ok := p.texts.Words["method_names."+name]
	if !ok {
		return name
	}
	if plain := strings.ReplaceAll(name, "-", " "); called == plain || called == plain+"s" {
		return name
	}
	return called + " (" + name + ")"
}

// scheme says what there are points for, and within what an answer is right.
func (p *Printer) scheme(h practice.Handout) (rows []schemeRow, tolerances []string) {
	points := h.Scheme.Points
	for _, step := range []struct {
		group  practice.Group
		points float64
	}{
		{practice.Voltages, points.Voltages}, {practice.LineGroup, points.Line}, {practice.Results, points.Results},
		{practice.Uncertainty, points.Uncertainty}, {practice.FaultFound, points.Fault},
	} {
		if step.group != practice.FaultFound || h.Faults {
			rows = append(rows, schemeRow{p.texts.Text("steps." + string(step.group)), p.number(step.points, -1)})
		}
	}
	t := h.Scheme.Tolerances
	return rows, []string{
		p.texts.Text("sheet.scheme_once"),
		p.texts.Fill("sheet.scheme_voltages", "steps", p.number(t.VoltageSteps, -1), "u", p.number(t.VoltageU, -1)),
		p.texts.Fill("sheet.scheme_line", "percent", p.number(100*t.Slope, 3)),
		p.texts.Text("sheet.scheme_uncertainty"),
	}
}

// methods explains those that a person can do.
func (p *Printer) methods() []wordRow {
	var rows []wordRow
	for _, m := range analysis.Methods() {
		if _, ok := p.texts.Words["methods."+m.Name()]; ok && m.Page().ByHand != "" {
			means := p.texts.Text("methods." + m.Name())
			if p.method(m.Name()) != m.Name() {
				means = p.texts.Text("method_names."+m.Name()) + ". " + means
			}
			rows = append(rows, wordRow{m.Name(), means})
		}
	}
	return rows
}

// faultWords explains the faults and the word for none.
func (p *Printer) faultWords() []wordRow {
	var rows []wordRow
	for _, f := range practice.Faults() {
		rows = append(rows, wordRow{f.Name, p.texts.Text("faults." + f.Name)})
	}
	return append(rows, wordRow{practice.NoFault, p.texts.Text("faults." + practice.NoFault)})
}

// answers names the fields to be filled in.
func (p *Printer) answers(h practice.Handout) []string {
	fields := []string{p.texts.Text("sheet.answer_method")}
	for _, c := range h.Run.Curves {
		if !c.Dark {
			fields = append(fields, p.texts.Fill("sheet.answer_stopping", "setting", p.light(c.Setting)))
		}
	}
	for _, key := range []string{"left_out", "slope", "intercept", "h", "u", "k", "collector", "emitter"} {
		fields = append(fields, p.texts.Text("sheet.answer_"+key))
	}
	if h.Faults {
		fields = append(fields, p.texts.Text("sheet.answer_fault"), p.texts.Text("sheet.answer_fault_setting"))
	}
	return fields
}

// decimals returns those that show a resolution in A as picoamperes.
func decimals(resolution float64) int {
	if !(resolution > 0) {
		return 3
	}
	return max(0, -int(math.Floor(math.Log10(resolution/pico)+1e-9)))
}

// voltageDecimals returns those that show a step of the dial.
func voltageDecimals(step float64) int {
	text := strconv.FormatFloat(step, 'f', -1, 64)
	if point := slices.Index([]byte(text), '.'); point >= 0 {
		return len(text) - point - 1
	}
	return 0
}

// rows returns the readings, a row for each voltage in rising order, and a
// column for each curve. Readings at one voltage share a cell.
func (p *Printer) rows(h practice.Handout) [][]string {
	var voltages []float64
	for _, c := range h.Run.Curves {
		for _, r := range c.Readings {
			voltages = append(voltages, r.Retarding)
		}
	}
	slices.Sort(voltages)
	voltages = slices.Compact(voltages)
	at := make(map[float64]int, len(voltages))
	rows := make([][]string, len(voltages))
	for i, v := range voltages {
		at[v] = i
		rows[i] = make([]string, 1+len(h.Run.Curves))
		rows[i][0] = p.fixed(v, voltageDecimals(h.Step))
	}
	digits := decimals(h.Resolution)
	for k, c := range h.Run.Curves {
		for _, r := range c.Readings {
			cell := &rows[at[r.Retarding]][k+1]
			if *cell != "" {
				*cell += " "
			}
			*cell += p.fixed(r.Current/pico, digits)
		}
	}
	return rows
}
