package rehearse

import (
	"fmt"
	"math"
	"net/http"
	"strconv"
	"strings"
	"time"

	"stopvolt/analysis/rehearsal"
)

// toldDebrief is a debrief that has been worked out.
type toldDebrief struct {
	revision int
	truth    rehearsal.Debrief
}

// debriefView is the page of the debrief.
type debriefView struct {
	Work, Ideas []findingView
	Good        []string
	// Undone says what could not be judged, and NoWork and NoIdeas why a list of
	// findings is empty.
	Undone          []string
	NoWork, NoIdeas string
	Result          []string
	Lines           []lineTruthView
	Methods         []methodView
	MethodNames     []string
	Effects         []effectView
	Rule            string
	Fault           string
	FaultRight      bool
	FaultSought     bool
}

type findingView struct {
	Name, Title, Text, Advice string
	Rows                      []rowView
	More                      int
}

type lineTruthView struct{ Name, True, Read, Off string }

type methodView struct {
	Name     string
	Stopping []string
	HOverE   string
	Off      string
}

type effectView struct{ Name, Shift, Slope, Remedy string }

// debrief is the page that tells the truth, once it has been asked for.
func (s *Server) debrief(w http.ResponseWriter, r *http.Request, v *visitor) {
	v.mutex.Lock()
	v.attend(time.Now())
	if !v.rehearsal.Revealed() {
		v.mutex.Unlock()
		http.Redirect(w, r, "/desk", http.StatusSeeOther)
		return
	}
	if v.told == nil || v.told.revision != v.revision {
		truth, err := v.rehearsal.Debrief()
		if err != nil {
			v.mutex.Unlock()
			s.failed(w, err)
			return
		}
		v.told = &toldDebrief{revision: v.revision, truth: truth}
		delete(v.drawn, "line")
	}
	view := s.view(v)
	view.Debrief = v.debriefView()
	v.mutex.Unlock()
	s.render(w, "debrief", http.StatusOK, view)
}

// mostShown is the number of readings that a finding shows; the rest is counted.
const mostShown = 4

// debriefView puts the debrief into words. The mutex is held.
func (v *visitor) debriefView() *debriefView {
	w, d := v.voice, v.told.truth
	view := &debriefView{FaultSought: d.Named != "" || v.rehearsal.Drill()}
	for _, f := range d.Findings {
		shown := findingView{
			Name: f.Name, Title: w.T("finding." + f.Name + ".title"), Advice: w.T("finding." + f.Name + ".advice"),
			Text: w.F("finding."+f.Name+".text", "n", strconv.Itoa(len(f.Readings)), "amount", v.amount(f)),
		}
		switch {
		case f.Name != "brighter-is-larger":
		case len(f.Pages) == 0:
			shown.Text = w.T("debrief.not_dimmed")
		case f.Agree:
			shown.Text = w.F("debrief.agree", "amount", v.amount(f))
		}
		for i, k := range f.Readings {
			if i < mostShown {
				shown.Rows = append(shown.Rows, v.row(k))
			}
		}
		shown.More = len(f.Readings) - len(shown.Rows)
		if f.Idea {
			view.Ideas = append(view.Ideas, shown)
		} else {
			view.Work = append(view.Work, shown)
		}
	}
	for _, name := range d.Spotless {
		view.Good = append(view.Good, w.T("finding."+name+".good"))
	}
	for _, name := range d.Undone {
		// A drill asks for the fault and for nothing else.
		if v.rehearsal.Drill() {
			break
		}
		view.Undone = append(view.Undone, w.T("finding."+name+".undone"))
	}
	view.NoWork, view.NoIdeas = w.T("debrief.none_work"), w.T("debrief.none_ideas")
	if len(view.Good) == 0 {
		view.NoWork = w.T("debrief.no_work")
	}
	if len(v.rehearsal.Book().Answers) == 0 {
		view.NoIdeas = w.T("debrief.no_answers")
	}
	v.results(view, d)
	for _, l := range d.Lines {
		view.Lines = append(view.Lines, lineTruthView{
			w.Plain(l.Wavelength) + " nm", w.Number(l.Stopping, 3), withU(w, l.Read, l.U), w.Number((l.Read-l.Stopping)*1e3, 0),
		})
		view.MethodNames = append(view.MethodNames, w.Plain(l.Wavelength)+" nm")
	}
	for _, m := range d.Methods {
		row := methodView{Name: w.rule(m.Method), HOverE: w.Number(m.HOverE*1e15, 3), Off: w.percent(m.HOverE/d.HOverE - 1)}
		for _, x := range m.Stopping {
			row.Stopping = append(row.Stopping, w.Number(x, 3))
		}
		view.Methods = append(view.Methods, row)
	}
	for _, e := range d.Effects {
		view.Effects = append(view.Effects, effectView{
			Name: w.effect(e.Effect), Shift: w.signed(e.Shift*1e3, 0), Slope: w.percent(e.Slope), Remedy: w.remedy(e.Effect),
		})
	}
	view.Rule = w.rule(d.Rule)
	name := d.Fault
	if name == "" {
		name = rehearsal.NoFault
	}
	view.Fault, view.FaultRight = w.T("fault."+name), d.Named == name
	return view
}

// withU returns a value in V with its uncertainty.
func withU(w Voice, x, u float64) string {
	if math.IsNaN(x) {
		return "–"
	}
	return w.Number(x, 3) + " ± " + w.Number(u, 3)
}

// percent returns a share as a signed percentage.
func (w Voice) percent(share float64) string {
	if !finite(share) {
		return "–"
	}
	return w.signed(100*share, 1) + " %"
}

// signed returns a number with its sign.
func (w Voice) signed(x float64, decimals int) string {
	text := w.Number(x, decimals)
	if x > 0 && strings.Trim(text, "0,.") != "" {
		text = "+" + text
	}
	return text
}

// amount puts the number of a finding into words.
func (v *visitor) amount(f rehearsal.Finding) string {
	w := v.voice
	switch f.Name {
	case "few-at-knee":
		return v.perPage(f)
	case "cold-lamp":
		return w.Number(f.Amount, 0)
	case "brighter-is-larger":
		return w.Number(f.Amount*1e3, 0)
	case "zero-is-nothing":
		if f.Amount < 1 {
			return w.Number(f.Amount, 1)
		}
		power := math.Floor(math.Log10(f.Amount))
		if power < 3 {
			return w.Number(f.Amount, 0)
		}
		return fmt.Sprintf("%s × 10%s", w.Number(f.Amount/math.Pow(10, power), 1), superscript(int(power)))
	case "range-is-physics":
		u := unitFor(f.Amount)
		return w.Number(f.Amount/u.Size, 2) + " " + u.Name
	}
	return w.Number(f.Amount, 0)
}

// perPage names the pages of a finding with how many of its readings each has.
func (v *visitor) perPage(f rehearsal.Finding) string {
	var list []string
	for _, i := range f.Pages {
		n := 0
		for _, k := range f.Readings {
			if v.rehearsal.Book().Readings[k].Page == i {
				n++
			}
		}
		list = append(list, v.pageLabel(i)+": "+strconv.Itoa(n))
	}
	return strings.Join(list, "; ")
}

// superscript writes a whole number high.
func superscript(n int) string {
	return strings.NewReplacer("0", "⁰", "1", "¹", "2", "²", "3", "³", "4", "⁴", "5", "⁵", "6", "⁶", "7", "⁷", "8", "⁸", "9", "⁹", "-", "⁻").Replace(strconv.Itoa(n))
}

// results puts what was found beside what is true.
func (v *visitor) results(view *debriefView, d rehearsal.Debrief) {
	w := v.voice
	truth := w.Number(d.HOverE*1e15, 3)
	if finite(d.Stated) {
		view.Result = append(view.Result, w.F("debrief.stated", "h", w.Number(d.Stated*1e15, 3), "u", w.Number(d.U*1e15, 3),
			"true", truth, "off", w.percent(d.Stated/d.HOverE-1)))
		if d.U > 0 {
			view.Result = append(view.Result, w.F("debrief.inu", "n", w.Number(math.Abs(d.Stated-d.HOverE)/d.U, 1)))
		}
	}
	if finite(d.Drawn) {
		view.Result = append(view.Result, w.F("debrief.drawn", "h", w.Number(d.Drawn*1e15, 3), "u", w.Number(d.UDrawn*1e15, 3), "true", truth, "off", w.percent(d.Drawn/d.HOverE-1)))
	}
	view.Result = append(view.Result, w.F("debrief.true", "true", truth, "phi", w.Number(d.WorkFunction, 3)))
}
