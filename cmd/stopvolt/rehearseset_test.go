package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"stopvolt/analysis/practice"
	"stopvolt/cmd/stopvolt/internal/console"
	"stopvolt/cmd/stopvolt/internal/files"
	"stopvolt/cmd/stopvolt/internal/rehearse"
	"stopvolt/sim"
)

// A practice set is made, a student rehearses at the hidden bench of their own, and
// practice mark takes the logbook as the run.
func TestPracticeSetIsRehearsedAndMarked(t *testing.T) {
	t.Setenv(passphraseVariable, "four words will do")
	dir := t.TempDir()
	set, handed := filepath.Join(dir, "set"), filepath.Join(dir, "handed")
	typed(t, "practice", "make", "--count", "3", "--blind", "--level", "clean", "--out", set)
	open := func() *practice.KeyReader {
		key, file, err := openKey(filepath.Join(set, keyFile), []byte("four words will do"))
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { file.Close() })
		return key
	}
	benches, err := newRehearsalSet(open())
	if err != nil {
		t.Fatal(err)
	}
	// Each student's bench is the one whose readings the sheet has.
	key := open()
	truths := make(map[string]practice.Truth)
	for {
		r, err := key.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		truths[r.Student.ID] = r.Truth
		truth := sim.TruthOf(benches.setups[r.Student.ID].Apparatus)
		if math.Abs(truth.HOverE/r.Truth.HOverE-1) > 1e-9 || math.Abs(truth.Stopping[0]-r.Truth.Settings[0].Stopping) > 1e-9 {
			t.Errorf("student %s rehearses at h/e = %g V s and %g V, and the key has %g V s and %g V", r.Student.ID,
				truth.HOverE, truth.Stopping[0], r.Truth.HOverE, r.Truth.Settings[0].Stopping)
		}
	}
	o := rehearse.Options{Language: "en", Hosts: []string{"127.0.0.1"}, Most: 5, Write: files.Write}
	benches.into(&o, handed)
	server, err := rehearse.New(o)
	if err != nil {
		t.Fatal(err)
	}
	h := httptest.NewServer(server)
	defer h.Close()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	browser := &http.Client{Jar: jar}
	post := func(path string, fields ...string) string {
		form := url.Values{}
		for i := 0; i+1 < len(fields); i += 2 {
			form.Set(fields[i], fields[i+1])
		}
		r, err := browser.PostForm(h.URL+path, form)
		if err != nil {
			t.Fatal(err)
		}
		defer r.Body.Close()
		body, err := io.ReadAll(r.Body)
		if err != nil {
			t.Fatal(err)
		}
		return string(body)
	}
	if page := post("/begin", "student", "9", "code", o.Students.Code("9")); !strings.Contains(page, "do not belong together") {
		t.Error("a student who is not in the set can sit down")
	}
	page := post("/begin", "student", "2", "code", o.Students.Code("2"))
	if !strings.Contains(page, "never on yours") {
		t.Error("the page does not say that the answer is on the instructor's machine")
	}
	act := func(do string, fields ...string) {
		t.Helper()
		// No person is quicker than the server's rate.
		time.Sleep(35 * time.Millisecond)
		if page := post("/act", append([]string{"do", do}, fields...)...); !strings.Contains(page, `id="write"`) {
			t.Fatalf("%s %v: %.200s", do, fields, page)
		}
	}
	act("acknowledge")
	act("lamp", "value", "1")
	act("pass", "value", "900")
	act("range", "value", "-1")
	act("page", "value", "0", "second", "1")
	for _, v := range []string{"0", "1"} {
		act("dial", "value", v)
		act("pass", "value", "10")
		act("write")
	}
	// The student reads as the true cutoffs say.
	for i, s := range truths["2"].Settings {
		act("shutter", "value", "0")
		act("filter", "value", fmt.Sprint(i))
		act("page", "value", fmt.Sprint(s.Wavelength), "second", "1")
		act("shutter", "value", "1")
		for v := s.Stopping - 0.6; v < s.Stopping+0.4; v += 0.1 {
			act("dial", "value", fmt.Sprintf("%.3f", v))
			act("pass", "value", "5")
			act("write")
		}
		act("cutoff", "value", fmt.Sprint(i+1), "second", fmt.Sprintf("%.4f", s.Stopping), "third", "0.02", "text", "tangent")
	}
	act("commit")
	act("answer", "text", "intercept", "value", "0")
	act("state", "value", fmt.Sprintf("%.4f", truths["2"].HOverE*1e15), "second", "0.05")
	if err := server.Save(); err != nil {
		t.Fatal(err)
	}
	logbook, err := os.ReadFile(filepath.Join(handed, "logbooks", "2.csv"))
	if err != nil || bytes.Count(logbook, []byte("\n")) < 40 {
		t.Fatalf("the logbook has %d lines (%v)", bytes.Count(logbook, []byte("\n")), err)
	}
	var out, complaints bytes.Buffer
	code := execute(context.Background(), console.New(strings.NewReader(""), &out, &complaints),
		[]string{"practice", "mark", "--key", filepath.Join(set, keyFile), "--logbooks", filepath.Join(handed, "logbooks"), "--out", filepath.Join(dir, "marked"), filepath.Join(handed, answersFile)})
	if code != console.Done {
		t.Fatalf("marking ends with %d: %s", code, complaints.String())
	}
	// Who reads the true cutoffs is marked down only for the named method, which
	// reads others from the same logbook.
	grades, err := os.ReadFile(filepath.Join(dir, "marked", gradesFile))
	if err != nil || !regexp.MustCompile(`(?m)^2,,[89]`).Match(grades) {
		t.Fatalf("the grades are\n%s(%v)", grades, err)
	}
}

// A key of an older version can be marked and not rehearsed at, and says so.
func TestOldKeyCannotBeRehearsedAt(t *testing.T) {
	if _, err := newRehearsalSet(&practice.KeyReader{}); err == nil || !strings.Contains(err.Error(), "make the set anew") {
		t.Errorf("a key without an origin says %v", err)
	}
}

// The codes with which students enter are printed when the server starts, not when
// it ends, one a student, and they let them in.
func TestEntryCodesArePrintedAtOnce(t *testing.T) {
	t.Setenv(passphraseVariable, "four words will do")
	set := filepath.Join(t.TempDir(), "set")
	typed(t, "practice", "make", "--count", "2", "--level", "clean", "--out", set)
	ctx, cancel := context.WithCancel(context.Background())
	out, in := io.Pipe()
	ended := make(chan int, 1)
	go func() {
		ended <- execute(ctx, console.New(strings.NewReader(""), in, io.Discard), []string{"rehearse", "--forget", "--key", filepath.Join(set, keyFile)})
	}()
	rows := csv.NewReader(out)
	for i := range 3 {
		row, err := rows.Read()
		if err != nil {
			t.Fatal(err)
		}
		if i == 0 {
			if row[0] != "student_id" || row[1] != "entry_code" {
				t.Errorf("the codes have the head %q", row)
			}
		} else if row[0] != fmt.Sprint(i) || !regexp.MustCompile(`^[0-9A-Z]{4}-[0-9A-Z]{4}$`).MatchString(row[1]) {
			t.Errorf("row %d is %q", i, row)
		}
	}
	cancel()
	if code := <-ended; code != console.Interrupted {
		t.Errorf("the server ends with %d", code)
	}
}
