package rehearse

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"stopvolt/analysis/rehearsal"
	"stopvolt/instrument/run"
)

// known serves visitors who have begun, and sends others to the beginning.
func (s *Server) known(next func(http.ResponseWriter, *http.Request, *visitor)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if !admitted(w, r, s.options.Token, classCookie) {
			http.Error(w, "this class has a token; open the address that the instructor gives", http.StatusForbidden)
			return
		}
		v, err := s.find(r)
		switch {
		case errors.Is(err, errFull):
			http.Error(w, errFull.Error()+"; try again later", http.StatusServiceUnavailable)
		case err != nil:
			s.failed(w, err)
		case v == nil && r.Method == http.MethodGet && r.URL.Path == "/desk":
			http.Redirect(w, r, "/", http.StatusSeeOther)
		case v == nil:
			http.Error(w, "no rehearsal has begun in this browser", http.StatusUnauthorized)
		default:
			next(w, r, v)
		}
	}
}

// asked returns the voice in which a newcomer is spoken to: the language of the
// address, or of the browser, or the server's.
func (s *Server) asked(r *http.Request) Voice {
	voice := Voice{s.voices[s.options.Language], s.options.Comma}
	if tag := r.FormValue("language"); s.voices[tag] != nil {
		voice = Voice{s.voices[tag], tag == "de"}
	} else if strings.HasPrefix(r.Header.Get("Accept-Language"), "de") && s.options.Language == "en" && r.Method == http.MethodGet {
		voice = Voice{s.voices["de"], true}
	}
	switch r.FormValue("decimal") {
	case "comma":
		voice.Comma = true
	case "point":
		voice.Comma = false
	}
	return voice
}

// welcome is the first page.
func (s *Server) welcome(w http.ResponseWriter, r *http.Request) {
	if !admitted(w, r, s.options.Token, classCookie) {
		http.Error(w, "this class has a token; open the address that the instructor gives", http.StatusForbidden)
		return
	}
	v, err := s.find(r)
	if err != nil {
		s.complain(err)
	}
	s.render(w, "welcome", http.StatusOK, welcomeView{
		W: s.asked(r), Title: s.options.Title, Local: s.options.Local, Set: s.options.Students != nil, Going: v != nil,
	})
}

// begin begins a rehearsal.
func (s *Server) begin(w http.ResponseWriter, r *http.Request) {
	if !admitted(w, r, s.options.Token, classCookie) {
		http.Error(w, "this class has a token; open the address that the instructor gives", http.StatusForbidden)
		return
	}
	if err := r.ParseForm(); err != nil {
		http.Error(w, "the form cannot be read", http.StatusBadRequest)
		return
	}
	voice := s.asked(r)
	v, err := s.admit(strings.TrimSpace(r.PostForm.Get("student")), r.PostForm.Get("code"), voice)
	view := welcomeView{W: voice, Title: s.options.Title, Local: s.options.Local, Set: s.options.Students != nil}
	switch {
	case errors.Is(err, errFull), errors.Is(err, errTooFast):
		view.Problem = voice.T("welcome.full")
		s.render(w, "welcome", http.StatusServiceUnavailable, view)
		return
	case errors.Is(err, errStudent):
		view.Problem = voice.T("welcome.unknown")
		s.render(w, "welcome", http.StatusForbidden, view)
		return
	case err != nil:
		s.failed(w, err)
		return
	}
	http.SetCookie(w, ownCookie(visitorCookie, v.id))
	http.Redirect(w, r, "/desk", http.StatusSeeOther)
}

// desk is the page of the rehearsal.
func (s *Server) desk(w http.ResponseWriter, r *http.Request, v *visitor) {
	v.mutex.Lock()
	v.attend(time.Now())
	view := s.view(v)
	v.said = ""
	v.mutex.Unlock()
	s.render(w, "desk", http.StatusOK, view)
}

// The rate of actions of one visitor.
const actsAtOnce, actsEach = 80, 30

// act does an action, and answers with the page.
func (s *Server) act(w http.ResponseWriter, r *http.Request, v *visitor) {
	v.mutex.Lock()
	fast := !v.rate.take(time.Now(), actsAtOnce, actsEach)
	v.mutex.Unlock()
	if fast {
		http.Error(w, "too many actions at once", http.StatusTooManyRequests)
		return
	}
	if err := r.ParseForm(); err != nil {
		http.Error(w, "the form cannot be read", http.StatusBadRequest)
		return
	}
	actions, err := actionsOf(r.PostForm)
	if err != nil {
		s.answer(w, r, v, err)
		return
	}
	v.mutex.Lock()
	v.said = ""
	for _, a := range actions {
		if err = v.does(a, time.Now()); err != nil {
			break
		}
	}
	v.mutex.Unlock()
	s.answer(w, r, v, err)
}

// answer answers an action: a script gets the parts of the page, and a browser
// without one is sent to it.
func (s *Server) answer(w http.ResponseWriter, r *http.Request, v *visitor, err error) {
	var refusal *rehearsal.Refusal
	v.mutex.Lock()
	switch {
	case errors.As(err, &refusal):
		v.said = v.voice.T("refusal." + refusal.Word)
	case errors.Is(err, errNoNumber):
		v.said = v.voice.T("refusal.no-number")
	case err != nil:
		v.mutex.Unlock()
		http.Error(w, "no such action", http.StatusBadRequest)
		return
	}
	if r.Header.Get("X-Parts") == "" {
		v.mutex.Unlock()
		http.Redirect(w, r, "/desk", http.StatusSeeOther)
		return
	}
	view := s.view(v)
	v.said = ""
	v.mutex.Unlock()
	s.render(w, "parts", http.StatusOK, view)
}

// speech changes the language and the decimal sign.
func (s *Server) speech(w http.ResponseWriter, r *http.Request, v *visitor) {
	if err := r.ParseForm(); err != nil {
		http.Error(w, "the form cannot be read", http.StatusBadRequest)
		return
	}
	v.mutex.Lock()
	if l := s.voices[r.PostForm.Get("language")]; l != nil {
		v.voice.Language = l
	}
	v.voice.Comma = r.PostForm.Get("decimal") == "comma"
	v.revision++
	v.written++
	v.dirty = true
	v.drawn = make(map[string]drawing)
	v.mutex.Unlock()
	http.Redirect(w, r, "/desk", http.StatusSeeOther)
}

var errNoNumber = errors.New("no number is typed there")

// actionsOf reads the actions of a form. A form has the field do, and the fields
// value, second, third, text and why; a sketch has one field for each voltage.
func actionsOf(form map[string][]string) ([]rehearsal.Action, error) {
	get := func(name string) string {
		if list := form[name]; len(list) > 0 {
			return list[0]
		}
		return ""
	}
	kind := rehearsal.Kind(get("do"))
	if kind == rehearsal.Sketch && get("value") == "" {
		var all []rehearsal.Action
		for i := range rehearsal.SketchVoltages() {
			x, err := parseNumber(get("at" + strconv.Itoa(i)))
			if err != nil {
				return nil, err
			}
			all = append(all, rehearsal.Action{Kind: kind, Value: float64(i), Second: x})
		}
		return all, nil
	}
	a := rehearsal.Action{Kind: kind, Text: get("text"), Why: get("why")}
	for _, f := range []struct {
		name string
		x    *float64
	}{{"value", &a.Value}, {"second", &a.Second}, {"third", &a.Third}} {
		text := get(f.name)
		if text == "" {
			if slices.Contains(needed[kind], f.name) {
				return nil, errNoNumber
			}
			continue
		}
		x, err := parseNumber(text)
		if err != nil {
			return nil, err
		}
		// Some fields are in units that people type.
		if scale, ok := units[string(kind)+" "+f.name]; ok {
			x *= scale
		}
		*f.x = x
	}
	a.Text = strings.ReplaceAll(a.Text, "\r\n", "\n")
	return []rehearsal.Action{a}, nil
}

// needed are the fields without which an action means nothing.
var needed = map[rehearsal.Kind][]string{
	rehearsal.Dial: {"value"}, rehearsal.Read: {"value", "second", "third"}, rehearsal.State: {"value", "second"},
	rehearsal.Ruler: {"value"}, rehearsal.Answer: {"value"}, rehearsal.SetAside: {"value"},
}

// units are the sizes of the units in which people type some fields.
var units = map[string]float64{
	"ruler third": 1e-12, "state value": 1e-15, "state second": 1e-15,
}

// readings hands the readings out as CSV.
func (s *Server) readings(w http.ResponseWriter, r *http.Request, v *visitor) {
	v.mutex.Lock()
	bench := 0
	if r.URL.Query().Get("bench") == "2" {
		bench = 1
	}
	all := v.rehearsal.Run(bench)
	v.mutex.Unlock()
	var b bytes.Buffer
	if len(all.Curves) == 0 {
		if err := run.NewWriter(&b).Begin(); err != nil {
			s.failed(w, err)
			return
		}
	}
	if err := run.Write(&b, all); err != nil && len(all.Curves) > 0 {
		s.failed(w, err)
		return
	}
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="readings.csv"`)
	_, _ = b.WriteTo(w)
}

// A moment is what an event tells.
type moment struct {
	// Clock is the bench's time as a person reads it, and Time in s.
	Clock string  `json:"clock"`
	Time  float64 `json:"time"`
	// Volts and Amps are numbers as shown, with the Unit of the current.
	Volts string `json:"volts"`
	Amps  string `json:"amps"`
	Unit  string `json:"unit"`
	// Deflection is the current over the full scale, from -1 to 1, and Beyond
	// that it is beyond.
	Deflection float64 `json:"deflection"`
	Beyond     bool    `json:"beyond"`
	// Now and Most are the numbers of a meter's role: the current and the full
	// scale in the unit.
	Now  float64 `json:"now"`
	Most float64 `json:"most"`
	// VoltsNow is the voltage as a number.
	VoltsNow float64 `json:"voltsNow"`
	// Spoken is what is said on request.
	Spoken string `json:"spoken"`
	// Revision tells a page that it is old.
	Revision int `json:"revision"`
}

// mostStreams of one visitor.
const mostStreams = 4

// The times of the events.
const (
	eventEvery   = 100 * time.Millisecond
	eventQuiet   = 10 * time.Second
	eventPatient = 2 * time.Second
)

// events streams what the meters show. A browser that is slow misses moments and
// gets the latest one; a write that takes too long ends the stream.
func (s *Server) events(w http.ResponseWriter, r *http.Request, v *visitor) {
	now := time.Now()
	v.mutex.Lock()
	if v.streams >= mostStreams {
		v.mutex.Unlock()
		http.Error(w, "too many pages of one rehearsal are open", http.StatusTooManyRequests)
		return
	}
	// Nobody attended before the first stream.
	if v.streams == 0 {
		v.last = now
	}
	v.streams++
	v.mutex.Unlock()
	defer func() {
		v.mutex.Lock()
		v.streams--
		v.mutex.Unlock()
	}()
	control := http.NewResponseController(w)
	// The time for reading the request has nothing to do with the stream's.
	_ = control.SetReadDeadline(time.Time{})
	w.Header().Set("Content-Type", "text/event-stream")
	tick := time.NewTicker(eventEvery)
	defer tick.Stop()
	var last []byte
	written := now
	for {
		v.mutex.Lock()
		v.attend(time.Now())
		m := v.moment()
		v.mutex.Unlock()
		text, err := json.Marshal(m)
		if err != nil {
			s.complain(err)
			return
		}
		if !bytes.Equal(text, last) || time.Since(written) > eventQuiet {
			_ = control.SetWriteDeadline(time.Now().Add(eventPatient))
			if _, err := fmt.Fprintf(w, "data: %s\n\n", text); err != nil {
				return
			}
			if err := control.Flush(); err != nil {
				return
			}
			last, written = append(last[:0], text...), time.Now()
		}
		select {
		case <-r.Context().Done():
			return
		case <-tick.C:
		}
	}
}

// moment returns what the meters show. The mutex is held.
func (v *visitor) moment() moment {
	r := v.rehearsal
	d := r.Display()
	full := r.FullScales()[d.Range]
	m := moment{
		Clock: clockText(r.Clock()), Time: math.Round(r.Clock()*1e3) / 1e3, Volts: v.voice.Number(d.Retarding, 3), VoltsNow: d.Retarding,
		Beyond: d.Beyond, Revision: v.revision,
	}
	m.Amps, m.Unit = v.voice.Current(d.Current, full, r.Resolution())
	u := unitFor(full)
	m.Now = d.Current / u.Size
	if m.Most = full / u.Size; !finite(m.Most) {
		m.Most = 1e6
	}
	m.Deflection = min(max(m.Now/m.Most, -1), 1)
	if d.Beyond {
		m.Amps = v.voice.T("bench.beyond")
	}
	if r.Controls().Floating {
		m.Amps, m.Unit, m.Now, m.Deflection = "–", "", 0, 0
	}
	m.Spoken = v.voice.F("bench.spoken", "volts", m.Volts, "amps", m.Amps, "unit", m.Unit)
	return m
}

// clockText returns a time in s as hours, minutes and seconds.
func clockText(seconds float64) string {
	t := int(seconds)
	return fmt.Sprintf("%d:%02d:%02d", t/3600, t/60%60, t%60)
}

func finite(x float64) bool { return x-x == 0 }

// render writes a page.
func (s *Server) render(w http.ResponseWriter, name string, status int, view any) {
	var b bytes.Buffer
	if err := pages.ExecuteTemplate(&b, name, view); err != nil {
		s.failed(w, err)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = io.Copy(w, &b)
}
