package rehearse

import (
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"stopvolt/analysis/rehearsal"
)

// classOptions are those of a server for a practice set of three students.
func classOptions(t *testing.T) Options {
	t.Helper()
	o := options(t)
	a := teaching(t)
	o.Folder = t.TempDir()
	o.Draw = nil
	ids := []string{"ada", "ben", "cem"}
	o.Students = &Students{IDs: ids, Secret: []byte("a secret of tests"), Setup: func(id string) (rehearsal.Setup, bool) {
		i := slices.Index(ids, id)
		return rehearsal.Drawn(a, uint64(i+1), true, false, "damp-base"), i >= 0
	}}
	return o
}

// fresh returns a browser that has never been here.
func fresh(t *testing.T, s *served) *student {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	return &student{t: t, Client: &http.Client{Jar: jar, Timeout: 30 * time.Second}, address: s.address}
}

// enters tries to sit down.
func (p *student) enters(id, code string, status int) string {
	p.t.Helper()
	return p.posts("/begin", url.Values{"student": {id}, "code": {code}, "language": {"en"}}, status)
}

// A student_id alone opens nothing, and neither does another student's code. The
// right code opens the same session from any browser, also after a restart.
func TestStudentsEnterWithTheirOwnCode(t *testing.T) {
	o := classOptions(t)
	s := serve(t, o)
	ada := fresh(t, s)
	page := ada.enters("ada", o.Students.Code("ada"), http.StatusOK)
	if !strings.Contains(page, `id="write"`) || !strings.Contains(page, "ada") {
		t.Fatalf("with the right code ada does not sit down: %.200s", page)
	}
	ada.does(rehearsal.Acknowledge)
	ada.does(rehearsal.OpenPage, "value", "0", "second", "1")
	ada.does(rehearsal.Note, "text", "written by ada herself")

	for what, c := range map[string][2]string{
		"no code":                {"ada", ""},
		"another's code":         {"ada", o.Students.Code("ben")},
		"an unknown student":     {"zoe", o.Students.Code("zoe")},
		"an unknown one, empty":  {"", ""},
		"the session's own name": {"ada", o.Students.session("ada")},
	} {
		p := fresh(t, s)
		if page := p.enters(c[0], c[1], http.StatusForbidden); !strings.Contains(page, "do not belong together") || strings.Contains(page, "written by ada") {
			t.Errorf("%s: %.300s", what, page)
		}
		p.gets("/readings.csv", http.StatusUnauthorized)
		if n := len(p.Jar.Cookies(&url.URL{Scheme: "http", Host: strings.TrimPrefix(s.address, "http://"), Path: "/"})); n != 0 {
			t.Errorf("%s: the browser gets %d cookies", what, n)
		}
	}
	if n := len(s.everybody()); n != 1 {
		t.Errorf("%d sessions are open, of one student", n)
	}

	// From another browser, in small letters and with what is taken for a zero.
	typed := strings.ToLower(strings.ReplaceAll(o.Students.Code("ada"), "0", "o"))
	if page := fresh(t, s).enters("ada", " "+strings.ReplaceAll(typed, "-", " "), http.StatusOK); !strings.Contains(page, "written by ada herself") {
		t.Error("from another browser ada does not find her session")
	}
	if n := len(s.everybody()); n != 1 {
		t.Errorf("ada has %d sessions", n)
	}
	if err := s.stop(); err != nil {
		t.Fatal(err)
	}
	again := serve(t, o)
	if page := fresh(t, again).enters("ada", o.Students.Code("ada"), http.StatusOK); !strings.Contains(page, "written by ada herself") {
		t.Error("after a restart ada does not find her session")
	}
}

// Codes of another set, or of another student, are others; and they cannot be tried
// out.
func TestEntryCodesCannotBeGuessed(t *testing.T) {
	o := classOptions(t)
	other := *o.Students
	other.Secret = []byte("another secret")
	seen := map[string]bool{}
	for _, set := range []*Students{o.Students, &other} {
		for _, id := range set.IDs {
			code := set.Code(id)
			if seen[code] || len(code) != 9 || strings.ContainsAny(code, "ILOU") {
				t.Errorf("%s has the code %q", id, code)
			}
			seen[code] = true
		}
	}
	s := serve(t, o)
	p := fresh(t, s)
	for range triesAtOnce {
		p.enters("ben", "0000-0000", http.StatusForbidden)
	}
	p.enters("ben", "0000-0001", http.StatusServiceUnavailable)
	// Unknown names do not give more tries, nor do they take another student's.
	for range triesAtOnce {
		p.enters("nobody", "0000-0000", http.StatusForbidden)
	}
	p.enters("nobody else", "0000-0000", http.StatusServiceUnavailable)
	p.enters("cem", o.Students.Code("cem"), http.StatusOK)
}

// The instructor reads the codes in the view that a student's browser cannot open.
func TestInstructorHasTheCodes(t *testing.T) {
	o := classOptions(t)
	s := serve(t, o)
	p := fresh(t, s)
	p.enters("ben", o.Students.Code("ben"), http.StatusOK)
	for _, path := range []string{"/", "/desk", "/readings.csv", "/answers.csv", "/file/desk.js"} {
		p.gets(path, http.StatusOK)
	}
	told := p.heard.String()
	page := p.gets("/instructor?token="+o.Instructor, http.StatusOK)
	for _, id := range o.Students.IDs {
		if !strings.Contains(page, o.Students.Code(id)) {
			t.Errorf("the instructor's view lacks the code of %s", id)
		}
		if strings.Contains(told, o.Students.Code(id)) {
			t.Errorf("a student's browser was sent the code of %s", id)
		}
	}
}
