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
	"stopvolt/instrument/run"
	"stopvolt/physics"
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

// A paperRow is a curve on its graph paper.
type paperRow struct {
	Caption string
	SVG     template.HTML
}

// sheetPage is the data of a sheet.
type sheetPage struct {
	frame
	Title, Level, Plan, Contact string
	Blind, Faults               bool
	Lights                      []lightRow
	Methods, FaultWords         []wordRow
	Columns                     []string
	Rows                        [][]string
	Papers                      []paperRow
	Line                        template.HTML
	Answers                     []string
}

// pico is a picoampere in A.
const pico = 1e-12

// Sheet writes the sheet of a student.
func (p *Printer) Sheet(w io.Writer, h practice.Handout) error {
	page := sheetPage{
		frame: p.frame(h.Student), Title: h.Title, Level: p.texts.Text("levels." + h.Level),
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
			page.Lights = append(page.Lights, lightRow{c.Setting, p.number(c.Wavelength, -1)})
		}
		page.Columns = append(page.Columns, c.Setting)
		page.Papers = append(page.Papers, p.curve(c, h.Resolution))
	}
	page.Rows = p.rows(h)
	page.Line = p.linePaper(h)
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

// methods explains those that a person can do.
func (p *Printer) methods() []wordRow {
	var rows []wordRow
	for _, m := range analysis.Methods() {
		if _, ok := p.texts.words["methods."+m.Name()]; ok && m.Page().ByHand != "" {
			rows = append(rows, wordRow{m.Name(), p.texts.Text("methods." + m.Name())})
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
			fields = append(fields, p.texts.Fill("sheet.answer_stopping", "setting", c.Setting))
		}
	}
	for _, key := range []string{"left_out", "slope", "intercept", "h", "u", "collector", "emitter"} {
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

// curve returns a curve on graph paper.
func (p *Printer) curve(c run.Curve, resolution float64) paperRow {
	caption := p.texts.Fill("sheet.paper_caption", "setting", c.Setting, "wavelength", p.number(c.Wavelength, -1))
	if c.Dark {
		caption = p.texts.Fill("sheet.dark_caption", "setting", c.Setting)
	}
	g := paper{alt: caption, xLabel: p.texts.Text("sheet.voltage"), yLabel: p.texts.Text("sheet.current"), number: p.fixed, grey: p.how.Grey}
	low, high := -resolution/pico, resolution/pico
	from, to := math.Inf(1), math.Inf(-1)
	for _, r := range c.Readings {
		g.points = append(g.points, [2]float64{r.Retarding, r.Current / pico})
		low, high = min(low, r.Current/pico), max(high, r.Current/pico)
		from, to = min(from, r.Retarding), max(to, r.Retarding)
	}
	g.x, g.y = niceAxis(from, to), niceAxis(low, high)
	return paperRow{caption, g.svg()}
}

// linePaper returns empty graph paper for stopping voltages against frequency.
// Its range is the same on all sheets of a set and shows nothing of an answer.
func (p *Printer) linePaper(h practice.Handout) template.HTML {
	low, high := math.Inf(1), math.Inf(-1)
	for _, c := range h.Run.Curves {
		if !c.Dark {
			f := physics.Frequency(c.Wavelength) / 1e12
			low, high = min(low, f), max(high, f)
		}
	}
	stop := 0.0
	for _, r := range h.Run.Curves[0].Readings {
		stop = max(stop, r.Retarding)
	}
	return paper{
		alt: p.texts.Text("sheet.line_caption"), xLabel: p.texts.Text("sheet.frequency"), yLabel: p.texts.Text("sheet.stopping"),
		x: niceAxis(low-20, high+20), y: niceAxis(-0.5, stop), number: p.fixed, grey: p.how.Grey,
	}.svg()
}
