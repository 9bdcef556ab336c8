//go:build unix

package rehearse

import (
	"fmt"
	"net"
	"net/url"
	"strings"
	"syscall"
	"testing"
	"time"

	"stopvolt/analysis/rehearsal"
)

// A browser that asks for the meters and then reads nothing is let go of by the
// deadline on a write, and takes its place among the streams with it; meanwhile it
// delays neither its own student's other page nor anybody else.
func TestReaderWhoStopsIsDropped(t *testing.T) {
	o := options(t)
	s := serve(t, o, func(s *Server) { s.buffer = 1 << 10 })
	stalled, other := sits(t, s), sits(t, s)
	base, err := url.Parse(s.address)
	if err != nil {
		t.Fatal(err)
	}
	// A system keeps what is on its way on both sides: little is asked for, so that
	// it is soon full.
	d := net.Dialer{Control: func(_, _ string, c syscall.RawConn) error {
		var set error
		err := c.Control(func(fd uintptr) { set = syscall.SetsockoptInt(int(fd), syscall.SOL_SOCKET, syscall.SO_RCVBUF, 1<<10) })
		if err != nil {
			return err
		}
		return set
	}}
	c, err := d.Dial("tcp", base.Host)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	cookie := stalled.Jar.Cookies(base)[0]
	fmt.Fprintf(c, "GET /events HTTP/1.1\r\nHost: 127.0.0.1\r\nCookie: %s\r\n\r\n", cookie)
	v, err := s.takeUp(cookie.Value)
	if err != nil || v == nil {
		t.Fatalf("the student who stalls is not known: %v", err)
	}
	streams := func() int {
		v.mutex.Lock()
		defer v.mutex.Unlock()
		return v.streams
	}
	holds := func(what string, within time.Duration, such func() bool) time.Duration {
		t.Helper()
		began := time.Now()
		for !such() {
			if time.Since(began) > within {
				t.Fatalf("%s is not so after %v", what, within)
			}
			time.Sleep(10 * time.Millisecond)
		}
		return time.Since(began)
	}
	holds("the stream's begin", 10*time.Second, func() bool { return streams() == 1 })
	// Until then everybody is served: the student at another page, and the others.
	worst := time.Duration(0)
	took := holds("the stream's end", time.Minute, func() bool {
		for _, p := range []*student{stalled, other} {
			began := time.Now()
			p.does(rehearsal.Dial, "value", "0.5")
			worst = max(worst, time.Since(began))
			time.Sleep(30 * time.Millisecond)
		}
		return streams() == 0
	})
	if worst > eventPatient {
		t.Errorf("a press took %v beside a reader who had stopped", worst)
	}
	// The connection is closed: what was on its way is still there, and then an end.
	var rest strings.Builder
	_ = c.SetReadDeadline(time.Now().Add(10 * time.Second))
	buffer := make([]byte, 1<<10)
	for {
		n, err := c.Read(buffer)
		rest.Write(buffer[:n])
		if err != nil {
			if e, ok := err.(net.Error); ok && e.Timeout() {
				t.Error("the connection of a reader who had stopped stays open")
			}
			break
		}
	}
	if !strings.Contains(rest.String(), "data: ") || rest.Len() > 1<<20 {
		t.Errorf("%d bytes were kept for a reader who had stopped", rest.Len())
	}
	t.Logf("dropped after %v with %d bytes on their way; a press took %v at most", took.Round(time.Millisecond), rest.Len(), worst)
}
