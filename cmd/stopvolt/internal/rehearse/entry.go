package rehearse

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base32"
	"encoding/base64"
	"errors"
	"strings"
	"time"

	"stopvolt/analysis/rehearsal"
)

// Students are those of a practice set. Each enters with a code of their own, which
// the instructor hands out, and comes to the same session from wherever they enter:
// a student_id, which a class list shows to everybody, opens nothing.
type Students struct {
	// Setup returns that of a student; ok is false for an unknown one.
	Setup func(id string) (s rehearsal.Setup, ok bool)
	// IDs are the students in the order of the set.
	IDs []string
	// Secret is the set's own, from which codes and sessions follow, so that a
	// restart knows them again and no file needs to hold them.
	Secret []byte
}

// codeBytes makes a code of eight signs. At the rate at which they may be tried,
// 2^40 codes take thirty thousand years.
const codeBytes = 5

// codeSigns are digits and capital letters without those that are taken for others.
var codeSigns = base32.NewEncoding("0123456789ABCDEFGHJKMNPQRSTVWXYZ").WithPadding(base32.NoPadding)

// derived returns what follows from the secret for a purpose and a student.
func (s *Students) derived(purpose, id string) []byte {
	mac := hmac.New(sha256.New, s.Secret)
	mac.Write([]byte("rehearsal " + purpose + "\x00" + id))
	return mac.Sum(nil)
}

// Code returns the code with which a student enters.
func (s *Students) Code(id string) string {
	code := codeSigns.EncodeToString(s.derived("entry", id)[:codeBytes])
	return code[:4] + "-" + code[4:]
}

// session returns the id of a student's session.
func (s *Students) session(id string) string {
	return base64.RawURLEncoding.EncodeToString(s.derived("session", id)[:24])
}

// admits reports whether a code that somebody typed is a student's.
func (s *Students) admits(id, typed string) bool {
	_, known := s.Setup(id)
	plain := strings.NewReplacer("-", "", " ", "", "O", "0", "I", "1", "L", "1")
	right := same(plain.Replace(strings.ToUpper(typed)), plain.Replace(s.Code(id)))
	return known && right
}

// The rate at which codes of one student may be tried.
const triesAtOnce, triesEach = 10, 1

// mayTry reports whether one more code of a student may be tried. All unknown
// students are one.
func (s *Server) mayTry(id string, now time.Time) bool {
	if _, known := s.options.Students.Setup(id); !known {
		id = ""
	}
	s.mutex.Lock()
	defer s.mutex.Unlock()
	b := s.tries[id]
	if b == nil {
		b = new(bucket)
		s.tries[id] = b
	}
	return b.take(now, triesAtOnce, triesEach)
}

// enter lets a student of a set in: into their session where there is one, and
// into a new one otherwise.
func (s *Server) enter(id, code string, voice Voice) (*visitor, error) {
	now := time.Now()
	if !s.mayTry(id, now) {
		return nil, errTooFast
	}
	students := s.options.Students
	if !students.admits(id, code) {
		return nil, errStudent
	}
	session := students.session(id)
	v, err := s.takeUp(session)
	if v != nil || err != nil {
		return v, err
	}
	v = &visitor{id: session, seed: s.drawSeed(), student: id, voice: voice, last: now, seen: now, dirty: true}
	if err := s.open(v, nil, 0); err != nil {
		return nil, err
	}
	// Where the same student came twice at once, both go on with the first.
	s.mutex.Lock()
	defer s.mutex.Unlock()
	if v = s.visitors[session]; v == nil {
		return nil, errors.New("the session is gone")
	}
	return v, nil
}
