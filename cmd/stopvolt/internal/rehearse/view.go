package rehearse

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"strconv"
	"strings"

	"stopvolt/analysis/rehearsal"
	"stopvolt/instrument/run"
)

// pages are the templates; they are checked when the program starts.
var pages = template.Must(template.New("pages").Funcs(template.FuncMap{
	"add":  func(a, b int) int { return a + b },
	"join": strings.Join,
	"pair": func(view deskView, x any) pairView { return pairView{view, x} },
}).ParseFS(pageFiles, "page.html"))

// pairView hands a template a part with the whole.
type pairView struct {
	View deskView
	X    any
}

// welcomeView is the first page.
type welcomeView struct {
	W              Voice
	Title, Problem string
	// Local says that the truth is on this machine, and Set that the benches are
	// those of a practice set.
	Local, Set bool
	// Going says that this browser has a rehearsal already.
	Going bool
}

// Languages returns the tags.
func (welcomeView) Languages() []string { return Languages() }

// deskView is the page of the rehearsal.
type deskView struct {
	W            Voice
	Title        string
	Local, Set   bool
	Student      string
	Revision     int
	Written      int
	Said         string
	Moment       moment
	Acknowledged bool
	Drill, Blind bool
	Revealed     bool
	HandedIn     bool
	Bench        int

	Steps []stepView
	Task  stepView
	// Next is the step after the present one; nil at the last.
	Next      *stepView
	Questions []questionView

	Controls rehearsal.Controls
	Filters  []filterView
	Dims     []choiceView
	Ranges   []choiceView
	Needle   needleView
	// Nulled are the names of the ranges that were zeroed.
	Nulled []string
	// Writable says that the open page takes readings of this bench.
	Writable bool

	Pages    []pageView
	Open     *pageView
	Rows     []rowView
	Figure   *figureView
	Rules    []ruleView
	Sketch   []sketchView
	Sketched bool
	Ruler    *rulerView

	Cutoffs    []cutoffView
	Ready      int
	Committed  bool
	Line       *lineView
	Statements []string
	Faults     []choiceView
	Fault      string
	Resolved   []string
	Debrief    *debriefView
}

// Languages returns the tags.
func (deskView) Languages() []string { return Languages() }

type stepView struct {
	Index         int
	Name          string
	Minutes       int
	Current, Done bool
}

type questionView struct {
	Name    string
	Choices []choiceView
	// Number is the answer where it is one; Given says that there is an answer.
	Number string
	Given  bool
	// Mind is what would change it.
	Mind string
}

type choiceView struct {
	Value, Label string
	Chosen       bool
}

// ruleView is a rule of reading with what one does by it.
type ruleView struct {
	choiceView
	Does string
}

type filterView struct {
	Index      int
	Wavelength string
	// Value is the wavelength as a form sends it.
	Value  string
	Chosen bool
}

// needleView is the scale of the ammeter's drawing.
type needleView struct {
	Marks []markView
	// X and Y are where the needle ends.
	X, Y string
	// Full names the full scale.
	Full string
}

type markView struct{ X1, Y1, X2, Y2 string }

type pageView struct {
	Index int
	Name  string
	Open  bool
	Count int
	Dark  bool
	Float bool
	Notes []string
	// Aside is why the page was set aside, empty for one that counts.
	Aside string
	Bench int
}

type rowView struct {
	// Number is that of the reading in the whole logbook, from one.
	Number                      int
	Index                       int
	Clock, Volts, Amps, U, Unit string
	Beyond                      bool
	Struck                      string
}

type figureView struct {
	Name, Alt string
	Revision  int
	Panels    string
	// Wide and Narrow are the sizes of both forms, so that the page keeps their
	// place before they come.
	Wide, Narrow sizeView
}

// sizeView is a width and a height in pixels.
type sizeView struct{ Width, Height int }

type sketchView struct {
	Index          int
	Volts, Percent string
}

type rulerView struct {
	V, I [2]string
	Zero string
}

type cutoffView struct {
	Page        int
	Name        string
	Stopping, U string
	Rule        string
	RuleName    string
	Earlier     []string
	Dimmed      bool
	// Aside is why its page was set aside, empty for one that counts.
	Aside string
}

type lineView struct {
	HOverE, WorkFunction string
	Problem              string
}

// view returns the page of a visitor. The mutex is held.
func (s *Server) view(v *visitor) deskView {
	r, w := v.rehearsal, v.voice
	book := r.Book()
	view := deskView{
		W: w, Title: s.options.Title, Local: s.options.Local, Set: s.options.Students != nil, Student: v.student,
		Revision: v.revision, Written: v.written, Said: v.said, Moment: v.moment(), Acknowledged: r.Acknowledged(),
		Drill: r.Drill(), Blind: r.Blind(), Revealed: r.Revealed(), HandedIn: r.HandedIn(), Bench: r.At(),
		Controls: r.Controls(), Fault: book.Fault, Resolved: book.Resolved, Committed: book.Committed > 0,
		Sketched: book.Sketch != nil,
	}
	v.viewSteps(&view)
	v.viewBench(&view)
	v.viewBook(&view)
	v.viewCutoffs(&view)
	for _, f := range append(faultNames(), rehearsal.NoFault) {
		view.Faults = append(view.Faults, choiceView{f, w.T("fault." + f), f == book.Fault})
	}
	for i, volts := range rehearsal.SketchVoltages() {
		percent := 0.0
		if book.Sketch != nil {
			percent = book.Sketch[i]
		}
		view.Sketch = append(view.Sketch, sketchView{i, w.Number(volts, 1), w.Field(percent, 0)})
	}
	return view
}

func faultNames() []string {
	var names []string
	for _, f := range rehearsal.Faults() {
		names = append(names, f.Name)
	}
	return names
}

func (v *visitor) viewSteps(view *deskView) {
	r := v.rehearsal
	for i, step := range rehearsal.Steps() {
		view.Steps = append(view.Steps, stepView{i, step.Name, step.Minutes, i == r.Step(), r.Done(i)})
	}
	view.Task = view.Steps[r.Step()]
	if next := r.Step() + 1; next < len(view.Steps) {
		view.Next = &view.Steps[next]
	}
	for _, q := range rehearsal.Questions() {
		if q.Step != view.Task.Name {
			continue
		}
		answers := r.Book().Answers[q.Name]
		asked := questionView{Name: q.Name, Given: len(answers) > 0}
		for i, c := range q.Choices {
			chosen := asked.Given && answers[len(answers)-1].Choice == i
			asked.Choices = append(asked.Choices, choiceView{strconv.Itoa(i), v.voice.T("choice." + c), chosen})
		}
		if asked.Given {
			asked.Mind = answers[len(answers)-1].Mind
		}
		if asked.Given && len(q.Choices) == 0 {
			asked.Number = v.voice.Field(answers[len(answers)-1].Number, 2)
		}
		view.Questions = append(view.Questions, asked)
	}
}

func (v *visitor) viewBench(view *deskView) {
	r, w := v.rehearsal, v.voice
	c := r.Controls()
	for i, f := range r.Filters() {
		view.Filters = append(view.Filters, filterView{i, w.Plain(f.Wavelength), strconv.FormatFloat(f.Wavelength, 'f', -1, 64), i == c.Filter})
	}
	for _, t := range rehearsal.Transmissions() {
		view.Dims = append(view.Dims, choiceView{strconv.FormatFloat(t, 'f', -1, 64), w.transmission(t), t == c.Transmission})
	}
	for i, full := range r.FullScales() {
		view.Ranges = append(view.Ranges, choiceView{strconv.Itoa(i), w.fullScale(full), i == c.Range})
	}
	for i, nulled := range r.Nulled() {
		if nulled {
			view.Nulled = append(view.Nulled, w.fullScale(r.FullScales()[i]))
		}
	}
	slices.Reverse(view.Nulled)
	slices.Reverse(view.Ranges)
	slices.Reverse(view.Dims)
	view.Needle = needleOf(view.Moment.Deflection)
	view.Needle.Full = w.fullScale(r.FullScales()[r.Display().Range])
}

// transmission names an attenuator.
func (w Voice) transmission(t float64) string {
	if t == 1 {
		return w.T("bench.undimmed")
	}
	return w.F("bench.dimmed", "share", w.Plain(t))
}

// fullScale names a range.
func (w Voice) fullScale(full float64) string {
	if math.IsInf(full, 0) {
		return w.T("bench.no-range")
	}
	u := unitFor(full)
	text := strconv.FormatFloat(full/u.Size, 'g', 3, 64)
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return text
	}
	return w.Plain(x) + " " + u.Name
}

// The drawing of the needle: a scale of so many degrees to either side of
// upright, about a point below.
const needleReach, needleCentreX, needleCentreY, needleRadius = 48.0, 120.0, 130.0, 100.0

// needleAt returns a point on the scale at a deflection from -1 to 1.
func needleAt(deflection, radius float64) (x, y float64) {
	angle := deflection * needleReach * math.Pi / 180
	return needleCentreX + radius*math.Sin(angle), needleCentreY - radius*math.Cos(angle)
}

// needleOf returns the scale with the needle at a deflection.
func needleOf(deflection float64) needleView {
	text := func(x float64) string { return strconv.FormatFloat(x, 'f', 1, 64) }
	var n needleView
	for i := -10; i <= 10; i++ {
		length := 7.0
		if i%5 == 0 {
			length = 13
		}
		x1, y1 := needleAt(float64(i)/10, needleRadius)
		x2, y2 := needleAt(float64(i)/10, needleRadius-length)
		n.Marks = append(n.Marks, markView{text(x1), text(y1), text(x2), text(y2)})
	}
	x, y := needleAt(deflection, needleRadius-4)
	n.X, n.Y = text(x), text(y)
	return n
}

// pageName names a page as a person reads it.
func (w Voice) pageName(p rehearsal.Page) string {
	if p.Dark() {
		return w.T("book.dark")
	}
	name := w.Plain(p.Wavelength) + " nm"
	if p.Transmission != 1 {
		name += " " + w.F("book.times", "share", w.Plain(p.Transmission))
	}
	if p.Floating {
		name += " " + w.T("book.floating")
	}
	return name
}

// pageLabel names a page so that no other has the name: pages of one heading have
// numbers, and those of the second bench say so.
func (v *visitor) pageLabel(i int) string {
	w, pages := v.voice, v.rehearsal.Book().Pages
	name := w.pageName(pages[i])
	number := 1
	for _, p := range pages[:i] {
		if p.Bench == pages[i].Bench && w.pageName(p) == name {
			number++
		}
	}
	if number > 1 {
		name += fmt.Sprintf(" (%d)", number)
	}
	if pages[i].Bench == 1 {
		name += " · " + w.T("book.bench_2")
	}
	return name
}

func (v *visitor) viewBook(view *deskView) {
	r, w := v.rehearsal, v.voice
	book := r.Book()
	for i, p := range book.Pages {
		page := pageView{Index: i, Name: v.pageLabel(i), Open: i == book.Open, Count: len(p.Readings), Dark: p.Dark(), Float: p.Floating, Bench: p.Bench, Aside: p.Aside.Text}
		for _, n := range p.Notes {
			page.Notes = append(page.Notes, clockText(n.At)+"  "+n.Text)
		}
		view.Pages = append(view.Pages, page)
	}
	if book.Open < 0 {
		return
	}
	view.Open = &view.Pages[book.Open]
	view.Writable = view.Open.Bench == r.At() && view.Open.Aside == ""
	page := book.Pages[book.Open]
	for _, k := range page.Readings {
		view.Rows = append(view.Rows, v.row(k))
	}
	if len(page.Readings) > 0 && !page.Floating || book.Sketch != nil {
		view.Figure = &figureView{Name: "page", Alt: w.F("figure.alt", "page", view.Open.Name, "readings", strconv.Itoa(len(page.Readings))), Revision: v.written}
		if d, err := v.draw("page"); err == nil {
			view.Figure.Panels = d.panels
		}
		view.Figure.Wide, view.Figure.Narrow = v.notebookSize(false), v.notebookSize(true)
	}
	if ruler := book.Ruler; ruler != nil {
		shown := rulerView{}
		for i := range 2 {
			shown.V[i], shown.I[i] = w.Field(ruler.V[i], 3), w.Field(ruler.I[i]*1e12, 2)
		}
		if zero, ok := ruler.Zero(); ok {
			shown.Zero = w.Number(zero, 3)
		}
		view.Ruler = &shown
	}
}

// row returns a reading as the logbook shows it.
func (v *visitor) row(k int) rowView {
	w := v.voice
	x := v.rehearsal.Book().Readings[k]
	row := rowView{
		Number: k + 1, Index: k, Clock: clockText(x.Time), Volts: w.Number(x.Retarding, 3),
		Beyond: x.Flags&run.Overload != 0, Struck: x.Struck,
	}
	if x.Controls.Floating {
		row.Amps = "–"
		return row
	}
	step := v.resolution(x)
	row.Amps, row.Unit = w.Current(x.Current, x.FullScale, step)
	return row
}

// resolution returns one step of the display in A on the range of a reading.
func (v *visitor) resolution(x rehearsal.Reading) float64 {
	return v.setup.Apparatus.Meter.Ranges()[x.Controls.Range].Resolution
}

func (v *visitor) viewCutoffs(view *deskView) {
	r, w := v.rehearsal, v.voice
	book := r.Book()
	chosen := ""
	for i, p := range book.Pages {
		if len(p.Cutoffs) == 0 {
			continue
		}
		c := p.Cutoffs[len(p.Cutoffs)-1]
		if i == book.Open {
			chosen = c.Rule
		}
		shown := cutoffView{Page: i, Name: v.pageLabel(i), Stopping: w.Number(c.Stopping, 3), U: w.Number(c.U, 3), Rule: c.Rule, RuleName: w.rule(c.Rule), Dimmed: p.Transmission != 1, Aside: p.Aside.Text}
		for _, old := range p.Cutoffs[:len(p.Cutoffs)-1] {
			shown.Earlier = append(shown.Earlier, w.Number(old.Stopping, 3)+" ± "+w.Number(old.U, 3)+" V")
		}
		if c.Why != "" && p.Bench == 0 {
			shown.Earlier = append(shown.Earlier, w.F("cutoff.because", "why", c.Why))
		}
		view.Cutoffs = append(view.Cutoffs, shown)
		if chosen == "" {
			chosen = c.Rule
		}
	}
	for _, rule := range rehearsal.Rules() {
		view.Rules = append(view.Rules, ruleView{choiceView{rule, w.rule(rule), rule == chosen}, w.does(rule)})
	}
	view.Ready = len(r.Points())
	if !view.Committed {
		return
	}
	line, err := r.Line()
	view.Line = &lineView{}
	if err != nil {
		view.Line.Problem = w.T("line.none")
	} else {
		phi, uPhi := line.WorkFunction()
		view.Line.HOverE = fmt.Sprintf("(%s ± %s) × 10⁻¹⁵ V s", w.Number(line.Slope*1e15, 3), w.Number(line.USlope*1e15, 3))
		view.Line.WorkFunction = fmt.Sprintf("(%s ± %s) eV", w.Number(phi, 3), w.Number(uPhi, 3))
	}
	for _, st := range book.Statements {
		view.Statements = append(view.Statements, fmt.Sprintf("%s  (%s ± %s) × 10⁻¹⁵ V s", clockText(st.At), w.Number(st.HOverE*1e15, 3), w.Number(st.U*1e15, 3)))
	}
}
