package rehearse

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"strconv"
	"strings"
	"testing"
	"time"

	"stopvolt/analysis/rehearsal"
	"stopvolt/sim"
)

// A student is a browser without a screen.
type student struct {
	t testing.TB
	*http.Client
	address string
	// heard is every byte that came.
	heard bytes.Buffer
}

// sits returns a student who has begun.
func sits(t testing.TB, s *served) *student {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	p := &student{t: t, Client: &http.Client{Jar: jar, Timeout: 30 * time.Second}, address: s.address}
	p.posts("/begin", url.Values{"language": {"en"}, "decimal": {"point"}}, http.StatusOK)
	return p
}

// hears reads a response and keeps its bytes.
func (p *student) hears(r *http.Response, status int) string {
	p.t.Helper()
	defer r.Body.Close()
	body, err := io.ReadAll(r.Body)
	if err != nil {
		p.t.Fatal(err)
	}
	for name, values := range r.Header {
		fmt.Fprintln(&p.heard, name, values)
	}
	p.heard.Write(body)
	if r.StatusCode != status {
		p.t.Fatalf("%s answers %d, not %d: %.200s", r.Request.URL.Path, r.StatusCode, status, body)
	}
	return string(body)
}

func (p *student) gets(path string, status int) string {
	p.t.Helper()
	r, err := p.Get(p.address + path)
	if err != nil {
		p.t.Fatal(err)
	}
	return p.hears(r, status)
}

func (p *student) posts(path string, form url.Values, status int) string {
	p.t.Helper()
	request, err := http.NewRequest(http.MethodPost, p.address+path, strings.NewReader(form.Encode()))
	if err != nil {
		p.t.Fatal(err)
	}
	request.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	request.Header.Set("X-Parts", "1")
	r, err := p.Do(request)
	if err != nil {
		p.t.Fatal(err)
	}
	if r.StatusCode == http.StatusTooManyRequests && status != r.StatusCode {
		// Who is quicker than a person, is made to wait.
		r.Body.Close()
		time.Sleep(100 * time.Millisecond)
		return p.posts(path, form, status)
	}
	return p.hears(r, status)
}

// does does an action; names and values alternate.
func (p *student) does(kind rehearsal.Kind, fields ...string) string {
	p.t.Helper()
	form := url.Values{"do": {string(kind)}}
	for i := 0; i+1 < len(fields); i += 2 {
		form.Set(fields[i], fields[i+1])
	}
	return p.posts("/act", form, http.StatusOK)
}

// listens reads the meters' events for a while.
func (p *student) listens(while time.Duration) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), while)
	defer cancel()
	request, err := http.NewRequestWithContext(ctx, http.MethodGet, p.address+"/events", nil)
	if err != nil {
		p.t.Fatal(err)
	}
	r, err := p.Do(request)
	if err != nil {
		p.t.Fatal(err)
	}
	defer r.Body.Close()
	// The stream ends with the context.
	_, _ = io.Copy(&p.heard, r.Body)
}

// measures goes through the session up to the debrief.
func (p *student) measures() {
	p.does(rehearsal.Acknowledge)
	p.does(rehearsal.Lamp, "value", "1")
	p.does(rehearsal.Pass, "value", "900")
	p.does(rehearsal.Range, "value", "3")
	p.does(rehearsal.Null)
	for i, f := range []string{"365", "404.7", "435.8", "546.1"} {
		p.does(rehearsal.Shutter, "value", "0")
		p.does(rehearsal.Filter, "value", strconv.Itoa(i))
		p.does(rehearsal.OpenPage, "value", f, "second", "1")
		p.does(rehearsal.Shutter, "value", "1")
		for _, v := range []string{"-0.5", "0", "0.5", "1", "1.5"} {
			p.does(rehearsal.Dial, "value", v)
			p.does(rehearsal.Write)
		}
		p.does(rehearsal.Read, "value", strconv.Itoa(i), "second", fmt.Sprint(1.3-0.3*float64(i)), "third", "0.05", "text", "ruler")
	}
	p.does(rehearsal.Commit)
	p.does(rehearsal.State, "value", "4.1", "second", "0.1")
}

// secrets returns what nobody outside may read: numbers of the truth with the
// digits by which they would be told.
func secrets(v *visitor) map[string]string {
	truth := sim.TruthOf(v.setup.Apparatus)
	out := map[string]string{
		"the seed":                      strconv.FormatUint(v.seed, 10),
		"h/e":                           strconv.FormatFloat(truth.HOverE*1e15, 'f', 4, 64),
		"h/e in V s":                    strconv.FormatFloat(truth.HOverE, 'g', 6, 64),
		"the collector's work function": strconv.FormatFloat(truth.CollectorWorkFunction, 'f', 5, 64),
		"the emitter's work function":   strconv.FormatFloat(v.setup.Apparatus.Emitter.WorkFunction, 'f', 5, 64),
	}
	for i, s := range truth.Stopping {
		out[fmt.Sprintf("the cutoff of line %d", i)] = strconv.FormatFloat(s, 'f', 5, 64)
	}
	return out
}

// Every byte that a student's browser gets before the debrief is read: none tells
// the truth. The debrief then does, so that the test would have seen it.
func TestHiddenAnswerStaysUntilTheDebrief(t *testing.T) {
	s := serve(t, options(t))
	p := sits(t, s)
	p.measures()
	for _, path := range []string{"/", "/desk", "/figure/page.svg", "/figure/page-narrow.svg", "/figure/line.svg", "/readings.csv",
		"/readings.csv?bench=2", "/answers.csv", "/file/style.css", "/file/desk.js", "/favicon.ico"} {
		status := http.StatusOK
		if path == "/favicon.ico" {
			status = http.StatusNoContent
		}
		p.gets(path, status)
	}
	// Asked for the debrief, the server shows the bench.
	if page := p.gets("/debrief", http.StatusOK); !strings.Contains(page, `id="bench"`) {
		t.Error("the debrief is shown before it is asked for")
	}
	p.gets("/instructor", http.StatusForbidden)
	p.gets("/instructor/figure/curve.svg", http.StatusForbidden)
	p.gets("/figure/truth.svg", http.StatusNotFound)
	p.listens(time.Second)
	told := p.heard.String()
	for what, digits := range secrets(s.only(t)) {
		if strings.Contains(told, digits) || strings.Contains(told, strings.ReplaceAll(digits, ".", ",")) {
			t.Errorf("%s, %s, was sent before the debrief", what, digits)
		}
	}
	for _, word := range []string{"damp-base&#34; selected", "fault_right"} {
		if strings.Contains(told, word) {
			t.Errorf("%q was sent before the debrief", word)
		}
	}
	if p.heard.Len() < 100_000 {
		t.Errorf("only %d bytes were read", p.heard.Len())
	}
	p.does(rehearsal.Reveal)
	debrief := p.gets("/debrief", http.StatusOK)
	if want := strconv.FormatFloat(sim.TruthOf(s.only(t).setup.Apparatus).HOverE*1e15, 'f', 3, 64); !strings.Contains(debrief, want) {
		t.Errorf("the debrief does not tell h/e, %s", want)
	}
}

// Pages may run no script and use no style of their own, and nothing from
// elsewhere.
func TestPagesHaveNoScriptOrStyleInside(t *testing.T) {
	s := serve(t, options(t))
	p := sits(t, s)
	p.measures()
	p.does(rehearsal.Reveal)
	for _, path := range []string{"/", "/desk", "/debrief", "/instructor?token=instructor-of-tests", "/instructor?token=instructor-of-tests&steps=1"} {
		r, err := p.Get(p.address + path)
		if err != nil {
			t.Fatal(err)
		}
		policy := r.Header.Get("Content-Security-Policy")
		page := p.hears(r, http.StatusOK)
		for _, part := range []string{"default-src 'none'", "script-src 'self'", "style-src 'self'", "frame-ancestors 'none'", "base-uri 'none'"} {
			if !strings.Contains(policy, part) {
				t.Errorf("%s: the policy lacks %s", path, part)
			}
		}
		if strings.Contains(policy, "unsafe") {
			t.Errorf("%s: the policy allows what is unsafe: %s", path, policy)
		}
		for _, bad := range []string{" style=", "<style", "<script>", " onclick=", " onload=", "javascript:", "http://", "https://"} {
			if strings.Contains(page, bad) {
				t.Errorf("%s holds %q", path, bad)
			}
		}
	}
}

// request sends a request as given and returns the status.
func request(t *testing.T, method, address string, change func(*http.Request)) int {
	t.Helper()
	r, err := http.NewRequest(method, address, nil)
	if err != nil {
		t.Fatal(err)
	}
	if change != nil {
		change(r)
	}
	response, err := http.DefaultTransport.RoundTrip(r)
	if err != nil {
		t.Fatal(err)
	}
	defer response.Body.Close()
	_, _ = io.Copy(io.Discard, response.Body)
	return response.StatusCode
}

func TestGuards(t *testing.T) {
	s := serve(t, options(t))
	p := sits(t, s)
	base, err := url.Parse(s.address)
	if err != nil {
		t.Fatal(err)
	}
	cookies := p.Jar.Cookies(base)
	as := func(change func(*http.Request)) func(*http.Request) {
		return func(r *http.Request) {
			for _, c := range cookies {
				r.AddCookie(c)
			}
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			if change != nil {
				change(r)
			}
		}
	}
	for _, c := range []struct {
		name, method, path string
		change             func(*http.Request)
		want               int
	}{
		{"another host", "GET", "/", func(r *http.Request) { r.Host = "evil.test" }, http.StatusMisdirectedRequest},
		{"another host with our port", "GET", "/desk", as(func(r *http.Request) { r.Host = "evil.test:" + base.Port() }), http.StatusMisdirectedRequest},
		{"no host", "GET", "/", func(r *http.Request) { r.Host = " " }, http.StatusMisdirectedRequest},
		{"a known name", "GET", "/", func(r *http.Request) { r.Host = "example.test" }, http.StatusOK},
		{"another site", "POST", "/act", as(func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") }), http.StatusForbidden},
		{"another origin", "POST", "/act", as(func(r *http.Request) { r.Header.Set("Origin", "http://evil.test") }), http.StatusForbidden},
		{"no session", "POST", "/act", nil, http.StatusUnauthorized},
		{"a made-up session", "POST", "/act", func(r *http.Request) { r.AddCookie(&http.Cookie{Name: visitorCookie, Value: newID()}) }, http.StatusUnauthorized},
		{"a session that leaves the folder", "GET", "/readings.csv", func(r *http.Request) {
			r.AddCookie(&http.Cookie{Name: visitorCookie, Value: "../../../../etc/passwd"})
		}, http.StatusUnauthorized},
		{"no action", "POST", "/act", as(nil), http.StatusBadRequest},
		{"the instructor's view", "GET", "/instructor", as(nil), http.StatusForbidden},
		{"the instructor's view by a guess", "GET", "/instructor?token=guess", as(nil), http.StatusForbidden},
		{"another method", "DELETE", "/act", as(nil), http.StatusMethodNotAllowed},
		{"a path that leaves", "GET", "/file/../page.html", nil, http.StatusTemporaryRedirect},
		{"no such page", "GET", "/file/page.html", nil, http.StatusNotFound},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := request(t, c.method, s.address+c.path, c.change); got != c.want {
				t.Errorf("it answers %d, not %d", got, c.want)
			}
		})
	}
	t.Run("a large body", func(t *testing.T) {
		p.posts("/act", url.Values{"do": {"note"}, "text": {strings.Repeat("a", largestBody)}}, http.StatusBadRequest)
	})
	t.Run("a slow reader", func(t *testing.T) {
		c, err := net.Dial("tcp", base.Host)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		// A head that never ends is cut off.
		fmt.Fprint(c, "GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n")
		_ = c.SetReadDeadline(time.Now().Add(headerTime + 3*time.Second))
		if _, err := io.ReadAll(c); err != nil {
			t.Errorf("the server waits for a head that does not end: %v", err)
		}
	})
}

// A server that others can reach admits those who know the token.
func TestTokenAdmits(t *testing.T) {
	o := options(t)
	o.Local, o.Token = false, "token-of-tests"
	s := serve(t, o)
	for path, want := range map[string]int{"/": http.StatusForbidden, "/?token=wrong": http.StatusForbidden, "/?token=token-of-tests": http.StatusOK, "/desk": http.StatusForbidden} {
		if got := request(t, "GET", s.address+path, nil); got != want {
			t.Errorf("%s answers %d, not %d", path, got, want)
		}
	}
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	p := &student{t: t, Client: &http.Client{Jar: jar}, address: s.address}
	p.gets("/?token=token-of-tests", http.StatusOK)
	p.posts("/begin", nil, http.StatusOK)
	p.gets("/desk", http.StatusOK)
}

// Sessions, their rate, and their number are bounded.
func TestSessionsAndRatesAreBounded(t *testing.T) {
	o := options(t)
	o.Most = 3
	s := serve(t, o)
	for range 3 {
		sits(t, s)
	}
	if got := request(t, "POST", s.address+"/begin", nil); got != http.StatusServiceUnavailable {
		t.Errorf("the fourth of three sessions answers %d", got)
	}
	v := s.everybody()[0]
	refused := 0
	now := time.Now()
	for range 1000 {
		if !v.rate.take(now, actsAtOnce, actsEach) {
			refused++
		}
	}
	if refused != 1000-actsAtOnce {
		t.Errorf("of 1000 actions at once %d are refused", refused)
	}
}

// Ten thousand requests of no sense leave the server serving.
func TestMalformedRequestsLeaveItServing(t *testing.T) {
	s := serve(t, options(t))
	p := sits(t, s)
	base, _ := url.Parse(s.address)
	cookie := p.Jar.Cookies(base)[0].String()
	r := rand.New(rand.NewPCG(1, 2))
	kinds := []string{"dial", "range", "filter", "page", "turn", "strike", "note", "sketch", "answer", "ruler", "cutoff", "commit", "state", "move", "bench", "fault", "float", "pass", "attenuator", "climb", ""}
	junk := func(n int) string {
		b := make([]byte, r.IntN(n))
		for i := range b {
			b[i] = byte(r.Uint32())
		}
		return string(b)
	}
	values := []string{"", "-1", "1e308", "nan", "99999999999", "0", "0x10", "1,5", "\x00", "٣", strings.Repeat("9", 400)}
	const requests = 10_000
	var c net.Conn
	var in *bufio.Reader
	answered := 0
	for i := range requests {
		if c == nil {
			var err error
			if c, err = net.Dial("tcp", base.Host); err != nil {
				t.Fatalf("request %d: %v", i, err)
			}
			in = bufio.NewReader(c)
		}
		// A head that does not end, is not waited for.
		_ = c.SetDeadline(time.Now().Add(map[bool]time.Duration{true: 50 * time.Millisecond, false: 5 * time.Second}[i%4 == 0]))
		var text string
		switch i % 4 {
		case 0: // Bytes.
			text = junk(80) + "\r\n\r\n"
		case 1: // A head of no sense.
			text = "GET /" + url.PathEscape(junk(30)) + " HTTP/1.1\r\nHost: 127.0.0.1\r\n" + strings.ReplaceAll(junk(20), "\n", "") + ": x\r\n\r\n"
		case 2: // Forms of no sense.
			form := url.Values{"do": {kinds[r.IntN(len(kinds))]}, "value": {values[r.IntN(len(values))]}, "second": {values[r.IntN(len(values))]},
				"third": {values[r.IntN(len(values))]}, "text": {junk(40)}}.Encode()
			text = fmt.Sprintf("POST /act HTTP/1.1\r\nHost: 127.0.0.1\r\nCookie: %s\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: %d\r\n\r\n%s", cookie, len(form), form)
		case 3: // Escapes of no sense, and paths.
			body := "do=%zz&value=%" + junk(10)
			text = fmt.Sprintf("POST /%s HTTP/1.1\r\nHost: 127.0.0.1\r\nCookie: %s\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: %d\r\n\r\n%s",
				[]string{"act", "begin", "instructor", "speech", "events"}[r.IntN(5)], cookie, len(body), body)
		}
		if _, err := io.WriteString(c, text); err != nil {
			c.Close()
			c = nil
			continue
		}
		response, err := http.ReadResponse(in, nil)
		if err != nil {
			c.Close()
			c = nil
			continue
		}
		answered++
		if response.StatusCode >= 500 && response.StatusCode != http.StatusServiceUnavailable && response.StatusCode != http.StatusNotImplemented &&
			response.StatusCode != http.StatusHTTPVersionNotSupported {
			t.Fatalf("request %d is answered by %s:\n%q", i, response.Status, text)
		}
		_, err = io.Copy(io.Discard, response.Body)
		response.Body.Close()
		if err != nil || response.Close {
			c.Close()
			c = nil
		}
	}
	if c != nil {
		c.Close()
	}
	if answered < requests/3 {
		t.Errorf("only %d of %d were answered at all", answered, requests)
	}
	if page := p.gets("/desk", http.StatusOK); !strings.Contains(page, `id="write"`) {
		t.Error("the desk is gone")
	}
	time.Sleep(time.Second)
	p.does(rehearsal.Pass, "value", "10")
}
