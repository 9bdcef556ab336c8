package rehearse

import (
	"fmt"
	"math"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"sync"

	"stopvolt/cmd/stopvolt/internal/draw"
	"stopvolt/cmd/stopvolt/internal/figure"
	"stopvolt/instrument"
	"stopvolt/instrument/run"
	"stopvolt/physics"
	"stopvolt/sim"
	"stopvolt/sim/knee"
)

// A knob is one thing that the instructor changes before a class.
type knob struct {
	// name is its word in tables and in forms.
	name string
	// low, high and step are those of the control, which may be the logarithm of
	// the value.
	low, high, step float64
	decimals        int
	get             func(a instrument.Apparatus, setting int) float64
	set             func(a *instrument.Apparatus, setting int, x float64)
}

// perfect is the control's value that stands for no leakage at all.
const perfect = 15

// knobs are those of the view. To add one, add it here and its words in each
// language.
func knobs() []knob {
	return []knob{
		{"temperature", 20, 600, 5, 0, func(a instrument.Apparatus, _ int) float64 { return a.Emitter.Temperature },
			func(a *instrument.Apparatus, _ int, x float64) { a.Emitter.Temperature, a.Collector.Temperature = x, x }},
		{"contact", -0.5, 1.5, 0.01, 2, func(a instrument.Apparatus, _ int) float64 { return a.Collector.WorkFunction - a.Emitter.WorkFunction },
			func(a *instrument.Apparatus, _ int, x float64) { a.Collector.WorkFunction = a.Emitter.WorkFunction + x }},
		{"stray", 0, 0.3, 0.005, 3, func(a instrument.Apparatus, _ int) float64 { return a.Collector.StrayLight },
			func(a *instrument.Apparatus, _ int, x float64) { a.Collector.StrayLight = x }},
		{"filter", -15, 15, 0.5, 1, func(a instrument.Apparatus, i int) float64 {
			f := a.Lights[i].Filter
			if f.Width == 0 {
				return 0
			}
			return f.Centre - a.Lights[i].Nominal
		}, func(a *instrument.Apparatus, i int, x float64) {
			a.Lights = slices.Clone(a.Lights)
			f := &a.Lights[i].Filter
			if f.Width == 0 {
				if x == 0 {
					return
				}
				f.Width, f.Peak = 10, 1
			}
			f.Centre = a.Lights[i].Nominal + x
		}},
		{"leakage", 9, perfect, 0.1, 1, func(a instrument.Apparatus, _ int) float64 {
			if a.Leakage.Conductance == 0 {
				return perfect
			}
			return -math.Log10(a.Leakage.Conductance)
		}, func(a *instrument.Apparatus, _ int, x float64) {
			a.Leakage.Conductance = 0
			if x < perfect {
				a.Leakage.Conductance = math.Pow(10, -x)
			}
		}},
		{"geometry", 0, 8, 0.05, 2, func(a instrument.Apparatus, _ int) float64 {
			if s, ok := a.Geometry.(physics.Spheres); ok {
				return s.RadiusRatio
			}
			return 1
		}, func(a *instrument.Apparatus, _ int, x float64) { a.Geometry = physics.Spheres{RadiusRatio: x} }},
	}
}

// A demonstration is the bench that the instructor shows.
type demonstration struct {
	mutex    sync.Mutex
	base     instrument.Apparatus
	now      instrument.Apparatus
	setting  int
	revision int
	// before is the curve before the last change.
	before, curve []run.Reading
	drawn         map[string]drawing
	steps         *knee.Steps
	stepsOf       int
}

func newDemonstration(a instrument.Apparatus) *demonstration {
	return &demonstration{base: a, now: a, drawn: make(map[string]drawing), stepsOf: -1}
}

// instructing serves the instructor only.
func (s *Server) instructing(next http.HandlerFunc) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if s.options.Instructor == "" || !admitted(w, r, s.options.Instructor, instructorCookie) {
			http.Error(w, "this view is the instructor's; its address was printed when the server began", http.StatusForbidden)
			return
		}
		next(w, r)
	}
}

// knobView is a knob on the page.
type knobView struct {
	Name                   string
	Low, High, Step, Value string
	Shown                  string
}

// classView is one student's place in the session, without any truth.
type classView struct {
	Number, Step, Readings, Cutoffs int
	Student, Code                   string
	Committed, Revealed             bool
}

// instructorView is the instructor's page.
type instructorView struct {
	W         Voice
	Title     string
	Knobs     []knobView
	Settings  []choiceView
	Truth     string
	Revision  int
	Alt       string
	Steps     []stepCaption
	ShowSteps bool
	Class     []classView
	// Codes says that the class enters with codes.
	Codes     bool
	StepCount int
}

type stepCaption struct {
	Number      int
	Cause, Text string
}

// instructor is the view.
func (s *Server) instructor(w http.ResponseWriter, r *http.Request) {
	s.render(w, "instructor", http.StatusOK, s.instructorView(r, r.URL.Query().Get("steps") != ""))
}

func (s *Server) instructorView(r *http.Request, steps bool) instructorView {
	voice := s.asked(r)
	d := s.demo
	d.mutex.Lock()
	defer d.mutex.Unlock()
	view := instructorView{W: voice, Title: s.options.Title, Revision: d.revision, ShowSteps: steps}
	for _, k := range knobs() {
		x := k.get(d.now, d.setting)
		view.Knobs = append(view.Knobs, knobView{
			k.name, plainNumber(k.low), plainNumber(k.high), plainNumber(k.step), plainNumber(math.Round(x/k.step) * k.step), voice.knob(k, x),
		})
	}
	for i, l := range d.now.Lights {
		view.Settings = append(view.Settings, choiceView{strconv.Itoa(i), voice.Plain(l.Nominal) + " nm", i == d.setting})
	}
	view.Truth = voice.Number(sim.TruthOf(d.now).Stopping[d.setting], 3)
	view.Alt = voice.F("instructor.alt", "line", voice.Plain(d.now.Lights[d.setting].Nominal))
	if steps {
		if _, err := d.built(); err == nil {
			for i, c := range effectWords(voice.Tag).Causes(*d.steps) {
				view.Steps = append(view.Steps, stepCaption{i, c.Name, c.Told})
			}
		}
	}
	at := make(map[string]int)
	if students := s.options.Students; students != nil {
		view.Codes = true
		for i, id := range students.IDs {
			at[id] = i
			view.Class = append(view.Class, classView{Student: id, Code: students.Code(id)})
		}
	}
	for _, v := range s.everybody() {
		if !v.mutex.TryLock() {
			continue
		}
		book := v.rehearsal.Book()
		row := classView{
			Number: v.place, Student: v.student, Step: v.rehearsal.Step() + 1, Readings: len(book.Readings), Cutoffs: len(v.rehearsal.Points()),
			Committed: book.Committed > 0, Revealed: v.rehearsal.Revealed(),
		}
		v.mutex.Unlock()
		if i, ok := at[row.Student]; ok {
			row.Code = view.Class[i].Code
			view.Class[i] = row
		} else {
			view.Class = append(view.Class, row)
		}
	}
	return view
}

// plainNumber returns a number as forms have it.
func plainNumber(x float64) string { return strconv.FormatFloat(math.Round(x*1e6)/1e6, 'f', -1, 64) }

// knob says what a knob stands at.
func (w Voice) knob(k knob, x float64) string {
	if k.name == "leakage" {
		if x >= perfect {
			return w.T("instructor.perfect")
		}
		return w.Number(math.Pow(10, x-math.Floor(x)), 1) + " × 10" + superscript(int(math.Floor(x))) + " Ω"
	}
	return w.Number(x, k.decimals) + " " + w.T("instructor.unit."+k.name)
}

// demonstrate changes the bench.
func (s *Server) demonstrate(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		http.Error(w, "the form cannot be read", http.StatusBadRequest)
		return
	}
	d := s.demo
	d.mutex.Lock()
	err := d.change(r.PostForm)
	d.mutex.Unlock()
	if err != nil {
		http.Error(w, "no such bench", http.StatusBadRequest)
		return
	}
	if r.Header.Get("X-Parts") == "" {
		http.Redirect(w, r, "/instructor", http.StatusSeeOther)
		return
	}
	s.render(w, "instructor", http.StatusOK, s.instructorView(r, r.PostForm.Get("steps") != ""))
}

// change sets what a form says. The mutex is held.
func (d *demonstration) change(form map[string][]string) error {
	get := func(name string) string {
		if list := form[name]; len(list) > 0 {
			return list[0]
		}
		return ""
	}
	before := d.curve
	if get("reset") != "" {
		d.now = d.base
	} else {
		next := d.now
		if text := get("setting"); text != "" {
			i, err := strconv.Atoi(text)
			if err != nil || i < 0 || i >= len(next.Lights) {
				return fmt.Errorf("no line %q", text)
			}
			if i != d.setting {
				// Another line is not a change of the bench, and the knobs of the
				// form were the last line's.
				d.setting, d.before, d.curve = i, nil, nil
				d.revision++
				return nil
			}
		}
		for _, k := range knobs() {
			text := get(k.name)
			if text == "" {
				continue
			}
			x, err := parseNumber(text)
			if err != nil || x < k.low-1e-9 || x > k.high+1e-9 {
				return fmt.Errorf("%s at %q", k.name, text)
			}
			// What the form did not change stays what it is, to the last digit.
			if old := k.get(next, d.setting); math.Abs(math.Round(old/k.step)*k.step-x) > 1e-9 {
				k.set(&next, d.setting, x)
			}
		}
		curve, err := demonstrated(next, d.setting)
		if err != nil {
			return err
		}
		d.now, d.curve = next, curve
	}
	if get("reset") != "" {
		d.curve = nil
	}
	d.before = before
	d.revision++
	return nil
}

// demonstrationPoints is the number of voltages of the curve.
const demonstrationPoints = 160

// demonstrated returns the mean curve of a line.
func demonstrated(a instrument.Apparatus, setting int) ([]run.Reading, error) {
	mean, err := instrument.NewMeanCurrent(a, a.Lights[setting], physics.Quick{})
	if err != nil {
		return nil, err
	}
	var curve []run.Reading
	for i := range demonstrationPoints + 1 {
		v := a.Plan.Start + (a.Plan.Stop-a.Plan.Start)*float64(i)/demonstrationPoints
		curve = append(curve, run.Reading{Retarding: v, Current: mean.At(v).Net()})
	}
	return curve, nil
}

// demonstrationFigure serves the pictures of the view.
func (s *Server) demonstrationFigure(w http.ResponseWriter, r *http.Request) {
	d := s.demo
	voice := s.asked(r)
	d.mutex.Lock()
	out, err := d.draw(r.PathValue("name"), voice)
	d.mutex.Unlock()
	if err != nil {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", "image/svg+xml")
	_, _ = w.Write(out.svg)
}

// draw returns a picture of the demonstration. The mutex is held.
func (d *demonstration) draw(name string, voice Voice) (drawing, error) {
	key := name + " " + voice.Tag + fmt.Sprint(voice.Comma)
	if kept, ok := d.drawn[key]; ok && kept.revision == d.revision {
		return kept, nil
	}
	p, err := d.picture(name, voice)
	if err != nil {
		return drawing{}, err
	}
	out := drawing{revision: d.revision}
	if out.svg, err = voice.svg(p); err != nil {
		return drawing{}, err
	}
	if len(d.drawn) > 64 {
		clear(d.drawn)
	}
	d.drawn[key] = out
	return out, nil
}

func (d *demonstration) picture(name string, voice Voice) (figure.Picture, error) {
	if number, ok := strings.CutPrefix(strings.TrimSuffix(name, ".svg"), "step-"); ok {
		i, err := strconv.Atoi(number)
		if err != nil {
			return figure.Picture{}, err
		}
		return d.slide(i, voice)
	}
	if name != "curve.svg" && name != "curve-narrow.svg" {
		return figure.Picture{}, fmt.Errorf("no picture %q", name)
	}
	if d.curve == nil {
		var err error
		if d.curve, err = demonstrated(d.now, d.setting); err != nil {
			return figure.Picture{}, err
		}
	}
	truth := sim.TruthOf(d.now).Stopping[d.setting]
	f := figure.Notebook{
		Narrow: name == "curve-narrow.svg", Smooth: true,
		Words: figure.NotebookWords{
			Alt:     voice.F("instructor.alt", "line", voice.Plain(d.now.Lights[d.setting].Nominal)),
			Voltage: voice.T("figure.voltage"), Current: voice.T("figure.current"), Reading: voice.T("instructor.mean"),
			Whole: voice.T("figure.whole"), Knee: voice.T("figure.knee"),
			Beside: voice.T("instructor.before"), Cutoff: voice.T("instructor.truth"),
		},
		Readings: d.curve, Cutoff: &struct{ V, U float64 }{truth, 0},
	}
	if len(d.before) > 0 {
		f.Scale = 1
		for i, r := range d.before {
			if i%2 == 0 {
				f.Beside = append(f.Beside, r)
			}
		}
	}
	p, _, err := f.Picture()
	return p, err
}

// The electrons and the voltages of the steps, fewer than on paper.
const stepElectrons, stepPoints = 40_000, 161

// built returns the knee built up cause by cause. The mutex is held.
func (d *demonstration) built() (*knee.Steps, error) {
	if d.steps != nil && d.stepsOf == d.revision {
		return d.steps, nil
	}
	b := knee.Build{Apparatus: d.now, Setting: d.setting, Seed: 1, Electrons: stepElectrons, Points: stepPoints}
	steps, err := b.Steps()
	if err != nil {
		return nil, err
	}
	d.steps, d.stepsOf = &steps, d.revision
	return d.steps, nil
}

// slide draws one step of the knee. The mutex is held.
func (d *demonstration) slide(i int, voice Voice) (figure.Picture, error) {
	steps, err := d.built()
	if err != nil {
		return figure.Picture{}, err
	}
	lesson := draw.Lesson{
		Build: knee.Build{Apparatus: d.now, Setting: d.setting}, Steps: *steps, Causes: effectWords(voice.Tag).Causes(*steps),
	}
	return lesson.StepsFigure().Slide(i)
}
