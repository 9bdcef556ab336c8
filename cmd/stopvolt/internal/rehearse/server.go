package rehearse

import (
	"context"
	"crypto/rand"
	"embed"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"maps"
	"net"
	"net/http"
	"slices"
	"sync"
	"time"

	"golang.org/x/net/netutil"

	"stopvolt/analysis/rehearsal"
	"stopvolt/instrument"
)

// Options say what is served, and to whom.
type Options struct {
	// Title is that of the scenario, and Identity tells one scenario from
	// another where sessions are kept.
	Title, Identity string
	// Draw returns the setup of a seed.
	Draw func(seed uint64) (rehearsal.Setup, error)
	// Students are those of a practice set, by whose student_id the setup is
	// found; nil where every visitor has a bench by lot.
	Students *Students
	// Demonstration is the apparatus of the instructor's view, and Setting the
	// index of its light.
	Demonstration instrument.Apparatus
	// Language is the tag of the first language, and Comma asks for a decimal
	// comma.
	Language string
	Comma    bool
	// Local says that the server runs for this machine alone.
	Local bool
	// Token admits students, and Instructor the instructor; empty for everybody.
	Token, Instructor string
	// Hosts are the names in lower case under which requests are served.
	Hosts []string
	// Folder is where sessions are kept; empty for nowhere. Write writes a file
	// that appears whole or not at all.
	Folder string
	Write  func(name string, write func(io.Writer) error) error
	// Most is the number of sessions that are open at a time.
	Most int
	// Seed gives seeds by lot where it is nil.
	Seed func() uint64
	// HandIn is given what the students of a set have handed in, when it has
	// changed; nil for nobody.
	HandIn func([]Handed) error
	// Complain is told what goes wrong; nil for nobody.
	Complain func(error)
}

// A Server serves rehearsals. Make one by New.
type Server struct {
	options  Options
	store    store
	voices   map[string]*Language
	handler  http.Handler
	mutex    sync.Mutex
	visitors map[string]*visitor
	// opening counts the rehearsals that are being prepared.
	opening chan struct{}
	begins  bucket
	// tries counts the codes that were tried, by student.
	tries map[string]*bucket
	// buffer is the sendBuffer, which tests make smaller.
	buffer int
	// came counts the visitors, which gives each a place.
	came int
	demo *demonstration
	// saving guards what is handed in by student.
	saving sync.Mutex
	handed map[string]Handed
}

//go:embed page.html style.css desk.js
var pageFiles embed.FS

// New returns a server. The error says which option cannot be.
func New(o Options) (*Server, error) {
	s := &Server{
		options: o, voices: make(map[string]*Language), visitors: make(map[string]*visitor), handed: make(map[string]Handed), tries: make(map[string]*bucket), buffer: sendBuffer,
		store: store{folder: o.Folder, write: o.Write},
		// Preparing a bench takes a core for a while.
		opening: make(chan struct{}, 2),
	}
	for _, tag := range Languages() {
		l, err := LoadLanguage(tag)
		if err != nil {
			return nil, err
		}
		s.voices[tag] = l
	}
	if _, ok := s.voices[o.Language]; !ok {
		_, err := LoadLanguage(o.Language)
		return nil, err
	}
	if o.Most < 1 {
		return nil, fmt.Errorf("%d sessions; at least one is needed", o.Most)
	}
	s.demo = newDemonstration(o.Demonstration)
	s.handler = s.guarded(s.routes())
	return s, nil
}

// routes returns what is served.
func (s *Server) routes() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", s.welcome)
	// Browsers ask for an icon; there is none.
	mux.HandleFunc("GET /favicon.ico", func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusNoContent) })
	mux.HandleFunc("POST /begin", s.begin)
	mux.HandleFunc("GET /desk", s.known(s.desk))
	mux.HandleFunc("POST /act", s.known(s.act))
	mux.HandleFunc("POST /speech", s.known(s.speech))
	mux.HandleFunc("GET /events", s.known(s.events))
	mux.HandleFunc("GET /figure/{name}", s.known(s.figure))
	mux.HandleFunc("GET /readings.csv", s.known(s.readings))
	mux.HandleFunc("GET /answers.csv", s.known(s.answers))
	mux.HandleFunc("GET /debrief", s.known(s.debrief))
	mux.HandleFunc("GET /instructor", s.instructing(s.instructor))
	mux.HandleFunc("POST /instructor", s.instructing(s.demonstrate))
	mux.HandleFunc("GET /instructor/figure/{name}", s.instructing(s.demonstrationFigure))
	for _, f := range []struct{ name, kind string }{{"style.css", "text/css; charset=utf-8"}, {"desk.js", "text/javascript; charset=utf-8"}} {
		mux.HandleFunc("GET /file/"+f.name, func(w http.ResponseWriter, r *http.Request) {
			w.Header().Set("Content-Type", f.kind)
			w.Header().Set("Cache-Control", "no-cache")
			b, err := pageFiles.ReadFile(f.name)
			if err != nil {
				s.failed(w, err)
				return
			}
			_, _ = w.Write(b)
		})
	}
	return mux
}

// ServeHTTP serves a request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.handler.ServeHTTP(w, r) }

// Limits of the server.
const (
	mostConnections = 512
	headerTime      = 5 * time.Second
	readTime        = 15 * time.Second
	idleTime        = time.Minute
	// sendBuffer in bytes is how much of what was sent the system keeps for a
	// browser that does not read; beyond it a write waits, and its deadline ends
	// the stream.
	sendBuffer    = 64 << 10
	largestHeader = 16 << 10
	// saveEvery is how often sessions are kept that have changed.
	saveEvery = 2 * time.Second
)

// Serve serves a listener until the context ends, and keeps all sessions then.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	server := &http.Server{
		Handler: s, ReadHeaderTimeout: headerTime, ReadTimeout: readTime, IdleTimeout: idleTime, MaxHeaderBytes: largestHeader,
		BaseContext: func(net.Listener) context.Context { return ctx },
		ErrorLog:    nil,
	}
	s.store.sweep(time.Now())
	saved := make(chan struct{})
	go func() {
		defer close(saved)
		s.keepSaving(ctx)
	}()
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(netutil.LimitListener(shortListener{l, s.buffer}, mostConnections)) }()
	var err error
	select {
	case err = <-ended:
	case <-ctx.Done():
		// Streams end with the context; the rest gets a moment.
		last, cancel := context.WithTimeout(context.WithoutCancel(ctx), 3*time.Second)
		defer cancel()
		if err = server.Shutdown(last); errors.Is(err, context.DeadlineExceeded) {
			err = server.Close()
		}
		<-saved
	}
	if errors.Is(err, http.ErrServerClosed) {
		err = nil
	}
	return errors.Join(err, s.Save())
}

// A shortListener gives connections that keep little of what is not read.
type shortListener struct {
	net.Listener
	buffer int
}

// Accept waits for a connection.
func (l shortListener) Accept() (net.Conn, error) {
	c, err := l.Listener.Accept()
	if tcp, ok := c.(*net.TCPConn); ok && err == nil {
		// Where the system does not do it, its own bound holds.
		_ = tcp.SetWriteBuffer(l.buffer)
	}
	return c, err
}

// keepSaving keeps what has changed, every now and then.
func (s *Server) keepSaving(ctx context.Context) {
	tick := time.NewTicker(saveEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			if err := s.Save(); err != nil {
				s.complain(err)
			}
		}
	}
}

// Save keeps all sessions that have changed.
func (s *Server) Save() error {
	s.saving.Lock()
	defer s.saving.Unlock()
	var all error
	changed := false
	for _, v := range s.everybody() {
		v.mutex.Lock()
		dirty := v.dirty && v.rehearsal != nil
		var k kept
		var h Handed
		if dirty {
			k, v.dirty = v.kept(s.options.Identity), false
			h = v.handed()
		}
		v.mutex.Unlock()
		if !dirty {
			continue
		}
		if s.options.HandIn != nil && h.Student != "" && len(h.run.Curves) > 0 {
			s.handed[h.Student] = h
			changed = true
		}
		if err := s.store.save(v.id, k); err != nil {
			v.mutex.Lock()
			v.dirty = true
			v.mutex.Unlock()
			all = errors.Join(all, err)
		}
	}
	if changed {
		all = errors.Join(all, s.options.HandIn(inOrder(s.handed)))
	}
	return all
}

// everybody returns the visitors in the order in which they came.
func (s *Server) everybody() []*visitor {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return slices.SortedFunc(maps.Values(s.visitors), func(a, b *visitor) int { return a.place - b.place })
}

func (s *Server) complain(err error) {
	if s.options.Complain != nil {
		s.options.Complain(err)
	}
}

// failed answers that something went wrong here, and tells nobody outside what.
func (s *Server) failed(w http.ResponseWriter, err error) {
	s.complain(err)
	http.Error(w, "something went wrong at the server; reload the page", http.StatusInternalServerError)
}

// drawSeed returns a seed by lot.
func (s *Server) drawSeed() uint64 {
	if s.options.Seed != nil {
		return s.options.Seed()
	}
	var b [8]byte
	_, _ = rand.Read(b[:])
	return binary.BigEndian.Uint64(b[:])
}

var (
	errFull    = errors.New("all places are taken")
	errTooFast = errors.New("too many at once")
	errStudent = errors.New("no such student")
)

// The rate at which sessions begin.
const beginsAtOnce, beginsEach = 60, 5

// admit lets a visitor in who has a bench by lot, or a student of a practice set
// with their code.
func (s *Server) admit(student, code string, voice Voice) (*visitor, error) {
	now := time.Now()
	s.mutex.Lock()
	fast := !s.begins.take(now, beginsAtOnce, beginsEach)
	s.mutex.Unlock()
	if fast {
		return nil, errTooFast
	}
	if s.options.Students != nil {
		return s.enter(student, code, voice)
	}
	v := &visitor{id: newID(), seed: s.drawSeed(), voice: voice, last: now, seen: now, dirty: true}
	return v, s.open(v, nil, 0)
}

// open prepares the rehearsal of a visitor, replays a log up to a time in s of its
// clock, and takes the visitor in.
func (s *Server) open(v *visitor, log []rehearsal.Action, clock float64) error {
	if !s.hasRoom() {
		return errFull
	}
	s.opening <- struct{}{}
	defer func() { <-s.opening }()
	setup, err := s.setup(v)
	if err != nil {
		return err
	}
	v.setup = setup
	if v.rehearsal, err = rehearsal.Replay(setup, log); err != nil {
		return err
	}
	v.rehearsal.PassTo(clock)
	v.drawn = make(map[string]drawing)
	s.mutex.Lock()
	defer s.mutex.Unlock()
	// Two requests may have come at once; the first one's is what all go on with.
	if _, there := s.visitors[v.id]; there {
		return nil
	}
	if len(s.visitors) >= s.options.Most {
		return errFull
	}
	s.came++
	v.place = s.came
	s.visitors[v.id] = v
	return nil
}

// setup returns that of a visitor.
func (s *Server) setup(v *visitor) (rehearsal.Setup, error) {
	if s.options.Students == nil {
		return s.options.Draw(v.seed)
	}
	setup, ok := s.options.Students.Setup(v.student)
	if !ok {
		return rehearsal.Setup{}, errStudent
	}
	return setup, nil
}

// idle is after how long without a visit a session makes room for another; its
// file stays.
const idle = 2 * time.Hour

// hasRoom reports whether one more session can be open, and lets go of one that
// nobody attends where not.
func (s *Server) hasRoom() bool {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	if len(s.visitors) < s.options.Most {
		return true
	}
	now := time.Now()
	for id, v := range s.visitors {
		if !v.mutex.TryLock() {
			continue
		}
		gone := v.streams == 0 && now.Sub(v.seen) > idle && !v.dirty
		v.mutex.Unlock()
		if gone {
			delete(s.visitors, id)
			return true
		}
	}
	return false
}

// find returns the visitor of a request, taking up a kept session.
func (s *Server) find(r *http.Request) (*visitor, error) {
	c, err := r.Cookie(visitorCookie)
	if err != nil || !plausible(c.Value) {
		return nil, nil
	}
	return s.takeUp(c.Value)
}

// takeUp returns the visitor of an id, from its file where it is not open; nil for
// none.
func (s *Server) takeUp(id string) (*visitor, error) {
	s.mutex.Lock()
	v := s.visitors[id]
	s.mutex.Unlock()
	if v != nil {
		return v, nil
	}
	k, ok, err := s.store.load(id, s.options.Identity)
	if err != nil {
		// A damaged file is no session.
		s.complain(err)
	}
	if err != nil || !ok {
		return nil, nil
	}
	language, ok := s.voices[k.Language]
	if !ok {
		language = s.voices[s.options.Language]
	}
	now := time.Now()
	v = &visitor{id: id, seed: k.Seed, student: k.Student, voice: Voice{language, k.Comma}, last: now, seen: now}
	switch err := s.open(v, k.Log, k.Clock); {
	case errors.Is(err, errFull):
		return nil, err
	case err != nil:
		s.complain(err)
		return nil, nil
	}
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return s.visitors[id], nil
}
